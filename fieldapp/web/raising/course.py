"""The course of a raise, in the chief's hands: which way, start, strike, end."""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.entry import Refusal, refuse
from fieldapp.reports.standing.strike import strike
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import patience_s, site, state, tidy
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import refused, wish, write_down
from fieldapp.web.raising.ways import CHOICE_PATIENCE_S, ways

bp = Blueprint("course", __name__)

KINDS_OF_ACT = {"start": "raise_started", "strike": "strike_started", "end": "raise_ended"}
"""The last part of the address → kind of entry."""


@bp.get("/raise")
def page() -> str:
    """How the raise stands, and the chief's next button."""
    now = site().clock()
    return render_template("raising/course.html", here="chief", raise_now=state().running_raise, chief=is_chief(),
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
    return render_template("raising/ways.html", here="chief", lines=ways().lines(patience_s()), chief=is_chief(),
                           followed=site().plan.way)


@bp.post("/ways")
def follow() -> Response | tuple[str, int]:
    """Follow another way, if it can be followed without breaking arms."""
    name, back = tidy(request.form.get("way", ""), 80), url_for("course.page")
    asked = wish("way_chosen", data={"way": name})
    trouble = _trouble(name) if asked.chief else None
    return refused(trouble, back) if trouble else write_down(asked, back)


def _trouble(name: str) -> Refusal | None:
    """Why this way is not to be followed; None if it may, or if there is no such way, which the rules will say."""
    known = ways().lines(CHOICE_PATIENCE_S)
    if known is None:
        return refuse("ways_unknown", "the ways are still being computed.", "Wait a little and choose again.")
    line = next((line for line in known if line.name == name), None)
    if line is None or line.may_be_followed:
        return None
    return refuse("way_breaks", "the way '{way}' {verdict}.", "Choose another way.", way=name, verdict=line.verdict)
