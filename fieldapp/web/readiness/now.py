"""Readiness as it stands now: computed beside the pages, once for each state of the log, and kept."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from fieldapp.kit.checklist import Checklist
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.damage.breakage_map import BreakageMap
from fieldapp.reports.readiness import Readiness
from fieldapp.reports.readiness.survival import Survival
from fieldapp.web.common.beside import beside

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


@dataclass(frozen=True, slots=True, eq=False)
class _Question:
    """One moment of the log; for ten minutes it is the same question."""

    way: str
    last_number: int
    entries: int
    at: datetime

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and hash(self) == hash(other) and abs(self.at - other.at) < STALE_AFTER

    def __hash__(self) -> int:
        return hash((self.way, self.last_number, self.entries))


def ready_now(plan: Plan, state: State, checklist: Checklist, *, now: datetime, patience_s: float) -> ReadyNow | None:
    """The answer, or None while it is being computed. Raises what the statics raise."""
    return beside().answer("readiness", _Question(plan.way, state.last_number, len(state.entries), now),
                           lambda: _judged(plan, state, checklist, now), patience_s=patience_s)


def _judged(plan: Plan, state: State, checklist: Checklist, now: datetime) -> ReadyNow:
    from fieldapp.reports.damage.breakage_map import breakage_map  # these bring in scipy, which `serve` starts without
    from fieldapp.reports.readiness import readiness
    from fieldapp.reports.readiness.survival import survival
    from fieldapp.reports.standing.demand import sound_demand

    return ReadyNow(readiness(plan, state, checklist, now=now),
                    breakage_map(state, plan, sound_demand(state.kit, plan)), survival(state))
