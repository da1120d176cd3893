"""An inspection round: what was seen, by whom, with which results, and what was not yet seen."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from fieldapp.base.said import Said, Value, say
from fieldapp.kit.kit import PartKind
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import CheckedData, CheckItem
from fieldapp.log.state import Condition, Round, State, condition_said
from fieldapp.reports.parts.history import counting

Outcome = Literal["passed", "watch", "quarantined"]


def outcome_said(outcome: Outcome) -> Said:
    """What the outcome of a check is called."""
    return say("passed") if outcome == "passed" else condition_said(outcome)


@dataclass(frozen=True, slots=True)
class PartCheck:
    """The last check of one part in the round."""

    part: str
    kind: PartKind
    part_class: str
    entry: Entry
    items: tuple[CheckItem, ...]
    seen: Literal["scanned", "typed"]
    box: str
    outcome: Outcome
    """What this check said; the condition may have changed since."""
    condition: Condition
    """Now."""
    open_defects: tuple[Said, ...]
    """Now."""

    @property
    def failed(self) -> tuple[CheckItem, ...]:
        """Lines that did not pass."""
        return tuple(item for item in self.items if item.result == "fail")


@dataclass(frozen=True, slots=True)
class Unseen:
    """A part that nobody has checked in this round."""

    part: str
    kind: PartKind
    part_class: str
    box: str
    """The bundle it was stored in; empty if none is known."""
    missing: bool
    condition: Condition


@dataclass(frozen=True, slots=True)
class BoxProgress:
    """One box or bundle."""

    box: str
    parts: int
    seen: int
    inspectors: tuple[Value, ...]
    """Who has checked parts of it, the latest first."""
    holders: tuple[Value, ...]
    """Who has it now."""


@dataclass(frozen=True, slots=True)
class InspectorCount:
    """What one inspector did in the round."""

    who: Value
    checked: int
    failed: int
    box: str
    """The box of their latest check."""
    latest: datetime


@dataclass(frozen=True, slots=True)
class RoundReport:
    """A round as far as it has come."""

    round: Round
    opened_by: Value
    closed_by: Value
    checklist: str
    """Which list, as said when the round was opened."""
    checks: tuple[PartCheck, ...]
    """In the kit's order."""
    not_seen: tuple[Unseen, ...]
    boxes: tuple[BoxProgress, ...]
    """By name; parts of no known box come last, under an empty name."""
    inspectors: tuple[InspectorCount, ...]
    """By name."""

    @property
    def complete(self) -> bool:
        """True if every part that is not missing was seen."""
        return all(unseen.missing for unseen in self.not_seen)

    @property
    def outcomes(self) -> dict[Outcome, int]:
        """How many parts passed, are watched, are quarantined."""
        counted = Counter(check.outcome for check in self.checks)
        return {"passed": counted["passed"], "watch": counted["watch"], "quarantined": counted["quarantined"]}


def latest_round(state: State) -> Round | None:
    """The round that is open, else the last one; None if there never was one."""
    return state.rounds[-1] if state.rounds else None


def round_report(state: State) -> RoundReport | None:
    """The report of the latest round; None if there is none.

    Notes
    -----
    Only checks logged in the round count: whatever was known of a part before, it is not seen until
    somebody scanned it or typed its ID. Scrapped parts, and those at another kit, are no part of the round.
    """
    chosen = latest_round(state)
    if chosen is None:
        return None
    log = counting(state)
    latest = {str(entry.part): entry for entry in log
              if entry.kind == "checked" and entry.data.get("round") == chosen.key}
    checks = tuple(_part_check(state, latest[part.id]) for part in state.all_parts() if part.id in latest)
    not_seen = tuple(_unseen(state, part.id) for part in state.all_parts()
                     if part.id not in latest and state.parts[part.id].condition != "scrapped"
                     and state.parts[part.id].away is None)
    opened = state.index[chosen.key]
    return RoundReport(chosen, opened.named, _closed_by(log, chosen), str(opened.data.get("checklist", "")), checks,
                       not_seen, _boxes(chosen, checks, not_seen), _inspectors(checks))


def _part_check(state: State, entry: Entry) -> PartCheck:
    part, data = state.part(str(entry.part)), CheckedData.model_validate(entry.data)
    past = state.parts[part.id]
    return PartCheck(part.id, part.kind, part.part_class, entry, data.items, data.seen, data.box or past.bundle or "",
                     _outcome(data.items), past.condition, past.reasons)


def _outcome(items: Iterable[CheckItem]) -> Outcome:
    """What the effect of a check does: critical failures quarantine, others watch, labels neither."""
    failed = [item for item in items if item.result == "fail" and not item.label]
    if any(item.critical for item in failed):
        return "quarantined"
    return "watch" if failed else "passed"


def _unseen(state: State, part_id: str) -> Unseen:
    part, past = state.part(part_id), state.parts[part_id]
    return Unseen(part_id, part.kind, part.part_class, past.bundle or "", past.missing, past.condition)


def _boxes(chosen: Round, checks: Iterable[PartCheck], not_seen: Iterable[Unseen]) -> tuple[BoxProgress, ...]:
    seen: dict[str, list[PartCheck]] = {}
    for check in checks:
        seen.setdefault(check.box, []).append(check)
    waiting = Counter(unseen.box for unseen in not_seen)
    names = sorted({*seen, *waiting, *(held.box for held in chosen.boxes)}, key=lambda name: (name == "", name))
    return tuple(BoxProgress(name, len(seen.get(name, ())) + waiting[name], len(seen.get(name, ())),
                             _latest_first(seen.get(name, ())), chosen.holders(name)) for name in names)


def _latest_first(checks: Iterable[PartCheck]) -> tuple[Value, ...]:
    ordered = sorted(checks, key=lambda check: check.entry.position, reverse=True)
    return tuple(dict.fromkeys(check.entry.named for check in ordered))


def _inspectors(checks: Iterable[PartCheck]) -> tuple[InspectorCount, ...]:
    by_name: dict[str, list[PartCheck]] = {}
    for check in sorted(checks, key=lambda check: check.entry.position):
        by_name.setdefault(check.entry.by, []).append(check)
    return tuple(InspectorCount(own[-1].entry.named, len(own), sum(bool(check.failed) for check in own), own[-1].box,
                                own[-1].entry.at) for _by, own in sorted(by_name.items()))


def _closed_by(log: Iterable[Entry], chosen: Round) -> Value:
    if chosen.closed is None:
        return ""
    return next((entry.named for entry in log if entry.kind == "round_closed" and entry.at == chosen.closed), "")
