"""The pure fold: a kit and a log give one State, whatever laptop the entries came from.

Rules of the fold:

- Order is (order_ms, key): the same on every laptop, so that joined logs agree. A laptop whose clock was found to be
  ahead when its log was joined has its entries put that much earlier, never before what they answer or follow.
- What an entry lifts are the entries that it answers, and no others, whatever the clocks say.
- Of several entries with one key the first in order counts.
- A withdrawn entry is left out, as if it had never been; a withdrawal can itself be withdrawn.
- An entry that finds no room (place taken, part elsewhere, unknown kind) has no effect and is listed in
  `State.clashes`; the fold never fails.
"""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass

from pydantic import ValidationError

from fieldapp.base.said import Said, say
from fieldapp.kit.kit import Kit
from fieldapp.log.draft import Draft, blank, thaw
from fieldapp.log.effects import EFFECTS
from fieldapp.log.effects_loans import not_here
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import KINDS, JoinedData, WithdrawnData
from fieldapp.log.lines import to_line
from fieldapp.log.state import Clash, State


def fold(kit: Kit, entries: Iterable[Entry]) -> State:
    """The state after all entries, given in any order and any number of times."""
    log, draft = _log_of(entries), blank(kit)
    for entry in log.entries:
        if entry.key not in log.withdrawn:
            _take_effect(draft, entry)
    return _freeze(draft, log)


def fold_from(draft: Draft, entries: Iterable[Entry]) -> State:
    """The same where the effects of these entries, all of them, were kept as a draft."""
    return _freeze(draft, _log_of(entries))


def apply(state: State, entry: Entry) -> State:
    """The state after one more entry; equal to folding the whole log again."""
    return apply_all(state, (entry,))


def apply_all(state: State, entries: Sequence[Entry]) -> State:
    """The state after more entries, in order of arrival; equal to folding the whole log again."""
    last = (state.last_ms, state.entries[-1].key) if state.entries else (0, "")
    index = dict(state.index)
    for entry in entries:
        if (entry.kind in ("withdrawn", "joined") or entry.key in index or entry.position <= last
                or any(entry.serial <= serial for serial, _ms in state.ahead.get(entry.laptop, ()))):
            return fold(state.kit, (*state.entries, *entries))
        last, index[entry.key] = entry.position, entry
    if not entries:
        return state
    draft = thaw(state)
    for entry in entries:
        _take_effect(draft, entry)
    number = max(entry.number or 0 for entry in entries)
    return _freeze(draft, _Log((*state.entries, *entries), index, state.withdrawn, max(state.last_number, number),
                               last[0], state.ahead))


Ahead = Mapping[str, tuple[tuple[int, int], ...]]


def placed(entries: Iterable[Entry]) -> tuple[Ahead, tuple[int, ...], tuple[Entry, ...]]:
    """By how much clocks were ahead, and each key once with its place in time, in the order of the fold."""
    log = in_order(entries)
    ahead = clocks_ahead(log)
    if not ahead:
        return ahead, tuple(entry.order_ms for entry in log), log
    moved = sorted(zip(_moved(log, ahead), log, strict=True), key=lambda pair: (pair[0], pair[1].key))
    return ahead, tuple(at_ms for at_ms, _entry in moved), tuple(entry for _at_ms, entry in moved)


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Each key once, in the order that the laptops' clocks gave."""
    first: dict[str, Entry] = {}
    for entry in entries:
        other = first.get(entry.key)
        if other is None or _rank(entry) < _rank(other):
            first[entry.key] = entry
    return tuple(sorted(first.values(), key=lambda entry: entry.position))


def clocks_ahead(log: Iterable[Entry]) -> Ahead:
    """Laptop → (last serial, ms ahead) of each joining that found its clock ahead, by serial."""
    found: dict[str, dict[int, int]] = {}
    for entry in log:
        if entry.kind == "joined":
            with suppress(ValidationError):
                data = JoinedData.model_validate(entry.data)
                found.setdefault(data.laptop, {})[data.serial] = data.ahead_ms
    return {laptop: tuple(sorted(serials.items())) for laptop, serials in sorted(found.items())
            if any(serials.values())}


