"""What an exchange in the standing frame is, as records: ticks in order, who holds what, what stands in between."""

import math
from dataclasses import dataclass
from typing import Literal

from fieldapp.plan.case import Case
from fieldapp.plan.fitted import Fitted
from fieldapp.statics.governs import Governs

Hindered = Literal["", "gives way", "hands", "people", "reach"]
"""Why a part cannot be taken out as the frame stands: something gives way in between, a hub asks for more than hands or
a prop give, too few people, nobody reaches it; empty if it can."""


@dataclass(frozen=True, slots=True, eq=False)
class ExchangeCase:
    """A frame with a part in it that is to be exchanged."""

    broken: Case
    """With what is left of all parts, the broken one among them."""
    sound: Case
    """The same once another part is in its place."""
    fitted: Fitted
    """What is in, and on what it rests."""
    low: tuple[str, ...] = ()
    """Hubs of a piece that is built near the ground."""
    lowered_mm: float = 0.0
    """By how much these are below their place [mm]."""

    def height_mm(self, hub: str) -> float:
        """How high a hub is now [mm]."""
        return max(0.0, float(self.sound.frame.position_mm(hub)[2]) - (self.lowered_mm if hub in self.low else 0.0))


@dataclass(frozen=True, slots=True)
class Between:
    """One state on the way."""

    fitted: Fitted
    out: tuple[str, ...]
    """Places that are empty in it, of those that the exchange touches."""
    renewed: bool
    """True once the broken part is out: from then on nothing counts of it."""
    hanging: tuple[tuple[str, int], ...] = ()
    """(strut, end) that sits on no arm for a moment."""


@dataclass(frozen=True, slots=True)
class HandHold:
    """A hub that is held, or propped, from before the first part is loosened until the last one is in again."""

    hub: str
    height_mm: float
    force_n: float
    """The most that it asks of hands or prop in any state, weight as it is [N]."""
    prop_only: bool
    """True if no person can hold it, or nobody reaches it."""


@dataclass(frozen=True, slots=True)
class ExchangeTick:
    """One act of it."""

    place: str
    goes: Literal["out", "in"]
    first_at: str = ""
    """Of a strut: the hub at which it comes off, or goes on, first; empty: both ends at once, two people, since the far
    arm does not bear it hanging."""
    spreading_mm: float = 0.0
    """How far its two hubs must be eased apart for it [mm]; 0 if it goes in freely."""
    spread_limit_mm: float = math.inf
    """How far they may be [mm]; infinite if nothing resists."""


@dataclass(frozen=True, slots=True)
class ExchangeOrder:
    """An exchange worked out before anything moves. Words: `wording.exchange`."""

    place: str
    ticks: tuple[ExchangeTick, ...] = ()
    """Struts out in order, the broken part, the other part in, the struts back; empty if it is not safe."""
    holds: tuple[HandHold, ...] = ()
    loosened: str = ""
    """Of a strut: the hub that is drawn back on its other struts first, so that it can come off and go on; empty if its
    hubs may be eased apart as far as it needs."""
    peg_first: tuple[str, ...] = ()
    """Feet that would lift or slide on the way: held before anything moves."""
    carried_at: tuple[str, ...] = ()
    """Hubs at which the piece is carried, or propped, all the while."""
    people: int = 0
    """Who is needed: one at each hub that is held or carried, and the team that works, one of them with the hub."""
    between: tuple[Between, ...] = ()
    """Every state on the way."""
    hindered: Hindered = ""
    governs: Governs | None = None
    """What gives way in between; None where something else is in the way."""
    asks: float = 0.0
    """Of hands: the force [N]; of reach: the height [mm]."""
    at: str = ""
    """The hub that asks it."""

    @property
    def safe(self) -> bool:
        """True if it can be done as the frame stands."""
        return not self.hindered

    @property
    def touches(self) -> tuple[str, ...]:
        """Places that are empty at some moment, in the order in which they come out."""
        return tuple(tick.place for tick in self.ticks if tick.goes == "out")
