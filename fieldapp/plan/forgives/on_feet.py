"""The same loads on feet that slide and lift: what pinned feet bear is borne only if no way of standing ends it."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fieldapp.frame.frame import IntArray
from fieldapp.plan.footing import footing_of
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics.feet.ending import first_to_end
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import Starts, starts_of
from fieldapp.statics.governs import UNKNOWN, Governs
from fieldapp.statics.limits import Limit, Solved
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response

MOST_REFUSED = 40
"""Places refused one by one; if there are more, all that are left are not known [1]. Source: our choice.
Test: tests/plan/test_forgives.py"""
CLOSE = 1e-9
"""Rounding of a force [1]. Source: exact but for rounding. Test: tests/plan/test_forgives.py"""


def ways_to_stand(stage: StageAnalysis, of: Solved) -> Starts:
    """All histories, springs and feet that may hang free, under the weight."""
    on = footing_of(stage.case.design.ground, stage.fitted.stands_on, stage.fitted.pegged)
    return starts_of(feet_of(of, on))


def borne_on_feet(stage: StageAnalysis, starts: Starts, unit: Response, pinned: Sequence[Limit], asked_n: float
                  ) -> tuple[Limit, ...]:
    """Limits of k cases on feet as they are, told no further than what is asked.

    Parameters
    ----------
    unit : Response
        k cases of 1 N on pinned feet, with the factor of such loads.
    pinned : sequence of Limit
        What each bears with pinned feet; several cases may be of one place.
    asked_n : float
        The force that people ask for [N].

    Returns
    -------
    tuple of Limit
        k limits. What bears the force on all ways of standing says just that, nothing governs there. What did not bear
        it with pinned feet says its own number if it keeps that on its feet, else the least of all such.
    """
    found = list(pinned)
    good = [case for case, limit in enumerate(found) if limit.value >= asked_n * (1 - CLOSE)]
    bad = [case for case in range(len(found)) if found[case].value < asked_n * (1 - CLOSE)]
    for _ in range(MOST_REFUSED):
        case, limit = _first(starts, stage, unit, good, [asked_n] * len(good), pinned)
        if limit is None:
            break
        found[case] = limit
        good = [other for other in good if other != case]
    else:
        for case in good:
            found[case] = replace(found[case], value=0.0, governs=Governs(UNKNOWN))
        good = []
    for case in good:
        found[case] = replace(found[case], value=asked_n, governs=None)
    case, least = _first(starts, stage, unit, bad, [found[case].value for case in bad], pinned)
    if least is not None:
        for other in bad:
            found[other] = replace(found[other], value=min(found[other].value, math.nextafter(least.value, math.inf)))
        found[case] = least
    return tuple(found)


def _first(starts: Starts, stage: StageAnalysis, unit: Response, cases: Sequence[int], most_n: Sequence[float],
           pinned: Sequence[Limit]) -> tuple[int, Limit | None]:
    """The case that ends at the least force, and its limit; none if all bear what is asked."""
    if not cases:
        return -1, None
    end = first_to_end(starts, stage.case.tubes, _picked(unit, np.array(cases)), np.array(most_n))
    if end.case < 0:
        return -1, None
    case = cases[end.case]
    return case, replace(pinned[case], value=end.bound.counts, governs=end.bound.governs or Governs(UNKNOWN))


def _picked(of: Response, cases: IntArray) -> Response:
    """Some cases of an answer."""
    load = of.load
    middle = None if load.at_middle_n is None else load.at_middle_n[cases]
    return Response(of.stage, of.displacements[cases], of.arms[cases],
                    Load(load.hubs_n[cases], load.arms[cases], load.across_n_mm[cases], middle))
