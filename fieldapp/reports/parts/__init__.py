"""Which parts may go into a frame, and why the others may not."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from fieldapp.base.said import Said
from fieldapp.kit.kit import Part, PartKind
from fieldapp.log.state import State

Stock = Literal["sound", "watch", "quarantined", "drying", "missing", "away", "scrapped"]

STOCK: tuple[Stock, ...] = ("sound", "watch", "quarantined", "drying", "missing", "away", "scrapped")
"""In the order they are shown."""


@dataclass(frozen=True, slots=True)
class Unsound:
    """A part to be mended, looked at again, or found."""

    part: str
    kind: PartKind
    part_class: str
    condition: Literal["sound", "watch", "quarantined", "scrapped"]
    missing: bool
    words: tuple[Said, ...]
    """Its open defects, newest last."""
    usable_from: datetime | None
    """Mended already, but glue or drying needs until then."""
    box: str
    """The bundle it is in, if one is known."""


def stock_of(state: State, part_id: str, now: datetime) -> Stock:
    """Where a part counts: its condition, unless it is at another kit or missing, or glue or drying needs more time."""
    past = state.parts[part_id]
    if past.away is not None:
        return "away"
    if past.condition == "scrapped":
        return "scrapped"
    if past.missing:
        return "missing"
    if past.condition != "quarantined" and past.usable_from is not None and past.usable_from > now:
        return "drying"
    return past.condition


def may_go_in(state: State, part_id: str) -> bool:
    """True if a part may be fitted as far as the log knows: sound or watch, here, dry by the time of its last entry.

    A page that looks at no clock may so keep one out until the next entry, and never lets one in too early.
    """
    past = state.parts[part_id]
    wet = past.usable_from is not None and bool(state.entries) and past.usable_from > state.entries[-1].at
    return past.usable and not wet


def usable_parts(state: State, now: datetime) -> tuple[Part, ...]:
    """Sound and watched parts that are there and ready, in the kit's order."""
    return tuple(part for part in state.all_parts() if stock_of(state, part.id, now) in ("sound", "watch"))


def unsound_parts(state: State) -> tuple[Unsound, ...]:
    """Watched, quarantined and missing parts, in the kit's order; scrapped ones are gone for good."""
    return tuple(Unsound(part.id, part.kind, part.part_class, past.condition, past.missing, past.reasons,
                         past.usable_from, past.bundle or "")
                 for part in state.all_parts() for past in (state.parts[part.id],)
                 if past.away is None
                 and (past.condition in ("watch", "quarantined") or (past.missing and past.condition == "sound")))
