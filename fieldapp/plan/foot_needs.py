"""What the feet of a stage do to the ground and ask of pegs: the one place where plans ask the statics of feet."""

import math
from collections.abc import Iterable

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_G_HOLDING
from fieldapp.frame.frame import FloatArray
from fieldapp.plan.footing import footing_of
from fieldapp.plan.pegging import FootNeed, Needs
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics.feet.footing import Footing
from fieldapp.statics.feet.records import FootDemand
from fieldapp.statics.solved import Solved


def foot_demands(stage: StageAnalysis, number: int) -> tuple[FootDemand, ...]:
    """What each foot of the stage after a step does to the ground, and what must hold it if nothing else does.

    Source: (P16). Test: tests/plan/test_pegging.py
    """
    feet, answer = stage.feet, stage.solved
    if stage.fitted.carried_at or not isinstance(answer, Solved) or not stage.tied:
        return tuple(_quiet(number, foot) for foot in feet)
    at = [stage.case.model.hub_index[foot] for foot in feet]
    weight = answer.ready.reactions(answer.weight.displacements, answer.weight.load.hubs_n)[0, at, :3]
    on = footing_of(stage.case.design.ground, feet)
    return tuple(_demand(number, on, row, weight[row]) for row in range(len(feet)))


def needs_of(demands: Iterable[FootDemand]) -> Needs:
    """What must hold each foot of one stage."""
    return {one.foot: FootNeed(one.must_hold_up_n, one.must_hold_side_n) for one in demands}


def _demand(number: int, on: Footing, row: int, force_n: FloatArray) -> FootDemand:
    """One foot under weight; `force_n` is what the ground gives it."""
    press_n, side_n = float(force_n[2]), math.hypot(float(force_n[0]), float(force_n[1]))
    factors = np.array([GAMMA_G, GAMMA_G_HOLDING])
    grip_n = np.minimum(on.friction[row] * np.maximum(press_n * factors, 0.0), on.most_sideways_n[row])
    up_n = max(0.0, float((-press_n * factors).max()))
    slide_n = max(0.0, float((side_n * factors - grip_n).max()))
    return FootDemand(str(number), on.feet[row], max(press_n, 0.0), max(-press_n, 0.0), side_n, under="weight",
                      from_deg=None, lifts=press_n < 0.0, slips=slide_n > 0.0, must_hold_up_n=up_n,
                      must_hold_side_n=slide_n)


def _quiet(number: int, foot: str) -> FootDemand:
    """A foot that asks nothing: what stands on it is carried, falls, or is no more than the hub itself."""
    return FootDemand(str(number), foot, 0.0, 0.0, 0.0, under="weight", from_deg=None, lifts=False, slips=False,
                      must_hold_up_n=0.0, must_hold_side_n=0.0)
