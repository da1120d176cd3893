"""The ground a frame stands on: how much of its weight friction holds, or what a clay holds by its cohesion.

Friction is what is left for a foot of any material: the least value that a source gives for that ground. Where no
source was found the value is more careful than all that were, and called our choice.
"""

from dataclasses import dataclass
from typing import Literal

GroundName = Literal["grass", "gravel", "sand", "clay", "concrete", "wooden floor"]

N_PER_KPA_CM2 = 0.1
"""One kPa on one cm² [N]. Source: exact. Test: tests/base/test_ground.py"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """One kind of ground."""

    friction_wet: float
    """Sideways hold ÷ what presses a foot down, wet [1]."""
    friction_dry: float
    """The same, dry [1]."""
    cohesion_kpa: float = 0.0
    """Sideways hold ÷ area of the foot, whatever presses it down [kPa]."""
    takes_pegs: bool = True
    """False where no peg can be driven: a floor takes ballast, or anchors that are screwed in."""

    def cohesion_n(self, area_cm2: float, own_kpa: float | None = None) -> float:
        """What cohesion holds on an area [N]; an own value beats the table.

        Examples
        --------
        >>> GROUNDS["clay"].cohesion_n(50.0)
        31.0
        """
        return (self.cohesion_kpa if own_kpa is None else own_kpa) * area_cm2 * N_PER_KPA_CM2


GROUNDS: dict[GroundName, Ground] = {
    "grass": Ground(friction_wet=0.15, friction_dry=0.20),
    "gravel": Ground(friction_wet=0.35, friction_dry=0.35),
    "sand": Ground(friction_wet=0.25, friction_dry=0.25),
    "clay": Ground(friction_wet=0.0, friction_dry=0.0, cohesion_kpa=6.2),
    "concrete": Ground(friction_wet=0.10, friction_dry=0.10, takes_pegs=False),
    "wooden floor": Ground(friction_wet=0.10, friction_dry=0.20, takes_pegs=False),
}
"""By the name in the design file [1, kPa]. Gravel .35, sand .25, clay no friction but 130 lbf/ft² of contact: IBC 2012
Table 1806.2. Concrete .10: plain steel on cast concrete, the least of BS 5975:2008 as The Concrete Society quotes it;
what the foot is made of is not asked. Grass and wooden floors: no source was found; dry .20 is the least of the soils
in NAVFAC DM 7.02 (steel on silt) and less than half of its masonry on wood (.50), wet is less still: our choice.
Source: IBC 2012 Table 1806.2; NAVFAC DM 7.02 (1986) Table 1; BS 5975:2008; our choice.
Test: tests/reference/test_ground.py"""

COHESION_SHARE = 0.5
"""Cohesion counts for at most this part of what presses a foot down [1].
Source: our choice: without it clay would hold more; IBC 2012 1806.3.2 has the same. Test: tests/base/test_ground.py"""

SATURATED = 0.5
"""What is left of a stake's hold once the soil is saturated, if it was pulled while the ground was dry [1].
Source: stake study of the University of Illinois for IFAI (2006), as a trade magazine reports it.
Test: tests/base/test_ground.py"""

OF_LOWEST_PULL = 0.5
"""What a peg counts for, as a part of the lowest pull at which one began to move [1].
Source: our choice, as for one or two break tests; ICC-ES AC358 (as quoted) halves screw anchors likewise. Single rods
came out at a third of their neighbours. Test: tests/base/test_ground.py"""


def peg_hold_n(pulls_n: tuple[float, ...], *, pulled_wet: bool, wet: bool) -> float:
    """What a peg counts for by its own pull tests [N]; 0 without any.

    Source: our choice (see `OF_LOWEST_PULL`). Test: tests/base/test_ground.py

    Parameters
    ----------
    pulls_n : tuple of float
        At which each began to move. [N]
    pulled_wet : bool
        True if the ground was wet through then.
    wet : bool
        True if it may become so.

    Examples
    --------
    >>> peg_hold_n((600.0, 480.0), pulled_wet=False, wet=True)
    120.0
    >>> peg_hold_n((), pulled_wet=True, wet=True)
    0.0
    """
    soaked = SATURATED if wet and not pulled_wet else 1.0
    return min(pulls_n, default=0.0) * OF_LOWEST_PULL * soaked
