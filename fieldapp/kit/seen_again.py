"""How long an inspection holds: months, wettings, raises and hours standing after which a part is to be seen again."""

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

from fieldapp.frame.design_file import shown

SEEN_AGAIN = "seen_again"
"""The table of `checks.toml` (in no formula)."""

MONTHS = 12
"""Whole months after which an inspection is old.
Source: our choice; once a year is common practice, no source. Test: tests/kit/test_seen_again.py"""
WETTINGS = 1
"""Times that a part was logged as soaked, or as come in wet, after which its inspection is old.
Source: our choice: the first one counts, since glue and ends suffer unseen. Test: tests/kit/test_seen_again.py"""
RAISES = 1
"""Raises in which a part was fitted after which its inspection is old.
Source: our choice: every raise uses it up. Test: tests/kit/test_seen_again.py"""
HOURS = 1000
"""Hours that a part stood in raises that are over, after which its inspection is old.
Source: our choice, six weeks; it counts only where more than one raise is let go by.
Test: tests/kit/test_seen_again.py"""
MOST = {"months": 60, "wettings": 100, "raises": 100, "hours": 20_000}
"""Greatest limits that a list may set; none can be switched off.
Source: our choice. Test: tests/kit/test_seen_again.py"""


@dataclass(frozen=True, slots=True)
class SeenAgain:
    """An inspection is old as soon as one of these is reached; each at least 1."""

    months: int = MONTHS
    wettings: int = WETTINGS
    raises: int = RAISES
    hours: int = HOURS


KEYS = tuple(field.name for field in fields(SeenAgain))
_ADVICE = {
    "months": "Write 12 to have every part seen once a year, or leave the line out for that.",
    "wettings": "Write 1 to have a part seen again whenever it got wet, or leave the line out for that.",
    "raises": "Write 1 to have every part seen before each raise, or leave the line out for that.",
    "hours": "Write 1000 to have every part seen after six weeks of standing, or leave the line out for that.",
}


def seen_again_of(table: Mapping[str, Any]) -> SeenAgain:
    """The limits of a table without problems; what it leaves out is as in `SeenAgain()`."""
    return SeenAgain(**table)


def seen_again_problems(table: Any) -> Iterator[str]:
    """What is wrong with the table of a file: value, what is allowed, what to do."""
    if not isinstance(table, dict):
        yield (f"{SEEN_AGAIN} is {shown(table)}; allowed is a table. Write [{SEEN_AGAIN}] with single brackets on a "
               f"line of its own, and below it {', '.join(KEYS[:-1])} or {KEYS[-1]}.")
        return
    for key, value in table.items():
        if key not in KEYS:
            near = difflib.get_close_matches(key, KEYS, n=1, cutoff=0.3) or ["months"]
            yield (f"[{SEEN_AGAIN}]: {key} is not a key; the nearest is {near[0]}. Correct it, or put a # before the "
                   f"line.")
        elif not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST[key]:
            yield (f"[{SEEN_AGAIN}]: {key} is {shown(value)}; allowed are whole numbers from 1 to {MOST[key]}. "
                   f"{_ADVICE[key]}")
