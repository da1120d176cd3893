"""The page of one part: what a scanned label opens."""

from flask import Blueprint, render_template

from fieldapp.web.context import standing
from fieldapp.web.entries import done
from fieldapp.web.lookup import find_part
from fieldapp.web.part_view import part_view
from fieldapp.web.reader import reader

bp = Blueprint("part", __name__)


@bp.get("/p/<text>", endpoint="page")
@bp.get("/P/<text>", endpoint="page")
def page(text: str) -> str:
    """Where the part goes; `text` is an ID as printed or typed, with `.1` or `.2` for a strut's end."""
    found = find_part(text)
    view = part_view(standing(), found.part, end=found.end, reader=reader())
    return render_template("part.html", view=view, remark=found.remark, done=done(), here="part")
