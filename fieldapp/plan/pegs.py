"""Pegs and ballast as steps of the plan: which feet are held, before which step, and how much each must hold."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeldFoot:
    """A foot that must be pegged, anchored or weighed down."""

    hub: str
    up_n: float
    """What must hold it down, design value [N]; 0 if it is only kept from sliding."""
    sideways_n: float
    """What must keep it from sliding besides friction, design value [N]."""
    needed_from: int
    """Number of the first step after which it needs it: held until that step has been taken back at the strike."""


@dataclass(frozen=True, slots=True)
class Pegging:
    """Feet that are held at one time, a step of the work of its own; all stand by then."""

    before: int
    """Number of the step that waits for it; one more than there are steps: once everything is in."""
    feet: tuple[HeldFoot, ...]

    @property
    def hubs(self) -> tuple[str, ...]:
        """Their places."""
        return tuple(foot.hub for foot in self.feet)

    @property
    def up_n(self) -> float:
        """What each must hold straight up at least: the most that one of them is asked [N]."""
        return max((foot.up_n for foot in self.feet), default=0.0)

    @property
    def sideways_n(self) -> float:
        """What each must hold sideways at least, likewise [N]."""
        return max((foot.sideways_n for foot in self.feet), default=0.0)


def held_before(peggings: Iterable[Pegging], number: int) -> tuple[HeldFoot, ...]:
    """Feet that the plan has held before a step, in the order in which that is done."""
    return tuple(foot for pegging in peggings if pegging.before <= number for foot in pegging.feet)
