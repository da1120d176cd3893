"""The start page: what do I do next?"""

from flask import Blueprint, render_template

from fieldapp.reports.pace import pace
from fieldapp.reports.progress import strike_progress
from fieldapp.web.context import site, standing, state, team
from fieldapp.web.entries import done
from fieldapp.web.history_view import labels_to_print
from fieldapp.web.stage_now import stage_now
from fieldapp.web.start_view import pace_words, start_view
from fieldapp.web.ways import ways

bp = Blueprint("start", __name__)


@bp.get("/")
def page() -> str:
    """What comes next, what to hold, what may go in or come out now, how far it is, three ways in."""
    here, now = site(), site().clock()
    view = start_view(standing(), here.book.site, team())
    speed = pace_words(pace(here.kit, here.plan, state(), now), now) if view.phase in ("before", "up") else ""
    return render_template("start.html", view=view, pace=speed, done=done(), here="start", team=team(),
                           stage=stage_now(here.book.site, state()), strike=strike_progress(state()),
                           labels=labels_to_print(state()), way=ways().line(here.plan.way), plan=here.plan,
                           teams=here.kit.design.crew.teams)


@bp.get("/ping")
def ping() -> tuple[str, int]:
    """Nothing, quickly: phones ask this to know whether the laptop is in reach."""
    return "", 204
