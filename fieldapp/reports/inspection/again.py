"""Inspections that turned old: by time, wettings, raises and hours standing since; such a part is to be seen again."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.clock import whole_months
from fieldapp.base.said import Row, Said, Value, row, say, say_n
from fieldapp.kit.seen_again import SeenAgain
from fieldapp.log.entry import Entry
from fieldapp.log.state import State
from fieldapp.log.steps import part_by_part
from fieldapp.reports.inspection import latest_round
from fieldapp.reports.parts.history import raise_of
from fieldapp.reports.parts.stood import hours_stood

MOST_TOLD = 3
"""Kinds of old inspections told one by one in a sentence (in no formula)."""


@dataclass(frozen=True, slots=True)
class OldCheck:
    """Why an inspection is old: only what reached its limit, 0 for the rest."""

    months: int = 0
    """Whole months since."""
    wettings: int = 0
    raises: int = 0
    hours: int = 0
    """Whole hours that it stood since."""

    @property
    def why(self) -> Row:
        """"looked at 14 months ago, raised since"."""
        return row(self._why())

    def _why(self) -> Iterator[Said]:
        if self.months:
            yield say_n("looked at {n} month ago", "looked at {n} months ago", self.months)
        if self.wettings:
            yield say_n("wetted since", "wetted {n} times since", self.wettings)
        if self.raises:
            yield say_n("raised since", "raised {n} times since", self.raises)
        if self.hours:
            yield say_n("stood {n} hour since", "stood {n} hours since", self.hours)

    @property
    def said(self) -> Said:
        """For a person with the part in hand."""
        return say("to be seen again: {why}", why=self.why)


def checked_parts(state: State) -> frozenset[str]:
    """Parts checked in the latest round, old inspections among them."""
    return frozenset(part for part in state.parts if _check_of(state, part) is not None)


def inspected_parts(state: State, limits: SeenAgain, *, now: datetime) -> frozenset[str]:
    """Parts checked in the latest round, whose inspection is not old."""
    return checked_parts(state) - old_checks(state, limits, now=now).keys()


def old_checks(state: State, limits: SeenAgain, *, now: datetime) -> Mapping[str, OldCheck]:
    """Parts checked in the latest round, whose inspection is old, in the kit's order."""
    found = {part.id: old_check(state, part.id, limits, now=now) for part in state.all_parts()}
    return {part: old for part, old in found.items() if old is not None}


def old_check(state: State, part: str, limits: SeenAgain, *, now: datetime) -> OldCheck | None:
    """Why a part is to be seen again; None if its inspection counts, or it was not checked in the latest round at all.

    Notes
    -----
    While a raise runs it is judged as of its start: what turns old while it stands does not stop it, and counts once
    it has ended. What is written down outside every raise counts as one raise together. Each entry that says soaked,
    or come in wet, is a wetting. A check in the future, by a clock that was wrong, counts as of now.
    """
    check, running = _check_of(state, part), state.running_raise
    if check is None:
        return None
    moment = now if running is None else min(now, running.started)
    since = [(entry, raise_of(state, entry)) for entry in _own(state, part) if entry.position > check.position]
    past = [(entry, during) for entry, during in since if during is None or during != running]
    months, wettings = whole_months(check.at, moment), sum(is_wetting(entry) for entry, _during in past)
    raises = len({during and during.key for entry, during in past if entry.kind == "fitted"})
    hours = int(hours_stood(state, part, moment, since=check, besides=running))
    found = OldCheck(months if months >= limits.months else 0, wettings if wettings >= limits.wettings else 0,
                     raises if raises >= limits.raises else 0, hours if hours >= limits.hours else 0)
    return None if found == OldCheck() else found


def _check_of(state: State, part: str) -> Entry | None:
    """Its last check, if that was in the latest round."""
    chosen, past = latest_round(state), state.parts[part]
    return None if chosen is None or past.round != chosen.key or past.last_check is None else \
        state.index[past.last_check]


def _own(state: State, part: str) -> tuple[Entry, ...]:
    """What counts of a part, steps as if it alone had been pressed."""
    return tuple(entry for entry in part_by_part(state, map(state.index.__getitem__, state.parts[part].entries))
                 if entry.part == part)


def is_wetting(entry: Entry) -> bool:
    """True if an entry says that its part got wet."""
    came_in = entry.data.get("came_in")
    return (entry.kind == "damaged" and entry.data.get("what") == "soaked") or (
        entry.kind == "stored" and isinstance(came_in, list | tuple) and "wet" in came_in)


def old_said(old: Mapping[str, OldCheck]) -> Row:
    """Of several parts: "7 looked at 14 months ago; 3 raised since", the commonest first."""
    groups = by_reason(old)
    told: list[Value] = [Row((len(parts), why.why), " ") for why, parts in groups[:MOST_TOLD]]
    return Row((*told, "…") if len(groups) > MOST_TOLD else tuple(told), "; ")


def by_reason(old: Mapping[str, OldCheck]) -> list[tuple[OldCheck, tuple[str, ...]]]:
    """Old inspections with the parts that have them, the commonest first."""
    groups: dict[OldCheck, list[str]] = {}
    for part, why in old.items():
        groups.setdefault(why, []).append(part)
    return [(why, tuple(parts)) for why, parts in sorted(groups.items(), key=lambda group: -len(group[1]))]
