"""Labels that a phone read lately: kept in a cookie, so that a step card ticks them off."""

import re
from collections.abc import Mapping
from datetime import datetime

from flask import Response

READ_COOKIE = "raisebook_read"
COUNTS_S = 3600
"""Longer ago it was another errand."""
MOST = 12
_ONE = re.compile(r"([A-Z0-9-]{3,24})\.([0-9]{1,12})", re.ASCII)


def recent_scans(cookies: Mapping[str, str], now: datetime) -> frozenset[str]:
    """IDs of the parts whose labels this phone read within the hour."""
    at_s = now.timestamp()
    return frozenset(part for part, read_s in _read(cookies) if 0 <= at_s - read_s + 1 <= COUNTS_S)


def remember_read(answer: Response, cookies: Mapping[str, str], part: str, now: datetime) -> Response:
    """Add a part whose label was just read."""
    kept = [(one, read_s) for one, read_s in _read(cookies) if one != part]
    newest = [*kept, (part, round(now.timestamp()))][-MOST:]
    answer.set_cookie(READ_COOKIE, "_".join(f"{one}.{read_s}" for one, read_s in newest), max_age=COUNTS_S,
                      httponly=True, samesite="Lax")
    return answer


def _read(cookies: Mapping[str, str]) -> list[tuple[str, int]]:
    """What the cookie says; nothing of what is not ours.

    Examples
    --------
    >>> _read({"raisebook_read": "OH-H22-T.1180_nonsense_OH-S073-C.1200"})
    [('OH-H22-T', 1180), ('OH-S073-C', 1200)]
    """
    found = map(_ONE.fullmatch, cookies.get(READ_COOKIE, "")[:600].split("_"))
    return [(one[1], int(one[2])) for one in found if one]
