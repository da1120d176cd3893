"""The chief at this phone: gives the pass phrase once, and gives the rights back at the end."""

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.common.chief_phrase import is_phrase
from fieldapp.web.common.i18n import _
from fieldapp.web.common.rights import grant, is_chief, rights, take_away

bp = Blueprint("chief", __name__)


@bp.get("/chief")
def page() -> str:
    """What the chief can do, or the field for the pass phrase."""
    return _page()


@bp.post("/chief/enter")
def enter() -> Response | tuple[str, int]:
    """Check the phrase; after several wrong ones the sender has to wait."""
    held, sender = rights(), request.remote_addr or ""
    if held.tries.too_many(sender):
        return _page(_("Too many wrong phrases. Wait a minute, then try again.")), 429
    if not is_phrase(request.form.get("phrase", ""), held.chief_phrase):
        held.tries.wrong(sender)
        return _page(_("That is not the pass phrase. Whoever started the laptop knows it.")), 403
    return grant(make_response(redirect(url_for("chief.page"), 303)), "chief")


@bp.post("/chief/leave")
def leave() -> Response:
    """This phone is the chief's no longer."""
    return take_away(make_response(redirect(url_for("start.page"), 303)), "chief")


def _page(problem: str = "") -> str:
    return render_template("raising/chief.html", here="chief", problem=problem, chief=is_chief(),
                           phrase_set=bool(rights().chief_phrase))
