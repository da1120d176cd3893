"""What tolerances lock into a stage, in one frame of twenty: it takes from every limit, as known lock-in does.

Nobody knows it before parts are measured. It is drawn (`drawn`), not for every stage but for the lowest levels as they
are once whole, and for the whole frame: a stage counts as the smallest of these that holds all its struts.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.drawn import drawn_response, in_lots, tolerances
from fieldapp.plan.fit_limits import RANK, told
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.locked import LockedIn, settled
from fieldapp.plan.misfits import together
from fieldapp.plan.supports import kept_still, supported_stage
from fieldapp.statics.stiffness import Factored, Unstable, factored
from fieldapp.statics.tubes import tube_utilisation

LOW_LEVELS = 2
"""So many levels from the ground are drawn by themselves [1]. Source: our choice: above them hardly more is locked in
(P26). Test: tests/plan/test_tolerances.py"""
TUBE_DRAWS, TUBE_RANK = 100, 99
"""Frames drawn for tubes, and which of them is told, counted from the least [1].
Source: (P8): with 96 % confidence not below the 95 % point. Test: tests/plan/test_tolerances.py"""


@dataclass(frozen=True, slots=True)
class Tolerated:
    """What tolerances lock in; one frame of twenty has more."""

    arm_use: float = 0.0
    """Of the worst arm of the frame, of what it bears for as long as the frame stands."""
    tube_use: float = 0.0
    """The same of the worst tube."""
    place_use: float = 0.0
    """Of any one arm or tube that is looked at, the most of all: counts in limits, which one of them ends."""
    pull_n: float = 0.0
    """The largest pull on a joint [N]."""

    def beside(self, known: LockedIn | None) -> "LockInUse":
        """With what is known to be locked in: at most the sum of both.

        Source: (P26). Test: tests/plan/test_tolerances.py
        """
        if known is None:
            return LockInUse(self.place_use, 0.0, self.pull_n, self.worst)
        pull_n = max(0.0, float(known.answer.arms[..., 0].max(initial=0.0)))
        return LockInUse(known.use + self.place_use, known.use, pull_n + self.pull_n, self.worst)

    @property
    def worst(self) -> float:
        """Of the worst arm or tube of the frame."""
        return max(self.arm_use, self.tube_use)


@dataclass(frozen=True, slots=True)
class LockInUse:
    """What is locked in, known or not."""

    use: float
    """Of any one arm or tube that is looked at: it takes from limits."""
    known: float
    """Of the most used arm or tube, as far as it is known: it counts in the verdict."""
    pull_n: float
    """On the most pulled joint [N]."""
    worst: float
    """Of the worst arm or tube of the frame, by tolerances alone: told beside the verdict."""


NOTHING = Tolerated()
NO_LOCK_IN = LockInUse(0.0, 0.0, 0.0, 0.0)


def tolerated(case: Case, fitted: Fitted, tied: Sequence[str]) -> Tolerated:
    """What tolerances lock into a stage; damage leaves it, for what has lost strength has lost stiffness too.

    Source: (P26). Test: tests/plan/test_tolerances.py
    """
    if len(tied) < 2 or not any(tolerances(case)):
        return NOTHING
    levels = case.frame.level_count
    level = levels if fitted.carried_at else max(map(case.frame.level_of, tied))
    return _up_to(case.kit.design, case_of(case.kit), level if level <= LOW_LEVELS else levels)


@remembered(12, by=lambda design, case, level: (design, level))
def _up_to(_design: object, case: Case, level: int) -> Tolerated:
    """Of all struts up to a level, on level feet that may give way sideways."""
    ready = _whole_level(case, level)
    return NOTHING if ready is None else _drawn(case, ready)


def _whole_level(case: Case, level: int) -> Factored | None:
    """The struts up to a level; what moves even with its feet still is kept still: that stores no less."""
    struts = [strut.name for strut in case.frame.struts if case.frame.level_of(strut.name) <= level]
    hubs = tuple(hub.name for hub in case.frame.hubs if hub.level <= level)
    feet = tuple(hub.name for hub in case.frame.hubs if hub.on_ground)
    if not struts:
        return None
    ready = settled(case, Fitted(hubs, tuple(struts), feet, ()), struts)
    still: dict[str, None] = dict.fromkeys(feet)
    while isinstance(ready, Unstable) and not set(ready.hubs) <= still.keys():
        still |= dict.fromkeys(ready.hubs)
        ready = factored(supported_stage(case.model, hubs, struts, kept_still(tuple(still))))
    return None if isinstance(ready, Unstable) else ready


def _drawn(case: Case, ready: Factored) -> Tolerated:
    """Every pair of a way in which lengths err and one of angles; the worst of them is told."""
    lots = [_lot(case, ready, draws) for draws in in_lots(ready)]
    # (pair, draw, strut, end), (pair, draw, strut), (pair, draw)
    arms, tubes, pull_n = (np.concatenate([getattr(lot, name) for lot in lots], axis=1)
                           for name in ("arms", "tubes", "pull_n"))
    tubes, ends = tubes[:, :TUBE_DRAWS], np.sort(arms, axis=1)[:, RANK - 1]
    own = np.sort(tubes, axis=1)[:, TUBE_RANK - 1].max(initial=0.0)
    worst = np.sort(tubes.max(axis=2), axis=1)[:, TUBE_RANK - 1].max()
    return Tolerated(told(arms.max(axis=(2, 3))), float(worst), max(float(ends.max()), float(own)), told(pull_n))


@dataclass(frozen=True, slots=True, eq=False)
class _Lot:
    """Some draws, for each pair of a way in which lengths err and one of angles."""

    arms: FloatArray
    """(pairs, draws, struts, 2) use of the arm at each end."""
    tubes: FloatArray
    """(pairs, draws, struts); only of lots that begin before `TUBE_DRAWS`."""
    pull_n: FloatArray
    """(pairs, draws)"""


def _lot(case: Case, ready: Factored, draws: IntArray) -> _Lot:
    (length_mm, angle_rad), (lengths, angles) = tolerances(case), together(case)
    by_length = [drawn_response(ready, way, draws, of_length=length_mm) for way in lengths]
    by_angle = [drawn_response(ready, way, draws, of_angle=angle_rad) for way in angles]
    arms, tubes, pull_n = [], [], []
    for both in (one + other for one in by_length for other in by_angle):
        # (draw, strut, end, root or joint)
        uses = both.arm_utilisation.reshape(len(draws), -1, 2, 2) / case.model.arm_lasting
        arms.append(uses.max(axis=3).astype(np.float32))
        pull_n.append(both.arms[..., 0].max(axis=(1, 2)))
        tubes.append(tube_utilisation(both, case.tubes.under_weight) if draws[0] < TUBE_DRAWS
                     else np.zeros((0, uses.shape[1])))
    return _Lot(np.array(arms), np.array(tubes), np.array(pull_n))
