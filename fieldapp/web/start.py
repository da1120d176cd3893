"""The start page: what do I do next?"""

from flask import Blueprint, render_template

from fieldapp.web.context import site, state
from fieldapp.web.entries import done_line
from fieldapp.web.start_view import start_view

bp = Blueprint("start", __name__)


@bp.get("/")
def page() -> str:
    """What comes next, what may go in now, how far it is, three ways in."""
    view = start_view(site().kit.frame, site().plan, state())
    return render_template("start.html", view=view, done=done_line(), here="start")


@bp.get("/ping")
def ping() -> tuple[str, int]:
    """Nothing, quickly: phones ask this to know whether the laptop is in reach."""
    return "", 204
