"""The report of one raise: what was put up and taken down, what broke, was exchanged, mended, made or lost."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from fieldapp.log.entry import Entry
from fieldapp.log.state import Raise, State
from fieldapp.reports.parts.history import Break, breaks, counting, raise_of

LISTED = ("exchanged", "repaired", "released", "made", "missing", "found", "scrapped", "label_reprinted")
"""Kinds whose entries are listed one by one, besides damage."""


@dataclass(frozen=True, slots=True)
class DayReport:
    """One raise, from unloading to stored."""

    name: str
    started: datetime
    strike_started: datetime | None
    ended: datetime | None
    fitted: int
    """Places filled, exchanges while fitting included; a place filled twice counts twice."""
    first_fitted: datetime | None
    last_fitted: datetime | None
    taken_down: int
    stored: int
    broken: tuple[Break, ...]
    listed: Mapping[str, tuple[Entry, ...]]
    """Kind → its entries, oldest first; kinds of `LISTED` that occurred."""
    moved: tuple[Entry, ...]
    """Parts fitted at a place that was not theirs, places exchanged with it."""
    withdrawn: int
    still_out: tuple[str, ...]
    """IDs of parts that sit in the frame now, or came down and were not stored."""
    by_sender: Mapping[str, int]
    """Name that the sender gave → entries."""


def day_report(state: State) -> DayReport | None:
    """The report of the newest raise; None if there is none."""
    return _report(state, state.raises[-1]) if state.raises else None


def _report(state: State, past: Raise) -> DayReport:
    entries = [entry for entry in counting(state) if (at := raise_of(state, entry)) is not None and at.key == past.key]
    of_kind: dict[str, list[Entry]] = {}
    for entry in entries:
        of_kind.setdefault(entry.kind, []).append(entry)
    fittings = of_kind.get("fitted", [])
    keys = {entry.key for entry in entries}
    return DayReport(
        past.name, past.started, past.strike_started, past.ended,
        fitted=len(fittings),
        first_fitted=fittings[0].at if fittings else None,
        last_fitted=fittings[-1].at if fittings else None,
        taken_down=len(of_kind.get("taken_down", [])),
        stored=len({entry.part for entry in of_kind.get("stored", [])}),
        broken=tuple(broken for broken in breaks(state) if broken.entry.key in keys),
        listed={kind: tuple(of_kind[kind]) for kind in LISTED if kind in of_kind},
        moved=tuple(entry for entry in fittings if entry.data.get("exchange")),
        withdrawn=len(of_kind.get("withdrawn", [])),
        still_out=_still_out(state, entries),
        by_sender=dict(sorted(Counter(entry.called for entry in entries).items())),
    )


def _still_out(state: State, entries: list[Entry]) -> tuple[str, ...]:
    """Parts used in this raise that are neither in a bundle nor written off."""
    used = dict.fromkeys(entry.part for entry in entries if entry.kind == "fitted" and entry.part)
    return tuple(sorted(part for part in used if (now := state.parts[part]).bundle is None
                        and not now.missing and now.condition != "scrapped"))
