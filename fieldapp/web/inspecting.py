"""A phone that inspects: which box its owner took, and where every part that it scans leads as long as it does.

Who has which box is passing knowledge for people in one shed: it is kept in memory, not in the log. What was seen
is in the log.
"""

import threading
from dataclasses import dataclass, field
from urllib.parse import quote, unquote, urlsplit

from flask import Response, current_app, request, url_for

from fieldapp.kit.checklist import Checklist
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.web.context import site, state, tidy, who
from fieldapp.web.i18n import _
from fieldapp.web.phone import sender

INSPECT_COOKIE = "raisebook_inspects"
WORKDAY_S = 14 * 3600
EXTENSION = "raisebook boxes"
MAX_BOX_CHARS = 40
NO_BOX = "-"
"""In the cookie: this phone inspects, but took no box."""

TYPED_ON = frozenset({"/", "/find", "/inspect"})
"""Pages with a field for an ID: a part opened from there was typed."""


@dataclass(slots=True)
class BoxesTaken:
    """Who has which box, by phone."""

    _by_phone: dict[str, tuple[str, str]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def take(self, phone: str, name: str, box: str) -> None:
        """This phone's owner has this box now, and no other."""
        with self._lock:
            self._by_phone[phone] = (name, box)

    def give_back(self, phone: str) -> None:
        """This phone's owner has none."""
        with self._lock:
            self._by_phone.pop(phone, None)

    def holders(self, box: str) -> tuple[str, ...]:
        """Names of those who have it."""
        with self._lock:
            return tuple(sorted({name for name, held in self._by_phone.values() if held == box}))


def boxes_taken() -> BoxesTaken:
    """Those of the application that answers this request."""
    found: BoxesTaken = current_app.extensions.setdefault(EXTENSION, BoxesTaken())
    return found


def inspects() -> bool:
    """True if a round is open and this phone takes part in it; while a raise runs, labels lead to places again."""
    now = state()
    return now.open_round is not None and now.running_raise is None and INSPECT_COOKIE in request.cookies


def own_box() -> str:
    """The box that the owner of this phone took; empty if none."""
    box = tidy(unquote(request.cookies.get(INSPECT_COOKIE, "")), MAX_BOX_CHARS)
    return "" if box == NO_BOX else box


def take_box(answer: Response, box: str) -> Response:
    """This phone inspects from now on, with this box (or none)."""
    boxes_taken().take(sender(), who() or sender() or _("somebody"), box)
    answer.set_cookie(INSPECT_COOKIE, quote(box) or NO_BOX, max_age=WORKDAY_S, httponly=True, samesite="Lax")
    return answer


def stop(answer: Response) -> Response:
    """This phone inspects no longer."""
    boxes_taken().give_back(sender())
    answer.delete_cookie(INSPECT_COOKIE, httponly=True, samesite="Lax")
    return answer


def checklist() -> Checklist:
    """The kit's list; one made before there were any gets that of its design."""
    own = site().book.site.checklist
    return own if own is not None else default_checks(site().kit.design)


def seen_how(text: str) -> str:
    """Whether `text` came from a symbol, which holds an address, or was typed.

    Examples
    --------
    >>> seen_how("http://10.0.0.1/P/OH-S073-K.1"), seen_how("s073")
    ('scanned', 'typed')
    """
    return "scanned" if "/" in text else "typed"


def seen_by_referrer() -> str:
    """How the part page that is shown was opened: by the camera app, by typing; "" by a link of ours."""
    came_from = request.referrer
    if not came_from:
        return "scanned"
    path = urlsplit(came_from).path
    if path == "/live":
        return "scanned"
    return "typed" if path in TYPED_ON else ""


def part_address(text: str, seen: str) -> str:
    """The page on which the part named `text` is inspected."""
    return url_for("inspect.part", text=text, seen=seen)


def not_yet_seen() -> int:
    """Parts that are there and were not checked in the open round; 0 without one."""
    now, current = state(), state().open_round
    if current is None:
        return 0
    return sum(past.round != current.key and not past.missing and past.condition != "scrapped"
               for past in now.parts.values())
