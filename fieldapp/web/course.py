"""The course of a raise, in the chief's hands: which way, start, strike, end."""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.errors import PlanError
from fieldapp.log.entry import refuse
from fieldapp.log.opening import plan_for
from fieldapp.reports.strike import strike
from fieldapp.web.context import site, state, tidy
from fieldapp.web.entries import done
from fieldapp.web.rights import is_chief
from fieldapp.web.ways import ways
from fieldapp.web.writing import refused, wish, write_down

bp = Blueprint("course", __name__)

KINDS_OF_ACT = {"start": "raise_started", "strike": "strike_started", "end": "raise_ended"}
"""The last part of the address → kind of entry."""


@bp.get("/raise")
def page() -> str:
    """How the raise stands, and the chief's next button."""
    now = site().clock()
    return render_template("course.html", here="chief", raise_now=state().running_raise, chief=is_chief(),
                           plan=site().plan, way=ways().line(site().plan.way), strike=strike(site().book.site, state()),
                           today=f"{now:%Y-%m-%d}", done=done())


@bp.post("/raise/<act>")
def write(act: str) -> Response | tuple[str, int]:
    """Start the raise, start the strike, end the raise."""
    kind = KINDS_OF_ACT.get(act)
    if kind is None:
        abort(404)
    data = {"name": tidy(request.form.get("name", ""), 80)} if kind == "raise_started" else {}
    return write_down(wish(kind, data=data), url_for("course.page" if kind == "raise_ended" else "start.page"))


@bp.get("/ways")
def choose() -> str:
    """All ways with their verdicts; one of them is followed."""
    return render_template("course_ways.html", here="chief", lines=ways().lines(), chief=is_chief(),
                           followed=site().plan.way)


@bp.post("/ways")
def follow() -> Response | tuple[str, int]:
    """Follow another way, if it can be followed without breaking arms."""
    name, back = tidy(request.form.get("way", ""), 80), url_for("course.page")
    asked = wish("way_chosen", data={"way": name})
    if asked.chief:
        try:
            plan_for(site().kit, name)
        except (PlanError, ValueError) as error:
            return refused(refuse("way_breaks", "{why}.", "Choose another way.", why=str(error).split(". ")[0]), back)
    return write_down(asked, back)
