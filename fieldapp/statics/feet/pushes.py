"""Pushes at a hub, whatever their direction, on feet that may slide and lift."""

from collections.abc import Mapping

import numpy as np

from fieldapp.base.constants import GAMMA_G_HOLDING, GAMMA_Q
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.feet.collapse import CollapseProgram
from fieldapp.statics.feet.ending import first_to_end
from fieldapp.statics.feet.inscribed import CLOSE, Inscribed, inscribed
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.feet.starts import Starts, starts_of
from fieldapp.statics.governs import SLIDES, TIPS, Governs, Limit
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response, response
from fieldapp.statics.tubes import TubeCapacity

NEAR_COLLAPSE = 0.95
"""Up to this part of the load at which feet cannot hold the frame any more strength is looked at; no more is told [1].
Source: our choice: just below it movements grow without bound. Test: tests/statics/feet/test_at_once.py"""

DIRECTIONS = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)])
"""(26, 3) towards faces, edges and corners of a cube: directions in which strength is looked at (in no formula)."""


def feet_push_limits(feet: Feet, tubes: TubeCapacity, pinned: Mapping[str, Limit]) -> dict[str, FeetBound]:
    """Largest push at each hub, whatever its direction, that these feet bear and on them all arms, tubes and pegs. [N]

    Source: (G5), (G6). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    feet : Feet
        The stage reduced to its feet, and its footing.
    tubes : TubeCapacity
        What the tubes can take.
    pinned : mapping
        Hub place → its limit on pinned feet (`limits.push_limits`); nothing above is looked at or told.
    """
    starts = starts_of(feet)
    return {hub: _push_bound(starts, tubes, hub, limit) for hub, limit in pinned.items()}


def feet_push_collapse(feet: Feet, hub: str, most_n: float) -> FeetBound:
    """Largest push at a hub, whatever its direction, that does not slide or tip the frame as a whole. [N]

    Source: (G5). Test: tests/reference/test_block_on_feet.py
    """
    return collapse_under_pushes(feet, unit_pushes(feet, hub), most_n)[0]


def unit_pushes(feet: Feet, hub: str) -> Response:
    """1 N along x, y, z at a hub, with the factor of pushes."""
    number = np.array([feet.of.stage.model.hub_index[hub]])
    return response(feet.of.ready, loads.unit_pushes(feet.of.stage, number)) * GAMMA_Q


def collapse_under_pushes(feet: Feet, unit: Response, most_n: float, *, close: float = CLOSE
                          ) -> tuple[FeetBound, Inscribed]:
    """The largest push in any direction on the frame as a whole, and the set of pushes that are borne.

    Source: (G5). Test: tests/reference/test_block_on_feet.py
    """
    if not feet.rigid.shape[1]:  # people hold it where it could move as a whole
        return FeetBound(np.inf), Inscribed(np.inf, np.zeros(3), np.zeros((1, 3)), np.full(1, np.inf), settled=True)
    weight = GAMMA_G_HOLDING * (feet.pressing_n(feet.of.weight) + feet.ballast_n(np.zeros((1, feet.count))))[0]
    pressing = feet.pressing_n(unit)
    ball = inscribed(CollapseProgram(feet, weight, pressing, most_n), close)
    if not ball.settled:
        return FeetBound(0.0, settled=False), ball
    if ball.radius >= most_n * _ALL:
        return FeetBound(np.inf), ball
    tips = CollapseProgram(feet, weight, pressing, most_n, tips_only=True).farthest(ball.worst)
    tipping = not tips.stands or float(tips.loads @ ball.worst) <= ball.radius * TIPS_BELOW
    return FeetBound(ball.radius, Governs(TIPS if tipping else SLIDES)), ball


_ALL = 0.98
"""A ball this near to what was asked for bears all of it [1]. Source: our choice, twice what it is found to within.
Test: tests/statics/feet/test_at_once.py"""
TIPS_BELOW = 1.02
"""It tips if it would do so at less than this times the load even if no foot could slide [1]. Source: our choice, twice
what the ball is found to within. Test: tests/reference/test_block_on_feet.py"""


def _push_bound(starts: Starts, tubes: TubeCapacity, hub: str, pinned: Limit) -> FeetBound:
    """The least of pinned feet, collapse, and strength on the feet that then bear."""
    most_n = min(pinned.value, STRONGEST_N)
    unit = unit_pushes(starts.feet, hub)
    collapse, ball = collapse_under_pushes(starts.feet, unit, most_n)
    if not collapse.settled or collapse.value == 0 or most_n == 0:
        return collapse if most_n else FeetBound(0.0, pinned.governs)
    least = FeetBound(most_n, pinned.governs) if collapse.value > most_n else collapse
    towards = DIRECTIONS / np.linalg.norm(DIRECTIONS, axis=1, keepdims=True)
    asked = np.minimum(least.value / between(towards), NEAR_COLLAPSE * ball.reach(towards))
    end = first_to_end(starts, tubes, _along(unit, towards), asked)
    if end.case < 0:
        return least
    borne = end.bound.value * between(towards)
    return least if borne >= least.value else FeetBound(borne, end.bound.governs, end.bound.settled, end.bound.lifts,
                                                        end.bound.slips)


STRONGEST_N = 1e5
"""Pushes beyond count as this [N]. Source: our choice, ten tonnes. Test: tests/statics/feet/test_at_once.py"""


def between(directions: FloatArray) -> float:
    """Radius of the largest ball in the hull of unit vectors, (k, 3): what lies between them is borne that far.

    Source: (G5): exact where borne pushes are a convex set. Test: tests/statics/feet/test_at_once.py
    """
    from scipy.spatial import ConvexHull  # here: scipy would slow the start of the server

    return -float(ConvexHull(directions).equations[:, -1].max())


def _along(unit: Response, directions: FloatArray) -> Response:
    """Unit pushes along k directions, (k, 3), from those along x, y, z."""
    def mixed(parts: FloatArray) -> FloatArray:
        return np.tensordot(directions, parts, axes=1)

    load = Load(mixed(unit.load.hubs_n), mixed(unit.load.arms), mixed(unit.load.across_n_mm))
    return Response(unit.stage, mixed(unit.displacements), mixed(unit.arms), load)
