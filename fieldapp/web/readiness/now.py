"""Readiness as it stands now: computed beside the pages, once for each state of the log, and kept."""

import threading
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as TooLong
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from flask import current_app

from fieldapp.base.words import as_written
from fieldapp.kit.checklist import Checklist
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.damage.breakage_map import BreakageMap
from fieldapp.reports.readiness.readiness import Readiness
from fieldapp.reports.readiness.survival import Survival

EXTENSION = "raisebook readiness"
SHEET_PATIENCE_S = 8.0
"""How long a sheet for the printer waits; the page that leads to it has the answer already."""

STALE_AFTER = timedelta(minutes=10)
"""Glue dries and drying ends while nothing is written down."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadyNow:
    """All that the page of readiness shows."""

    ready: Readiness
    breakage: BreakageMap
    survival: tuple[Survival, ...]


@dataclass(slots=True)
class Judge:
    """Answers for one site; several phones that ask at once share one answer."""

    _pool: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1, "readiness"))
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _asked: tuple[object, ...] = ()
    _at: datetime | None = None
    _answer: Future[ReadyNow] | None = None

    def ready(self, plan: Plan, state: State, checklist: Checklist, *, now: datetime,
              patience_s: float) -> ReadyNow | None:
        """The answer, or None while it is being computed. Raises what the statics raise."""
        with self._lock:
            answer = self._begun(plan, state, checklist, now=now)
        try:
            return answer.result(patience_s)
        except (TooLong, CancelledError):
            return None

    def _begun(self, plan: Plan, state: State, checklist: Checklist, *, now: datetime) -> Future[ReadyNow]:
        asked = (plan.way, state.last_number, len(state.entries))
        fresh = self._at is not None and abs(now - self._at) < STALE_AFTER
        if self._answer is None or asked != self._asked or not fresh:
            if self._answer is not None:
                self._answer.cancel()   # not begun yet and out of date: on a large frame each takes minutes
            self._asked, self._at = asked, now
            self._answer = self._pool.submit(_judged, plan, state, checklist, now)
        return self._answer


def _judged(plan: Plan, state: State, checklist: Checklist, now: datetime) -> ReadyNow:
    from fieldapp.reports.damage.breakage_map import breakage_map  # these bring in scipy, which `serve` starts without
    from fieldapp.reports.readiness.prepared import prepared
    from fieldapp.reports.readiness.readiness import readiness
    from fieldapp.reports.readiness.survival import survival

    with as_written():      # kept for readers of every language, who are told it again in theirs
        return ReadyNow(readiness(plan, state, checklist, now=now),
                        breakage_map(state, plan, prepared(state.kit, plan).asked), survival(state))


def judge() -> Judge:
    """That of the application that answers this request."""
    found: Judge = current_app.extensions.setdefault(EXTENSION, Judge())
    return found
