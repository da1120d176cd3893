"""A raise that began although the kit was not fit: who answers for it, and why."""

from fieldapp.base.said import Said, say
from fieldapp.log.state import State


def went_on_said(state: State) -> Said | None:
    """Of the newest raise: who started it although the kit was not fit, and why; None if it was fit."""
    entry = state.index.get(state.raises[-1].key) if state.raises else None
    if entry is None or not entry.data.get("by"):
        return None
    return say("The raise “{name}” began although the kit was not fit. {who} went on: {reason}",
               name=state.raises[-1].name, who=entry.told("by"), reason=str(entry.data.get("reason", "")))
