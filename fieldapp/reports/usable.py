"""Which parts may go into a frame, and why the others may not."""

from datetime import datetime
from typing import Literal

from fieldapp.kit.kit import Part
from fieldapp.log.state import State

Stock = Literal["sound", "watch", "quarantined", "drying", "missing", "scrapped"]

STOCK: tuple[Stock, ...] = ("sound", "watch", "quarantined", "drying", "missing", "scrapped")
"""In the order they are shown."""


def stock_of(state: State, part_id: str, now: datetime) -> Stock:
    """Where a part counts: its condition, unless it is missing or its glue or drying needs more time."""
    past = state.parts[part_id]
    if past.condition == "scrapped":
        return "scrapped"
    if past.missing:
        return "missing"
    if past.condition != "quarantined" and past.usable_from is not None and past.usable_from > now:
        return "drying"
    return past.condition


def usable_parts(state: State, now: datetime) -> tuple[Part, ...]:
    """Sound and watched parts that are there and ready, in the kit's order."""
    return tuple(part for part in state.all_parts() if stock_of(state, part.id, now) in ("sound", "watch"))
