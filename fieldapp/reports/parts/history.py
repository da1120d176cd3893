"""What a part, and the whole kit, went through: across raises, with what was withdrawn."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from fieldapp.base.said import Said, Value
from fieldapp.log.entry import Entry
from fieldapp.log.state import Raise, State
from fieldapp.log.steps import named_parts, part_by_part

LABEL_GONE = "label_gone"
"""A lost label is no damage."""

Validity = Literal["counts", "withdrawn", "without effect"]


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One entry in a history."""

    entry: Entry
    standing: Validity
    why: Value
    """Reason of the withdrawal, or why it had no effect; empty if it counts."""
    raise_name: str
    """The raise it fell into; empty between raises."""


@dataclass(frozen=True, slots=True)
class PartUse:
    """How often a part was used, broken, mended, checked."""

    part: str
    raises: int
    """In how many raises it was fitted at least once; fittings outside any raise count as one together."""
    fitted: int
    damaged: int
    repaired: int
    checked: int


@dataclass(frozen=True, slots=True)
class Break:
    """Damage that was logged and not withdrawn."""

    entry: Entry
    part: str
    part_class: str
    place: str | None
    """Where it sat at the time; None in the stores."""
    what: str
    severity: str
    raise_name: str


def history(state: State, entries: Iterable[Entry] | None = None) -> tuple[HistoryLine, ...]:
    """The whole log, or the entries given, oldest first, each with how it stands."""
    chosen = state.entries if entries is None else tuple(entries)
    clashes = {clash.key: clash.words for clash in state.clashes if clash.part is None}
    return tuple(_line(state, entry, clashes) for entry in chosen)


def part_history(state: State, part: str) -> tuple[HistoryLine, ...]:
    """All that was logged about one part, oldest first, withdrawn entries among it."""
    clashes = {clash.key: clash.words for clash in state.clashes if clash.part in (None, part)}
    return tuple(_line(state, entry, clashes) for entry in state.entries if part in named_parts(entry))


def part_uses(state: State) -> tuple[PartUse, ...]:
    """Use of every part, in order of the kit; only what counts."""
    counts: dict[str, dict[str, int]] = {part.id: {} for part in state.all_parts()}
    raises: dict[str, set[str]] = {part.id: set() for part in state.all_parts()}
    for entry in counting(state):
        if entry.part is None or entry.part not in counts:
            continue
        if entry.data.get("what") != LABEL_GONE:
            counts[entry.part][entry.kind] = counts[entry.part].get(entry.kind, 0) + 1
        if entry.kind == "fitted":
            raises[entry.part].add(_raise_key(state, entry))
    return tuple(PartUse(part, len(raises[part]), count.get("fitted", 0), count.get("damaged", 0),
                         count.get("repaired", 0), count.get("checked", 0)) for part, count in counts.items())


def breaks(state: State) -> tuple[Break, ...]:
    """All damage that counts, oldest first; lost labels are no damage."""
    return tuple(Break(entry, entry.part, state.part(entry.part).part_class, entry.place, str(entry.data.get("what")),
                       str(entry.data.get("severity")), _raise_name(state, entry))
                 for entry in counting(state)
                 if entry.kind == "damaged" and entry.part is not None and entry.data.get("what") != LABEL_GONE)


def counting(state: State) -> tuple[Entry, ...]:
    """Entries that are neither withdrawn nor without effect, oldest first; whole steps part by part."""
    clashes = {clash.key for clash in state.clashes if clash.part is None}
    return part_by_part(state, (entry for entry in state.entries
                                if entry.key not in state.withdrawn and entry.key not in clashes))


def raise_of(state: State, entry: Entry) -> Raise | None:
    """The raise during which an entry was made, by the order of the log; None between raises."""
    found: Raise | None = None
    for past in state.raises:
        if entry.position < state.index[past.key].position:
            break
        found = past if past.ended is None or entry.at <= past.ended else None
    return found


def _raise_name(state: State, entry: Entry) -> str:
    past = raise_of(state, entry)
    return past.name if past is not None else ""


def _raise_key(state: State, entry: Entry) -> str:
    past = raise_of(state, entry)
    return past.key if past is not None else ""


def _line(state: State, entry: Entry, clashes: dict[str, Said]) -> HistoryLine:
    raise_name = _raise_name(state, entry)
    withdrawal = state.withdrawn.get(entry.key)
    if withdrawal is not None:
        return HistoryLine(entry, "withdrawn", str(state.index[withdrawal].data.get("reason", "")), raise_name)
    if entry.key in clashes:
        return HistoryLine(entry, "without effect", clashes[entry.key], raise_name)
    return HistoryLine(entry, "counts", "", raise_name)
