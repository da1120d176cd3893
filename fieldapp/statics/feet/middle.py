"""Pushes that are proven to be borne, without a search: from forces in the middle of what feet and pegs can do.

Forces that balance and keep to their cones prove that a load is borne (G4). One cone program finds those under the
weight alone that keep farthest from every cone and peg; what a push adds is shared out by what each foot has left.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.feet.collapse import CollapseProgram
from fieldapp.statics.feet.reduced import Feet

_LEAST_SHARE = 1e-3
"""Room that a force counts as having at the least, ÷ the most of any, in sharing out what a push adds [1].
Source: our choice; what is proven is checked after it. Test: tests/statics/feet/test_collapse.py"""


@dataclass(frozen=True, slots=True, eq=False)
class MidForces:
    """Forces of ground and pegs that bear the weight, and how they take more."""

    feet: Feet
    pegged: IntArray
    """(P,) numbers of the feet with pegs."""
    own_n: FloatArray
    """(F + P, 3) of the ground on each foot, then of each peg. [N]"""
    takes: FloatArray
    """(r, 3F + 3P) what each takes of a force on a movement that strains nothing."""

    def surely_n(self, pressing_n: FloatArray) -> float:
        """A push whose size is borne whatever its direction; (3, 3F) forces on pinned feet of 1 N along x, y, z. [N]

        Source: (G5). Test: tests/statics/feet/test_collapse.py
        """
        on, count = self.feet.on, self.feet.count
        more = -(pressing_n @ self.feet.rigid @ self.takes).reshape(3, -1, 3)  # (axis of the push, force, axis)
        # (force, axis of the push, axis)
        aside = np.linalg.norm(more[:, :, :2].transpose(1, 0, 2), ord=2, axis=(1, 2))
        up = np.linalg.norm(more[:, :, 2], axis=0)
        side, high = np.linalg.norm(self.own_n[:, :2], axis=1), self.own_n[:, 2]
        peg_up, peg_side = on.peg_up_n[self.pegged], on.peg_side_n[self.pegged]
        room = np.concatenate((on.friction * high[:count] - side[:count], on.most_sideways_n - side[:count],
                               high[:count], peg_side - side[count:], -high[count:], peg_up + high[count:]))
        grows = np.concatenate((on.friction * up[:count] + aside[:count], aside[:count], up[:count], aside[count:],
                                up[count:], up[count:]))
        if room.min(initial=np.inf) < 0:
            return 0.0
        return float(np.where(grows > 0, room / np.where(grows > 0, grows, 1.0), np.inf).min(initial=np.inf))


    def bear(self, pressing_n: FloatArray) -> BoolArray:
        """(k,) True where loads that press so on pinned feet, (k, 3F), are proven to be borne on top of the weight. [N]

        Source: (G4). Test: tests/statics/feet/test_collapse.py
        """
        on, count = self.feet.on, self.feet.count
        # (load, force, axis)
        there = self.own_n - (pressing_n @ self.feet.rigid @ self.takes).reshape(len(pressing_n), -1, 3)
        side, high = np.linalg.norm(there[:, :, :2], axis=2), there[:, :, 2]
        peg_up, peg_side = on.peg_up_n[self.pegged], on.peg_side_n[self.pegged]
        ground = (high[:, :count] >= 0) & (side[:, :count] <= np.minimum(on.friction * high[:, :count],
                                                                         on.most_sideways_n))
        pegs = (side[:, count:] <= peg_side) & (high[:, count:] <= 0) & (high[:, count:] >= -peg_up)
        return np.asarray(ground.all(axis=1) & pegs.all(axis=1))


def surely_borne(feet: Feet, pressing_n: FloatArray, push_n: float) -> bool:
    """True if a push of that size, whatever its direction, is proven to be borne; (3, 3F) forces on pinned feet of 1 N.

    First by the least forces that balance the weight, most pushes by hand are such; then by those in the middle.

    Source: (G5). Test: tests/statics/feet/test_collapse.py
    """
    if _least(feet).surely_n(pressing_n) >= push_n:
        return True
    middle = middle_of(feet)
    return middle is not None and middle.surely_n(pressing_n) >= push_n


def _least(feet: Feet) -> MidForces:
    """The least forces of the ground alone."""
    none = np.zeros(0, dtype=np.int64)
    return MidForces(feet, none, -(feet.rigid @ (feet.rigid.T @ feet.lightest_n)).reshape(-1, 3), feet.rigid.T)


@remembered(4)
def middle_of(feet: Feet) -> MidForces | None:
    """The middle under the weight with the factor of what alone holds; None where nothing bears it.

    Source: (G4). Test: tests/statics/feet/test_collapse.py
    """
    found = CollapseProgram(feet, feet.lightest_n, np.zeros((1, 3 * feet.count)), 1.0).roomiest()
    if found is None:
        return None
    forces, ways, pegged = found
    room = _room(feet, forces.reshape(-1, 3), pegged)
    weighed = ways * np.square(room).ravel()
    balance = ways @ weighed.T
    if np.linalg.cond(balance) > _WORST:
        return None
    forces = np.where(room.ravel() > 0, forces, 0.0)
    takes = np.asarray(np.linalg.solve(balance, weighed), dtype=np.float64)
    missing = -feet.rigid.T @ feet.lightest_n - ways @ forces
    return MidForces(feet, pegged, (forces + missing @ takes).reshape(-1, 3), takes)


_WORST = 1e10
"""Beyond this condition nothing is proven by sharing out [1]. Source: our choice. Test:
tests/statics/feet/test_collapse.py"""


def _room(feet: Feet, forces_n: FloatArray, pegged: IntArray) -> FloatArray:
    """(F + P, 3) how far each force is from where its foot or peg ends. [N]"""
    on, count = feet.on, feet.count
    side, high = np.linalg.norm(forces_n[:, :2], axis=1), forces_n[:, 2]
    ground = np.minimum(on.friction * high[:count], on.most_sideways_n) - side[:count]
    peg = np.minimum(-high[count:], on.peg_up_n[pegged] + high[count:])
    both = _by_axis(ground, on.peg_side_n[pegged] - side[count:], np.where(on.friction > 0, ground, high[:count]), peg)
    able = _by_axis(on.friction, on.peg_side_n[pegged], np.ones(count), on.peg_up_n[pegged])
    room = np.maximum(both, _LEAST_SHARE * max(float(both.max()), _LEAST_N))
    return np.where(able > 0, room, 0.0)


_LEAST_N = 1e-9
"""Room below this is none [N]. Source: our choice, rounding. Test: tests/statics/feet/test_collapse.py"""


def _by_axis(ground: FloatArray, peg: FloatArray, ground_up: FloatArray, peg_up: FloatArray) -> FloatArray:
    """(F + P, 3) values of each foot and peg: along the ground, and up."""
    along = np.concatenate((ground, peg))
    return np.stack((along, along, np.concatenate((ground_up, peg_up))), axis=1)  # (force, axis)
