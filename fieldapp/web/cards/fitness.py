"""Whether the kit is fit, worked out beside the pages: for the page of readiness, and for the start of a raise."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import has_app_context

from fieldapp.base.errors import RaisebookError
from fieldapp.base.said import say
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.rules import Finding, Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.damage.breakage_map import BreakageMap
from fieldapp.reports.readiness import Readiness
from fieldapp.reports.readiness.survival import Survival
from fieldapp.web.common.beside import beside

START_PATIENCE_S = 60.0
"""How long the start of a raise waits for the answer; the chief's page has asked for it before."""

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


def against_start(site: Setting, state: State, now: datetime) -> tuple[Finding, ...]:
    """What keeps the kit from being fit, for the rule of a start; answered once for the page and the press."""
    found = against_now(site, state, now, patience_s=START_PATIENCE_S)
    waits = say("it is still being worked out whether it is fit; wait a little and press again")
    return (Finding(waits),) if found is None else found


def against_now(site: Setting, state: State, now: datetime, *, patience_s: float) -> tuple[Finding, ...] | None:
    """The same for a page, which does not wait so long; None while it is being computed."""
    list_now = site.checklist if site.checklist is not None else default_checks(site.kit.design)
    try:
        found = ready_now(site.plan, state, list_now, now=now, patience_s=patience_s) if has_app_context() \
            else _judged(site.plan, state, list_now, now)
    except RaisebookError as error:
        return (Finding(error.message),)
    return None if found is None else tuple(Finding(reason.words, reason.parts) for reason in found.ready.reasons)


def _judged(plan: Plan, state: State, checklist: Checklist, now: datetime) -> ReadyNow:
    from fieldapp.reports.damage.breakage_map import breakage_map  # these bring in scipy, which `serve` starts without
    from fieldapp.reports.readiness import readiness
    from fieldapp.reports.readiness.survival import survival
    from fieldapp.reports.standing.demand import sound_demand

    return ReadyNow(readiness(plan, state, checklist, now=now),
                    breakage_map(state, plan, sound_demand(state.kit, plan)), survival(state))
