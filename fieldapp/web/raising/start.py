"""The start page: what do I do next?"""

from flask import Blueprint, render_template

from fieldapp.reports.raising.pace import pace
from fieldapp.reports.raising.progress import strike_progress
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import site, standing, state, team
from fieldapp.web.parts.history_view import labels_to_print
from fieldapp.web.raising.stage_now import stage_now
from fieldapp.web.raising.start_view import pace_words, start_view
from fieldapp.web.raising.ways import ways

bp = Blueprint("start", __name__)


@bp.get("/")
def page() -> str:
    """What comes next, what to hold, what may go in or come out now, how far it is, three ways in."""
    here, now = site(), site().clock()
    view = start_view(standing(), here.book.site, team())
    speed = pace_words(pace(here.kit, here.plan, state(), now), now) if view.phase in ("before", "up") else ""
    return render_template("raising/start.html", view=view, pace=speed, done=done(), here="start", team=team(),
                           stage=stage_now(here.book.site, state()), strike=strike_progress(state()),
                           labels=labels_to_print(state()), way=ways().line(here.plan.way), plan=here.plan,
                           teams=here.kit.design.crew.teams)


@bp.get("/ping")
def ping() -> tuple[str, int]:
    """Nothing, quickly: phones ask this to know whether the laptop is in reach."""
    return "", 204
