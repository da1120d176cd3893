"""The start page: what do I do next?"""

from flask import Blueprint, render_template

from fieldapp.reports.pace import pace
from fieldapp.web.context import site, standing, state
from fieldapp.web.entries import done
from fieldapp.web.start_view import pace_words, start_view

bp = Blueprint("start", __name__)


@bp.get("/")
def page() -> str:
    """What comes next, what may go in now, how far it is, three ways in."""
    here, now = site(), site().clock()
    view = start_view(standing())
    speed = pace_words(pace(here.kit, here.plan, state(), now), now)
    return render_template("start.html", view=view, pace=speed, done=done(), here="start")


@bp.get("/ping")
def ping() -> tuple[str, int]:
    """Nothing, quickly: phones ask this to know whether the laptop is in reach."""
    return "", 204
