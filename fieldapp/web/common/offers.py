"""Which step was shown to which phone last: a hint, so that phones that wrote nothing yet get different ones too.

Nothing that counts: it is forgotten with the program, and who takes a step has it by the log.
"""

import threading
from datetime import datetime, timedelta

from flask import Flask, current_app

EXTENSION = "raisebook_offers"
GOOD_FOR = timedelta(minutes=3)
"""A phone that did not ask again by then may have gone away. Source: our choice. Test:
tests/web/raising/test_steps.py"""
MOST = 500


class Offers:
    """Step and time of each phone."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last: dict[str, tuple[str, datetime]] = {}

    def elsewhere(self, holder: str, now: datetime) -> frozenset[str]:
        """Steps that other phones were shown lately."""
        with self._lock:
            return frozenset(step for other, (step, at) in self._last.items()
                             if other != holder and now - at < GOOD_FOR)

    def last(self, holder: str) -> str:
        """What this phone was shown last; empty if nothing."""
        with self._lock:
            return self._last.get(holder, ("", None))[0]

    def note(self, holder: str, step: str | None, now: datetime) -> None:
        """This phone is shown that step, or none; a phone that has no cookie yet is not told from others."""
        with self._lock:
            self._last.pop(holder, None)
            if step and holder:
                self._last[holder] = step, now
            while len(self._last) > MOST:
                self._last.pop(next(iter(self._last)))


def offers() -> Offers:
    """Those of the application that answers this request."""
    found: Offers = current_app.extensions[EXTENSION]
    return found


def install(app: Flask) -> None:
    """Begin with none."""
    app.extensions[EXTENSION] = Offers()
