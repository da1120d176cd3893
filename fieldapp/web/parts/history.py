"""All that happened to a part, across raises; and the parts that somebody must look at."""

from flask import Blueprint, render_template

from fieldapp.reports.parts.history import part_history
from fieldapp.web.cards.reader import reader
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.lookup import find_part
from fieldapp.web.parts.history_view import history_lines, use_words, watched_lines

bp = Blueprint("history", __name__)
watched = Blueprint("watched", __name__)


@bp.get("/history/<text>")
def page(text: str) -> str:
    """Every entry about the part, newest first, also those taken back, with the raise they fell into."""
    part = find_part(text).part
    lines = history_lines(standing(), part_history(state(), part.id), reader())
    return render_template("parts/history.html", part=part, lines=lines, uses=use_words(state(), part.id), here="part")


@watched.get("/watched", endpoint="page")
def needing() -> str:
    """Parts that are kept out, watched, mended or missing."""
    return render_template("parts/watched.html", groups=watched_lines(state(), site().clock()), here="chief")
