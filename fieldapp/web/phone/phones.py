"""Phones that have rights, listed for the chief, who can end them; and how the laptop's own browser gets its own."""

from dataclasses import dataclass
from datetime import UTC, datetime

from flask import Blueprint, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.clock import clock_words
from fieldapp.web.common.context import sender, site
from fieldapp.web.common.i18n import _
from fieldapp.web.common.rights import grant, is_chief, is_laptop, rights
from fieldapp.web.common.sessions import Right, Seen, Session

bp = Blueprint("phones", __name__)


@dataclass(frozen=True, slots=True)
class PhoneLine:
    """One phone, by its newest session."""

    number: str
    """Of that session."""
    name: str
    may: str
    since: str
    used: str
    here: bool
    """True if it is the one that asks."""


@bp.get("/phones")
def page() -> str | tuple[str, int]:
    """All phones that may write, the one used last first."""
    if not is_chief():
        return render_template("phone/phones.html", here="chief", chief=False), 403
    return render_template("phone/phones.html", here="chief", chief=True, lines=phone_lines(),
                           guessing=rights().tries.somebody_guesses)


@bp.post("/phones/<number>/end")
def end(number: str) -> Response:
    """End every session of a phone."""
    if not is_chief():
        abort(403)
    held, now = rights().sessions, site().clock()
    chosen = [session for session, _seen in held.current(now) if session.number == number]
    if not chosen:
        abort(404, _("phone"))
    for session, _seen in held.current(now):
        if session.number == number or (session.phone and session.phone == chosen[0].phone):
            held.end(session.number, now)
    return redirect(url_for("phones.page"), 303)


@bp.get("/laptop/<secret>")
def laptop(secret: str) -> Response | tuple[str, int]:
    """The address that the terminal showed, swapped once for a session of the laptop's own browser."""
    if is_laptop():
        return redirect(url_for("start.page"), 303)
    if request.method != "GET" or not rights().laptop.use(secret):
        lines = [_("It was used before, or the laptop was started again. Its terminal shows the one that is good now.")]
        return render_template("common/error.html", here="", title=_("This address was good once"), lines=lines), 403
    return grant(make_response(redirect(url_for("start.page"), 303)), "laptop")


def phone_lines() -> tuple[PhoneLine, ...]:
    """Sessions that are good, one line for each phone."""
    by_phone: dict[str, list[tuple[Session, Seen | None]]] = {}
    for session, seen in rights().sessions.current(site().clock()):
        by_phone.setdefault(session.phone or session.number, []).append((session, seen))
    return tuple(_line(*each[0], {session.right for session, _seen in each}) for each in by_phone.values())


def _line(session: Session, seen: Seen | None, may: set[Right]) -> PhoneLine:
    """`session` is the one used last."""
    now = site().clock()
    return PhoneLine(
        number=session.number, name=(seen.who if seen else "") or session.phone or _("a phone that keeps no cookies"),
        may=_may(may), since=clock_words(datetime.fromtimestamp(session.since, UTC), now),
        used=clock_words(seen.at, now) if seen else "", here=bool(session.phone) and session.phone == sender())


def _may(held: set[Right]) -> str:
    if "chief" in held:
        return _("is the chief")
    return _("the laptop itself") if "laptop" in held else _("may write")
