"""What stands, as records: holds, arm utilisation, limits. Without words: `wording.standing` puts them into words."""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from fieldapp.base.said import Said
from fieldapp.plan.pegs import HeldFoot
from fieldapp.statics.governs import WEIGHT, Limit
from fieldapp.statics.wind import WindLimit

HowItStands = Literal["nothing stands", "stands", "hold", "clear"]

BREAKS_AT = 1.0
"""Share of what gives way first under 1.35 × weight above which it is computed to break [1].
Source: definition of the design value, EN 1990 6.4.2, as in Steel Buildings in Europe, part 3, 3.2.
Test: tests/reports/standing/test_standing.py"""


def breaks_at(bears: Limit) -> bool:
    """True if an arm, a tube or the whole of what bears so many times its design weight gives way under it."""
    return _use(bears) > BREAKS_AT


def _use(bears: Limit) -> float:
    return 1.0 / bears.value if bears.value > 0 else np.inf


@dataclass(frozen=True, slots=True)
class Hold:
    """A hub that somebody or a prop must hold now."""

    hub: str
    height_mm: float
    """Above the ground, now [mm]."""
    stand_on: Said
    reachable: bool
    force_n: float | None
    """What the hands bear under the weight as it is [N]; None where the arms alone still keep it and it is only
    steadied."""


@dataclass(frozen=True, slots=True)
class HubUtilisation:
    """The most used arm of a hub under the weight as it is."""

    hub: str
    arm: int
    strut: str
    utilisation: float


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """A strut that one arm holds alone."""

    strut: str
    hub: str
    """The hub that holds it."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One moment of the frame. Without words: see `wording.standing`."""

    hubs: tuple[str, ...] = ()
    """Hub places filled now."""
    struts: tuple[str, ...] = ()
    """Strut places filled now."""
    in_hand: tuple[str, ...] = ()
    """Hubs that no strut ties to anything, struts that no hub holds: they are not counted as standing."""
    stands_on: tuple[str, ...] = ()
    carried_at: tuple[str, ...] = ()
    stands: bool = True
    """On what it rests alone, arms bending where geometry does not hold."""
    stands_held: bool = True
    """The same with the holds held."""
    falls: tuple[str, ...] = ()
    """Hubs that would move without any resistance if nobody held anything."""
    holds: tuple[Hold, ...] = ()
    arms: tuple[HubUtilisation, ...] = ()
    """The most used arm of each hub, in the order of the frame."""
    design_utilisation: float = 0.0
    """Largest arm utilisation under 1.35 × weight with what is locked in, the holds held if it does not stand alone."""
    locked_utilisation: float = 0.0
    """Largest arm utilisation that struts of other lengths lock in; 0 if none was measured."""
    bears: Limit = field(default_factory=lambda: Limit(WEIGHT, np.inf))
    """Times its design weight (1.35 × weight) that it bears, with what gives way first: below 1 it breaks."""
    loose_ends: tuple[LooseEnd, ...] = ()
    limits: tuple[Limit, ...] = ()
    """What it bears besides its weight, see `plan.limits`; pushes are at the hubs placed last, one for each team."""
    unpegged: tuple[HeldFoot, ...] = ()
    """Feet that should be pegged or weighed down for what stands, and are not logged as such."""
    lean_n: float = np.inf
    """With what force somebody might push by mistake, as the design says [N]."""
    tested: bool = True
    """False where nobody has tested what its parts bear: then it stands by its shape, and more is not known."""

    def limits_of(self, kind: str) -> tuple[Limit, ...]:
        """Those of one kind."""
        return tuple(limit for limit in self.limits if limit.kind == kind)

    @property
    def breaks(self) -> bool:
        """True if an arm, a tube or the whole of it gives way under 1.35 × weight."""
        return breaks_at(self.bears)

    @property
    def worst_utilisation(self) -> float:
        """Share of what gives way first under 1.35 × weight; infinite if it does not stand."""
        return _use(self.bears)

    @property
    def wind(self) -> WindLimit | None:
        """None while it is carried, does not stand, or has no strut."""
        return next((limit for limit in self.limits if isinstance(limit, WindLimit)), None)

    @property
    def weakest(self) -> HubUtilisation | None:
        """The most used arm of all; None if no strut ties two hubs."""
        return max(self.arms, key=lambda one: one.utilisation, default=None)

    @property
    def held_hubs(self) -> tuple[str, ...]:
        """Names of the hubs to hold."""
        return tuple(hold.hub for hold in self.holds)

    @property
    def verdict(self) -> HowItStands:
        """The answer in one word."""
        if not self.hubs and not self.struts:
            return "nothing stands"
        if not self.stands_held or self.breaks:
            return "clear"
        return "hold" if self.holds else "stands"
