"""The ways of raising with what the statics say of each: computed once, beside the pages, and kept."""

import threading
from dataclasses import dataclass, field
from functools import lru_cache

from flask import current_app

from fieldapp.base.errors import RaisebookError
from fieldapp.frame.design import Design
from fieldapp.kit.kit import Kit

EXTENSION = "raisebook ways"
CHOICE_PATIENCE_S = 30.0
"""How long the chief's choice waits for them."""


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way, in the words of its report."""

    name: str
    verdict: str
    people: int
    holds_at_most: int
    minutes: int
    breaks: bool
    recommended: bool
    may_be_followed: bool
    """False if it breaks arms and the design does not accept that."""


class Ways:
    """Judges every way of one kit, in a thread of its own from the first time somebody asks."""

    def __init__(self, kit: Kit) -> None:
        self._kit = kit
        self._lines: tuple[WayLine, ...] = ()
        self._problem = ""
        self._done = threading.Event()
        self._start = threading.Lock()
        self._thread: threading.Thread | None = None

    def lines(self, patience_s: float) -> tuple[WayLine, ...] | None:
        """All ways; None while they are still being computed.

        Raises
        ------
        RaisebookError
            If the statics have no answer.
        """
        with self._start:
            if self._thread is None:
                self._thread = threading.Thread(target=self._judge, daemon=True)
                self._thread.start()
        if not self._done.wait(patience_s):
            return None
        if self._problem:
            raise RaisebookError(self._problem)
        return self._lines

    def line(self, name: str) -> WayLine | None:
        """One way, if it is known by now."""
        return next((line for line in self._lines if line.name == name), None)

    def _judge(self) -> None:
        try:
            self._lines = _judged(_Asked(self._kit.design, self._kit))
        except RaisebookError as error:
            self._problem = str(error)
        finally:
            self._done.set()


@dataclass(frozen=True, slots=True)
class _Asked:
    """Kits of equal designs have equal ways."""

    design: Design
    kit: Kit = field(compare=False)


@lru_cache(maxsize=2)
def _judged(asked: _Asked) -> tuple[WayLine, ...]:
    from fieldapp.plan.compare import compare  # brings in scipy, which `serve` starts without

    found, accepting = compare(asked.kit), asked.design.raising.accept_breaking
    return tuple(WayLine(
        report.way, report.verdict, report.effort.people, report.effort.holds_at_most,
        round(report.effort.time.total_min), report.judged.breaks, report.way == found.recommended,
        accepting or not report.judged.breaks) for report in found.reports)


def ways() -> Ways:
    """Those of the application that answers this request."""
    found: Ways = current_app.extensions[EXTENSION]
    return found
