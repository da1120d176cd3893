"""Pushes at a hub, whatever their direction, that slide or tip the frame as a whole on its feet."""

import numpy as np

from fieldapp.base.constants import GAMMA_Q
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.feet.collapse import CollapseProgram
from fieldapp.statics.feet.inscribed import CLOSE, Inscribed, inscribed
from fieldapp.statics.feet.middle import surely_borne
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.governs import SLIDES, TIPS, Governs
from fieldapp.statics.response import Response, response


def feet_push_collapse(feet: Feet, hub: str, most_n: float) -> FeetBound:
    """Largest push at a hub, whatever its direction, that does not slide or tip the frame as a whole. [N]

    Source: (G5). Test: tests/reference/test_block_on_feet.py
    """
    return collapse_under_pushes(feet, unit_pushes(feet, hub), most_n)[0]


def unit_pushes(feet: Feet, *hubs: str) -> Response:
    """1 N along x, y, z at each hub, with the factor of pushes."""
    numbers = np.array([feet.of.stage.model.hub_index[hub] for hub in hubs])
    return response(feet.of.ready, loads.unit_pushes(feet.of.stage, numbers)) * GAMMA_Q


def collapse_under_pushes(feet: Feet, unit: Response, most_n: float, *, close: float = CLOSE
                          ) -> tuple[FeetBound, Inscribed]:
    """The largest push in any direction on the frame as a whole, and the set of pushes that are borne.

    Source: (G5). Test: tests/reference/test_block_on_feet.py
    """
    if not feet.rigid.shape[1]:  # people hold it where it could move as a whole
        return FeetBound(np.inf), Inscribed(np.inf, np.zeros(3), np.zeros((1, 3)), np.full(1, np.inf), settled=True)
    weight, pressing = feet.lightest_n, feet.pressing_n(unit)
    if surely_borne(feet, pressing, most_n):
        return FeetBound(np.inf), Inscribed(np.inf, np.zeros(3), np.zeros((1, 3)), np.full(1, np.inf), settled=True)
    ball = inscribed(CollapseProgram(feet, weight, pressing, _BOX * most_n), close, most_n)
    if not ball.settled:
        return FeetBound(0.0, settled=False), ball
    if ball.radius >= most_n:
        return FeetBound(np.inf), ball
    tips = CollapseProgram(feet, weight, pressing, most_n, tips_only=True).farthest(ball.worst)
    tipping = not tips.stands or float(tips.loads @ ball.worst) <= ball.radius * TIPS_BELOW
    return FeetBound(ball.radius, Governs(TIPS if tipping else SLIDES)), ball


def borne_share(feet: Feet, weight_n: FloatArray, pressing_n: FloatArray, most: float, *,
                tips_only: bool = False) -> float | None:
    """How many times one load, (1, 3F), feet bear as a whole, at most `most`; None if that did not settle.

    Source: (G4). Test: tests/statics/feet/test_collapse.py
    """
    found = CollapseProgram(feet, weight_n, pressing_n, most, tips_only=tips_only).farthest(np.ones(1))
    if not found.settled:
        return None
    return max(float(found.loads[0]), 0.0) if found.stands else 0.0


_BOX = 1.8
"""How far along each axis a push is looked at, ÷ what is asked for: the hull of six such pushes holds that ball [1].
Source: geometry, √3. Test: tests/statics/feet/test_collapse.py"""


TIPS_BELOW = 1.02
"""It tips if it would do so at less than this times the load even if no foot could slide [1]. Source: our choice, twice
what the ball is found to within. Test: tests/reference/test_block_on_feet.py"""


STRONGEST_N = 1e5
"""Pushes beyond count as this [N]. Source: our choice, ten tonnes. Test: tests/statics/feet/test_at_once.py"""
