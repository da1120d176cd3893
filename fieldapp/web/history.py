"""All that happened to a part, across raises; and the parts that somebody must look at."""

from flask import Blueprint, render_template

from fieldapp.reports.history import part_history
from fieldapp.web.context import site, standing, state
from fieldapp.web.history_view import history_lines, use_words, watched_lines
from fieldapp.web.lookup import find_part
from fieldapp.web.reader import reader

bp = Blueprint("history", __name__)
watched = Blueprint("watched", __name__)


@bp.get("/history/<text>")
def page(text: str) -> str:
    """Every entry about the part, newest first, also those taken back, with the raise they fell into."""
    part = find_part(text).part
    lines = history_lines(standing(), part_history(state(), part.id), reader())
    return render_template("history.html", part=part, lines=lines, uses=use_words(state(), part.id), here="part")


@watched.get("/watched", endpoint="page")
def needing() -> str:
    """Parts that are kept out, watched, mended or missing."""
    return render_template("watched.html", groups=watched_lines(state(), site().clock()), here="chief")
