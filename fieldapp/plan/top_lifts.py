"""A top piece lifted at its rim by so many people: what it bears then, and how far one of them may lag."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.plan.bounds import LAG_BY_EYE_MM
from fieldapp.plan.case import Case
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.stages import analysis
from fieldapp.plan.ways import levels
from fieldapp.statics.governs import Limit

FEWEST = 3
"""Fewer people than this keep no piece level [1]. Source: our choice. Test: tests/plan/test_weak_arms.py"""


@dataclass(frozen=True, slots=True)
class RimLift:
    """A piece held up at some of its rim hubs, one person at each, judged as any stage that is carried."""

    lifters: tuple[str, ...]
    bears: Limit
    """Times its design weight, the least of all that gives way."""
    lag: Limit
    """How far one of them may be behind the others [mm]."""

    @property
    def use(self) -> float:
        """Share of what gives way first under 1.35 × weight."""
        return 1.0 / self.bears.value if self.bears.value > 0 else np.inf


@dataclass(frozen=True, slots=True)
class TopLift:
    """A top piece, all levels from one up, lifted at the hubs of its lowest level."""

    level: int
    hubs: tuple[str, ...]
    mass_kg: float
    at: tuple[RimLift, ...]
    """Every number of lifters from 3 to all, evenly spaced."""

    @property
    def fewest(self) -> RimLift | None:
        """Fewest lifters with which nothing breaks, one of them lagging by `LAG_BY_EYE_MM`; None if not even all do."""
        good = (way for way in self.at if way.use <= 1.0 and way.lag.value >= LAG_BY_EYE_MM)
        return min(good, key=lambda way: len(way.lifters), default=None)


def top_lifts(case: Case, left_out: Sequence[str]) -> Iterator[TopLift]:
    """Every top piece of at least three rim hubs, smallest first, lifted in all the ways a crew would.

    Source: (P13), (S22). Test: tests/plan/test_weak_arms.py
    """
    missing = set(left_out)
    order = levels(case.frame, left_out)
    for level in range(len(order) - 1, -1, -1):
        hubs = tuple(name for above in order[level:] for name in above)
        if len(order[level]) < FEWEST:
            continue
        struts = tuple(s.name for s in case.frame.struts_between(hubs) if s.name not in missing)
        ways = tuple(_lifted(case, hubs, struts, _spread(order[level], count))
                     for count in range(FEWEST, len(order[level]) + 1))
        mass_kg = sum(case.kit.by_place[place].mass_kg for place in (*hubs, *struts))
        yield TopLift(case.frame.hub(order[level][0]).level, hubs, mass_kg, ways)


def _lifted(case: Case, hubs: tuple[str, ...], struts: tuple[str, ...], lifters: tuple[str, ...]) -> RimLift:
    stage = analysis(case, Fitted(hubs, struts, (), lifters))
    return RimLift(lifters, stage.verdict, stage.lag)


def _spread(rim: Sequence[str], count: int) -> tuple[str, ...]:
    """`count` hubs, as evenly as the rim allows."""
    return tuple(rim[i * len(rim) // count] for i in range(count))
