"""What stands on trust: parts whose label nobody read, and parts that were used although the kit was not fit."""

from collections.abc import Iterable, Iterator

from fieldapp.base.said import Said, row, say
from fieldapp.kit.numbering import short_name
from fieldapp.log.state import State


def trust_said(state: State, part_id: str) -> Iterator[Said]:
    """Of one part, for whoever has it in hand."""
    past = state.parts[part_id]
    if past.not_scanned:
        yield say("By step, not scanned: compare the label with this ID.")
    entry = state.index.get(past.went_on or "")
    if entry is not None:
        yield say("The kit was not fit, this part among the reasons. {who} went on: {reason}",
                  who=entry.told("by"), reason=str(entry.data.get("reason", "")))


def not_scanned_said(state: State, parts: Iterable[str]) -> Said | None:
    """Of the parts of a step that comes out; None if every label was read."""
    trusted = [short_name(part) for part in parts if part in state.parts and state.parts[part].not_scanned]
    return say("By step, not scanned: {parts}. Read their labels.", parts=row(trusted)) if trusted else None
