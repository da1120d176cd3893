"""How many people a lift takes: by mass, and so that no arm breaks when one of them lags."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.constants import LIFT_ABOVE_SHOULDER_CLOSE_KG
from fieldapp.plan.case import Case
from fieldapp.plan.ways import rings
from fieldapp.statics.lift import Lift, fewest_lifters, lifts

LAG_BY_EYE_MM = 20.0
"""Unevenness that people who lift on a call, by eye, stay within [mm].
Source: common practice, no source. Test: tests/statics/test_lifting_evenly.py"""


def lifters_for_mass(mass_kg: float) -> int:
    """People needed to raise `mass_kg` above the shoulder, held close, spread evenly over them.

    Source: (P13): HSE L23, INDG143; women's row from memory. Test: tests/plan/test_reach.py

    Notes
    -----
    The filter's figure for women above the shoulder, since the crew is mixed. Above the filter a
    proper assessment of the lift is due; the number is a first sieve, not a permission.

    Examples
    --------
    >>> lifters_for_mass(20.0)
    3
    """
    return max(1, math.ceil(mass_kg / LIFT_ABOVE_SHOULDER_CLOSE_KG["women"] - 1e-9))


@dataclass(frozen=True, slots=True)
class CrownLift:
    """A crown, all rings from one up, lifted at the hubs of its lowest ring."""

    ring: int
    hubs: tuple[str, ...]
    mass_kg: float
    at: tuple[Lift, ...]
    """Every number of lifters from 3 to all, evenly spaced."""
    fewest: Lift | None
    """Fewest lifters with which no arm breaks, one of them lagging by `LAG_BY_EYE_MM`; None if not even all do."""

    def lifted_at(self, count: int) -> Lift:
        """The lift at `count` hubs; KeyError if that number was not tried."""
        for lift in self.at:
            if len(lift.lifters) == count:
                return lift
        raise KeyError(count)


def crown_lifts(case: Case, left_out: Sequence[str]) -> Iterator[CrownLift]:
    """Every crown of at least three rim hubs, smallest first, lifted in all the ways a crew would.

    Each lifter bears weight only; see `statics.lift`.
    """
    missing = set(left_out)
    order = rings(case.frame, left_out)
    for ring in range(len(order) - 1, -1, -1):
        hubs = tuple(name for above in order[ring:] for name in above)
        if len(order[ring]) < 3:
            continue
        struts = tuple(s.name for s in case.frame.struts_between(hubs) if s.name not in missing)
        ways = lifts(case.model, hubs, order[ring], struts)
        mass_kg = sum(case.kit.by_place[place].mass_kg for place in (*hubs, *struts))
        yield CrownLift(case.frame.hub(order[ring][0]).ring, hubs, mass_kg, ways,
                        fewest_lifters(ways, LAG_BY_EYE_MM))
