"""The page of one part: what a scanned label opens."""

from flask import Blueprint, Response, make_response, render_template

from fieldapp.web.cards.entries import done
from fieldapp.web.cards.lift_view import lift_before
from fieldapp.web.cards.part_view import part_view
from fieldapp.web.cards.reader import reader
from fieldapp.web.cards.turn_view import turn_lines
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.lookup import find_part
from fieldapp.web.parts.last_scan import remember_scans, scans_with
from fieldapp.web.parts.pair_view import pair_view

bp = Blueprint("part", __name__)


@bp.get("/P/<text>", endpoint="scanned")       # on labels: its capitals tell that the part was scanned
@bp.get("/p/<text>", endpoint="page")
def page(text: str) -> Response:
    """Where the part goes; `text` is an ID as printed or typed, with `.1` or `.2` for a strut's end."""
    found, here = find_part(text), site()
    scans = scans_with(found.part.id, here.clock())
    view = part_view(standing(), found.part, end=found.end, reader=reader())
    words = render_template(
        "parts/part.html", view=view, remark=found.remark, done=done(), here="part",
        pair=None if done() else pair_view(here.kit, state(), found.part.id, scans.pair),
        turn=turn_lines(here.book.site, state(), view.place.name if view.place else None),
        lift=lift_before(here.book.site, state(), view.place.name if view.place else None))
    return remember_scans(make_response(words), scans)
