"""The part that this phone looked at just before: two scans in a row ask whether they belong together."""

from dataclasses import dataclass
from datetime import datetime

from flask import Response, request

SCAN_COOKIE = "raisebook_scans"
IN_A_ROW_S = 180
"""Two scans further apart than this are two errands."""
MAX_AGE_S = 3600


@dataclass(frozen=True, slots=True)
class Scans:
    """The last two parts on this phone, the newest first, with when they were opened [s since 1970]."""

    this: str = ""
    this_s: int = 0
    before: str = ""
    before_s: int = 0

    def then(self, part: str, now_s: int) -> "Scans":
        """With one more part opened; opening the same one again changes nothing."""
        return self if part == self.this else Scans(part, now_s, self.this, self.this_s)

    @property
    def pair(self) -> str | None:
        """The part scanned just before this one, if it was just before."""
        return self.before if self.before and 0 <= self.this_s - self.before_s <= IN_A_ROW_S else None


def read_scans(cookie: str) -> Scans:
    """What the cookie says; nothing if it is not one of ours.

    Examples
    --------
    >>> read_scans("OH-S073-C 1200 OH-H22-T 1180").pair
    'OH-H22-T'
    >>> read_scans("nonsense").pair is None
    True
    """
    pieces = cookie[:120].split(" ")
    if len(pieces) != 4 or not (pieces[1].isdecimal() and pieces[3].isdecimal()):
        return Scans()
    return Scans(pieces[0], int(pieces[1][:12]), pieces[2], int(pieces[3][:12]))


def scans_with(part: str, now: datetime) -> Scans:
    """The scans of the phone that asks, with this part as the newest."""
    return read_scans(request.cookies.get(SCAN_COOKIE, "")).then(part, round(now.timestamp()))


def remember_scans(answer: Response, scans: Scans) -> Response:
    """Keep them in this phone for an hour."""
    value = f"{scans.this} {scans.this_s} {scans.before or '-'} {scans.before_s}"
    answer.set_cookie(SCAN_COOKIE, value, max_age=MAX_AGE_S, httponly=True, samesite="Lax")
    return answer