def _moved(log: tuple[Entry, ...], ahead: Ahead) -> list[int]:
    """Place in time of each entry [ms], its laptop's clock put right; never before what it answers or follows."""
    at_ms: dict[str, int] = {}
    latest: dict[str, int] = {}
    for entry in log:
        own = entry.order_ms - next((ms for serial, ms in ahead.get(entry.laptop, ()) if entry.serial <= serial), 0)
        target = _target(entry)
        before = [latest.get(entry.laptop, -1) if entry.laptop else -1,
                  *(at_ms.get(key, -1) for key in (*(entry.answers or ()), *([target] if target else ())))]
        at_ms[entry.key] = latest[entry.laptop] = max(own, *(ms + 1 for ms in before))
    return [at_ms[entry.key] for entry in log]


def withdrawals(log: tuple[Entry, ...]) -> dict[str, str]:
    """Key withdrawn → key of the withdrawal that counts; read backwards, so that withdrawals can be withdrawn."""
    position = {entry.key: number for number, entry in enumerate(log)}
    found: dict[str, str] = {}
    for number in range(len(log) - 1, -1, -1):
        entry = log[number]
        target = _target(entry) if entry.key not in found else None
        if target is not None and position.get(target, number) < number:
            found[target] = entry.key
    return found


def _target(entry: Entry) -> str | None:
    """Key of the entry that this one takes back; None if it is no withdrawal, or not a whole one."""
    if entry.kind != "withdrawn":
        return None
    try:
        return WithdrawnData.model_validate(entry.data).entry
    except ValidationError:
        return None


def _rank(entry: Entry) -> tuple[int, str]:
    return entry.order_ms, to_line(entry)


def _take_effect(draft: Draft, entry: Entry) -> None:
    words = _effect_words(draft, entry)
    if words is None:
        draft.note(entry)
    else:
        draft.clashes.append(Clash(entry.key, words))


def _effect_words(draft: Draft, entry: Entry) -> Said | None:
    """Let the entry take effect; None, or why it has none."""
    kind = KINDS.get(entry.kind)
    if kind is None:
        return say("this version knows no entry of kind {name}", name=entry.kind)
    if kind.about == "part" and entry.part not in draft.parts:
        return say("{id} is not a part of this kit", id=str(entry.part))
    try:
        data = kind.data.model_validate(entry.data)
    except ValidationError:
        return say("the data of this {kind} entry cannot be read", kind=entry.kind)
    effect = EFFECTS.get(entry.kind)
    return not_here(draft, entry) or effect(draft, entry, data) if effect is not None else None


@dataclass(frozen=True, slots=True)
class _Log:
    """What a state keeps of the log itself."""

    entries: tuple[Entry, ...]
    index: Mapping[str, Entry]
    withdrawn: Mapping[str, str]
    last_number: int
    last_ms: int
    ahead: Ahead


def _log_of(entries: Iterable[Entry]) -> _Log:
    ahead, times, log = placed(entries)
    return _Log(log, {entry.key: entry for entry in log}, withdrawals(log),
                max((entry.number or 0 for entry in log), default=0), times[-1] if times else 0, ahead)


def _freeze(draft: Draft, log: _Log) -> State:
    return State(kit=draft.kit, last_number=log.last_number, allocation=draft.allocation, fitted=draft.fitted,
                 parts=draft.parts, made=draft.made, phase=draft.phase, way=draft.way, raises=draft.raises,
                 rounds=draft.rounds, clashes=tuple(draft.clashes), withdrawn=log.withdrawn, entries=log.entries,
                 index=log.index, last_ms=log.last_ms, ahead=log.ahead, held_feet=draft.held_feet,
                 duties=draft.duties, exchanging=draft.exchanging, stop=draft.stop, wind_read=draft.wind_read,
                 wanted=draft.wanted, where=draft.where, asks=draft.asks, log_away=draft.log_away)
