"""A picture that can be turned, for any page: what it shows, and the frame's numbers, which a phone fetches once."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from flask import Blueprint, Flask, Response, abort, request, url_for

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import Frame
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.prints.pictures import Showing
from fieldapp.prints.pictures.turning import turning_frame, turning_marks
from fieldapp.reports.verdict import places_now
from fieldapp.web.cards.status import place_of
from fieldapp.web.common.context import YEAR_S, keep_cookie, site, state
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import look_up

bp = Blueprint("turning", __name__)
STAND_COOKIE = "raisebook_stand"
"""The part whose label this phone scanned last: there its person stands."""


@dataclass(frozen=True, slots=True)
class Turning:
    """What the script of the picture is told."""

    address: str
    """Of the frame's numbers."""
    marks: str
    this: str
    facing: str
    """The place that is turned toward the reader at first."""
    hold: tuple[str, ...]
    fresh: frozenset[str]
    """Places that may go in, or come out, now."""
    next_word: str
    stand: str
    """The place of the part that was scanned last; empty if none was."""
    label: str
    """For screen readers."""

    @property
    def held(self) -> str:
        """Hubs to hold, in one text."""
        return " ".join(self.hold)


def turning(this: str | None = None, fresh: Iterable[str] | None = None, *, facing: str | None = None,
            hold: Iterable[str] = ()) -> Turning:
    """The picture of a page about `this` place; `fresh` is what may go in or come out now, as the page says it."""
    here, now = site().book.site, state()
    new = next_now(here, now) if fresh is None else frozenset(fresh)
    striking, left_out = now.phase == "striking", frozenset(here.plan.left_out)
    damaged = frozenset(place for place, part in now.fitted.items() if not now.parts[part].usable)
    showing = Showing(standing=frozenset(now.fitted), new=new, damaged=damaged,
                      left_out=left_out - frozenset(now.fitted) - {this or ""})
    words = _("Frame seen from outside, {place} marked").format(place=this) if this else _("Frame seen from outside")
    return Turning(address=url_for("turning.numbers", digest=_digest(here.kit.frame)),
                   marks=_marks(here.kit.frame, showing), this=this or "", facing=this or facing or "",
                   hold=tuple(hold), fresh=new, next_word=_("out next") if striking else _("next"),
                   stand=_stand(now), label=f"{words}. {_('Arrow keys turn it.')}")


@remembered(4)
def next_now(site: Setting, now: State) -> frozenset[str]:
    """Places that may be filled, or emptied, now."""
    return frozenset(place.place for place in places_now(site, now) if place.usable)


@remembered(16, by=lambda frame, showing: showing)
def _marks(frame: Frame, showing: Showing) -> str:
    return turning_marks(frame, showing)


@bp.get("/turning/<digest>.json")
def numbers(digest: str) -> Response:
    """The frame's numbers, for good: its address changes with them."""
    frame = site().kit.frame
    if digest != _digest(frame):
        abort(404)
    answer = Response(_numbers(frame), mimetype="application/json")
    answer.headers["Cache-Control"] = f"public, max-age={YEAR_S}, immutable"
    return answer


@remembered(2)
def _numbers(frame: Frame) -> str:
    return turning_frame(frame)


@remembered(2)
def _digest(frame: Frame) -> str:
    return hashlib.sha256(_numbers(frame).encode()).hexdigest()[:12]


def _stand(now: State) -> str:
    part = request.cookies.get(STAND_COOKIE, "")[:40]
    return (place_of(now, part) or "") if part in now.parts else ""


def install(app: Flask) -> None:
    """Give templates the picture, and let each phone remember which label it scanned last."""
    app.jinja_env.globals["turning_of"] = turning

    @app.after_request
    def _remember(response: Response) -> Response:
        if request.endpoint == "part.scanned" and response.status_code == 200:
            found = look_up(str((request.view_args or {}).get("text", ""))).part
            if found:
                keep_cookie(response, STAND_COOKIE, found.id)
        return response
