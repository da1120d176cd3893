"""What pegs are asked for while every foot keeps to its springs: found at once, friction taken to help nowhere.

Upright each foot keeps the ground's spring, pressed or pulled; along the ground a pegged foot has its peg's and the
others have none. Feet that lift and slip are followed by `march`.
"""

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_G_HOLDING
from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.feet.contact import FREE
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.governs import PEG, Governs
from fieldapp.statics.response import Response


@remembered(4)
def on_springs(feet: Feet, ground_n_mm: float) -> FloatArray:
    """(3F, 3F) forces with which feet press on their springs, from those with which they would press on pins.

    Source: (G9). Test: tests/statics/feet/test_at_once.py
    """
    springs = np.zeros((feet.count, 3))
    springs[:, 2] = ground_n_mm
    springs[:, :2] = np.where(feet.on.peg_side_n > 0, feet.on.peg_stiffness_n_mm, FREE * ground_n_mm)[:, None]
    return np.asarray(springs.reshape(-1, 1) * np.linalg.inv(feet.stiffness + np.diag(springs.ravel())))


def pegs_under_pushes(feet: Feet, unit: Response) -> FeetBound:
    """Largest push, whatever its direction, until a peg is asked for more than it is taken to bear. [N]

    Source: (G9). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    feet : Feet
    unit : Response
        Three cases: 1 N along x, y, z, with the factor of pushes.
    """
    least = FeetBound(np.inf)
    if not feet.on.is_pegged:
        return least
    pressing_n = feet.pressing_n(unit)
    for ground in feet.on.stiffnesses_n_mm:
        share = on_springs(feet, ground).T
        per_n = (pressing_n @ share).reshape(3, feet.count, 3)  # (direction, foot, axis)
        up = np.sqrt(np.square(per_n[:, :, 2]).sum(axis=0))
        # (foot, direction, axis)
        side = np.linalg.norm(per_n[:, :, :2].transpose(1, 0, 2), ord=2, axis=(1, 2))
        for factor in (GAMMA_G, GAMMA_G_HOLDING):
            weight = (factor * feet.weight_n @ share).reshape(feet.count, 3)
            most = _most(feet, weight[:, 2], np.linalg.norm(weight[:, :2], axis=1), (up, side))
            at = int(most.argmin())
            if most[at] < least.value:
                least = FeetBound(float(most[at]), Governs(PEG, hub=feet.on.feet[at], taken=f"ground {ground:g} N/mm"))
    return least


def _most(feet: Feet, pull: FloatArray, side: FloatArray, grows: tuple[FloatArray, FloatArray]) -> FloatArray:
    """(F,) pushes at which each peg is used up: pull and sideways force grow straight on from those of the weight."""
    found = np.full(feet.count, np.inf)
    for bears, there, more in ((feet.on.peg_up_n, pull, grows[0]), (feet.on.peg_side_n, side, grows[1])):
        left = np.maximum(bears - there, 0.0) / np.where(more > 0, more, 1.0)
        found = np.where((bears > 0) & (more > 0), np.minimum(found, left), found)
    return found


def pegs_under_cases(feet: Feet, growing: Response, most: float) -> tuple[FloatArray, IntArray]:
    """(k,) largest factor of each load case, at most `most`, until a peg is used up, and the (k,) number of its foot.

    Source: (G9). Test: tests/statics/feet/test_at_once.py
    """
    high = np.full(len(growing.arms), most)
    if not feet.on.is_pegged:
        return high, np.full(len(high), -1)
    found, use, pressing_n = high, np.zeros((len(high), feet.count)), feet.pressing_n(growing)
    for share in (on_springs(feet, ground).T for ground in feet.on.stiffnesses_n_mm):
        weight = (feet.weight_n @ share).reshape(feet.count, 3)
        cases = (pressing_n @ share).reshape(-1, feet.count, 3)  # (case, foot, axis)
        found = np.minimum(found, _factors(feet, weight, cases).min(axis=1))
        use = np.maximum(use, _uses(feet, weight, cases, high))
    return np.where(use.max(axis=1) <= 1.0, most, np.minimum(found, most)), use.argmax(axis=1)


def _factors(feet: Feet, weight: FloatArray, cases: FloatArray) -> FloatArray:
    """(k, F) factor of each case at which a peg is used up: pull grows straight on, the sideways force as a vector.

    |f w + t c| = peg:  t = (−b + √(b² + a (peg² − |f w|²))) / a,  a = |c|²,  b = f w·c
    """
    up, side = feet.on.peg_up_n, feet.on.peg_side_n
    found = np.full(cases.shape[:2], np.inf)
    grows = np.square(cases[:, :, :2]).sum(axis=2)
    for factor in (GAMMA_G, GAMMA_G_HOLDING):
        there = factor * weight
        pulled = (up > 0) & (cases[:, :, 2] > 0)
        left = np.maximum(up - there[:, 2], 0.0) / np.where(pulled, cases[:, :, 2], 1.0)
        found = np.minimum(found, np.where(pulled, left, np.inf))
        both = (cases[:, :, :2] * there[:, :2]).sum(axis=2)
        room = np.square(side) - np.square(there[:, :2]).sum(axis=1)
        root = np.sqrt(np.maximum(np.square(both) + grows * room, 0.0))
        along = np.where(room > 0, root - both, 0.0) / np.where(grows > 0, grows, 1.0)
        found = np.minimum(found, np.where((side > 0) & (grows > 0), along, np.inf))
    return found


def _uses(feet: Feet, weight: FloatArray, cases: FloatArray, factors: FloatArray) -> FloatArray:
    """(k, F) force on each peg ÷ what it is taken to bear, the worse of both factors of the weight."""
    up, side = feet.on.peg_up_n, feet.on.peg_side_n
    worst = np.zeros((len(cases), feet.count))
    for factor in (GAMMA_G, GAMMA_G_HOLDING):
        force = factor * weight + factors[:, None, None] * cases  # (case, foot, axis)
        pull = np.where(up > 0, np.maximum(force[:, :, 2], 0.0) / np.where(up > 0, up, 1.0), 0.0)
        along = np.where(side > 0, np.linalg.norm(force[:, :, :2], axis=2) / np.where(side > 0, side, 1.0), 0.0)
        worst = np.maximum(worst, np.maximum(pull, along))
    return worst
