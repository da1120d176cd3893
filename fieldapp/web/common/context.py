"""What every view needs: the site book, the time, and who asks. Of the pages, only this file reads the clock."""

import hashlib
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from flask import Flask, Response, current_app, g, request

from fieldapp.base.clock import LaptopZone
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import PHONE
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.log.stick import Stick
from fieldapp.plan.plan import Plan
from fieldapp.web.common.i18n import languages

WHO_COOKIE = "raisebook_who"
THEME_COOKIE = "raisebook_theme"
TEAM_COOKIE = "raisebook_team"
LANGUAGE_COOKIE = "raisebook_language"
THEMES = ("auto", "day", "night")
MAX_WHO_CHARS = 24
EXTENSION = "raisebook"
PATIENCE = "RAISEBOOK_PATIENCE_S"
"""How long a page waits for what takes long to compute before it says so; phones share a few threads."""
Clock = Callable[[], datetime]

PHONE_COOKIE = "raisebook_phone"
YEAR_S = 366 * 24 * 3600
_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
_CODE_CHARS = 4


@dataclass(frozen=True, slots=True)
class SiteMoment:
    """One moment of one site."""

    setting: Setting
    state: State

    @property
    def kit(self) -> Kit:
        """Design, frame and parts."""
        return self.setting.kit

    @property
    def plan(self) -> Plan:
        """The way of raising that is followed."""
        return self.setting.plan

    @property
    def frame(self) -> Frame:
        """The frame as designed."""
        return self.kit.frame


CLOCK = "raisebook clock"


def clock_now() -> datetime:
    """The time by the clock of the application that answers this request."""
    clock: Clock = current_app.extensions[CLOCK]
    return clock()


def laptop_now() -> datetime:
    """The laptop's time, with its zone: refusals name times as people on site read them."""
    return datetime.now(LaptopZone())


@dataclass(frozen=True, slots=True)
class Site:
    """One kit being served."""

    book: SiteBook
    clock: Clock = laptop_now
    photos: Path | None = None
    """Folder of the photos beside the log; None where none are kept."""
    stick: Stick | None = None
    """What follows the log on another disk, if anything."""

    @property
    def kit(self) -> Kit:
        """Design, frame and parts."""
        return self.book.site.kit

    @property
    def plan(self) -> Plan:
        """The way of raising that is followed."""
        return self.book.site.plan


def site() -> Site:
    """The site of the application that answers this request."""
    found: Site = current_app.extensions[EXTENSION]
    return found


def state() -> State:
    """The state of kit and frame, the same one throughout this request."""
    if "state" not in g:
        g.state = site().book.state
    kept: State = g.state
    return kept


def standing() -> SiteMoment:
    """Kit, plan and state as this request sees them."""
    return SiteMoment(site().book.site, state())


def patience_s() -> float:
    """How long a page of this application waits for what takes long to compute [s]."""
    return float(current_app.config[PATIENCE])


def tidy(text: str, limit: int) -> str:
    """Typed words on one line: control characters out, blanks joined, cut to `limit`.

    Examples
    --------
    >>> tidy("  crew\\t 1\\x00 ", 24)
    'crew 1'
    """
    printable = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(printable.split())[:limit]


def who() -> str:
    """What the person at this phone calls themselves; empty if they did not say."""
    return tidy(request.cookies.get(WHO_COOKIE, ""), MAX_WHO_CHARS)


def team() -> int:
    """Number of the team of the person at this phone, from 1; 0 if they did not say."""
    number = request.cookies.get(TEAM_COOKIE, "")
    teams = site().kit.design.crew.teams
    return int(number) if number.isdecimal() and len(number) < 3 and 1 <= int(number) <= teams else 0


def team_numbers() -> tuple[int, ...]:
    """The teams that somebody may belong to; none if there is only one."""
    teams = site().kit.design.crew.teams
    return tuple(range(1, teams + 1)) if teams > 1 else ()


def language() -> str:
    """The language chosen on this phone, or else the best of those the phone asks for."""
    offered = languages()
    chosen = request.cookies.get(LANGUAGE_COOKIE, "")
    return chosen if chosen in offered else request.accept_languages.best_match(offered) or offered[0]


def theme() -> str:
    """auto, day or night."""
    chosen = request.cookies.get(THEME_COOKIE, "auto")
    return chosen if chosen in THEMES else "auto"


def phone_name(token: str) -> str:
    """What the log calls the phone with this cookie; it does not give the cookie away.

    Examples
    --------
    >>> phone_name("")
    ''
    >>> phone_name("abc") == phone_name("abc"), len(phone_name("abc"))
    (True, 10)
    """
    if not token:
        return ""
    digest = hashlib.sha256(token.encode()).digest()
    return PHONE + "".join(_LETTERS[byte % len(_LETTERS)] for byte in digest[:_CODE_CHARS])


def sender() -> str:
    """The phone that asks; empty if it keeps no cookies."""
    return phone_name(request.cookies.get(PHONE_COOKIE, "")[:64])


def remember_phones(app: Flask) -> None:
    """Give every phone its cookie with the first page it opens."""

    @app.after_request
    def _remember(response: Response) -> Response:
        if request.endpoint != "static" and PHONE_COOKIE not in request.cookies:
            keep_cookie(response, PHONE_COOKIE, secrets.token_urlsafe(12))
        return response


def keep_cookie(response: Response, name: str, value: str) -> None:
    """For a year; SameSite, and not Secure because the site speaks plain HTTP."""
    response.set_cookie(name, value, max_age=YEAR_S, httponly=True, samesite="Lax")
