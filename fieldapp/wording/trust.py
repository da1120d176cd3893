"""What stands on trust: parts whose label nobody read, and parts that were used although the kit was not fit."""

from collections.abc import Iterable, Iterator

from fieldapp.base.said import Said, row, say
from fieldapp.kit.numbering import short_name
from fieldapp.log.state import State


def trust_said(state: State, part_id: str) -> Iterator[Said]:
    """Of one part, for whoever has it in hand."""
    past = state.parts[part_id]
    if past.borrowed is not None and past.away is None:
        yield say("Borrowed from {kit}: it goes back there.", kit=past.borrowed.other)
    if past.not_scanned:
        yield say("By step, not scanned: compare the label with this ID.")
    entry = state.index.get(past.went_on or "")
    if entry is not None:
        yield say("The kit was not fit, this part among the reasons. {who} went on: {reason}",
                  who=entry.told("by"), reason=str(entry.data.get("reason", "")))


def not_scanned(state: State, parts: Iterable[str]) -> tuple[str, ...]:
    """Those of the parts whose label nobody read when they went in."""
    return tuple(part for part in parts if part in state.parts and state.parts[part].not_scanned)


def not_scanned_said(parts: Iterable[str], *, most: int | None = None) -> Said | None:
    """Of parts whose label nobody read, as a card or a list says it; None of none."""
    trusted = row([short_name(part) for part in parts], most=most)
    return say("By step, not scanned: {parts}. Read their labels.", parts=trusted) if trusted.items else None
