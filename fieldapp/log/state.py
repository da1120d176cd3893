"""The state of kit and frame: a pure fold of the log."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Condition = Literal["sound", "watch", "quarantined", "scrapped"]


@dataclass(frozen=True, slots=True)
class PartState:
    """What the log says of one part now."""

    condition: Condition = "sound"
    missing: bool = False
    fitted_at: str | None = None
    """Place where it sits in the standing frame, None in the stores."""
    reasons: tuple[str, ...] = ()
    """Open defects in words, newest last."""
    entries: tuple[int, ...] = ()
    """Numbers of the entries about it, oldest first."""


@dataclass(frozen=True, slots=True)
class State:
    """All that pages and reports need to know of the past."""

    last_number: int
    allocation: Mapping[str, str]
    """Place → ID of the part meant for it now (exchanges change this)."""
    fitted: Mapping[str, str]
    """Place → ID of the part that sits there."""
    parts: Mapping[str, PartState] = field(repr=False)
    """Every part ID of the kit."""

    def is_fitted(self, place: str) -> bool:
        """True if some part sits at `place`."""
        return place in self.fitted
