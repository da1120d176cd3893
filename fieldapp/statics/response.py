"""What a stage does under its loads: displacements, arm forces, arm use.

Arm use = |N|/N_d + |M_out|/M_out,d + |M_in|/M_in,d, at the root and at the tube joint of every arm:
linear interaction, on the safe side of any convex one.

Where the partial factors of EN 1990 enter. *Arm use* and *tube use* put the loads as they are
(characteristic, factor 1) against design resistances (k_mod / γ_M): they show what happens on the day.
*Limits* (push, level, lift, wind, free end) and `design_utilisation` are design values: weight × 1.35, pushes and
wind × 1.50; at a limit the design use is exactly 1. Imposed displacements and misfits enter × 1.
Displacements and reactions are characteristic.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.loads import Load
from fieldapp.statics.stiffness import Factored, Stage, strut_displacements

STATIONS = 4
"""Stations of a strut: root and joint of the arm at each end (in no formula)."""
SIGNS = np.array([[1.0, 1, 1], [1, 1, -1], [1, -1, 1], [1, -1, -1]]).T
"""(3, 4) one of each pair of opposite sign patterns: |a|+|b|+|c| is the largest of ± these [1].
Source: exact (S11). Test: tests/statics/test_response.py, tests/statics/test_limits.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """k load cases, solved."""

    stage: Stage
    displacements: FloatArray
    """(k, n, 6) displacements of the hubs [mm, rad]."""
    arms: FloatArray
    """(k, struts, 4, 3) axial force (tension positive) [N], moment out of plane and in plane [N mm], at
    root 1, joint 1, root 2, joint 2."""
    load: Load
    """What caused it."""

    def __add__(self, other: "Response") -> "Response":
        """Both at once, case by case; one case is added to every case of the other."""
        return Response(self.stage, self.displacements + other.displacements, self.arms + other.arms,
                        self.load + other.load)

    def __mul__(self, factor: float) -> "Response":
        """The same, `factor` times as large."""
        return Response(self.stage, self.displacements * factor, self.arms * factor, self.load * factor)

    @property
    def components(self) -> FloatArray:
        """(k, struts × 4, 3) arm forces ÷ design resistance, signed."""
        # (strut, station, component)
        capacity = self.stage.model.arm_capacity[self.stage.struts].reshape(-1, STATIONS, 3)
        # (case, strut and station, component)
        return np.asarray((self.arms / capacity).reshape(len(self.arms), STATIONS * len(self.stage.struts), 3))

    @property
    def arm_utilisation(self) -> FloatArray:
        """(k, struts, 4) arm utilisation at every station."""
        return np.asarray(self.arm_uses.reshape(self.arms.shape[:3]))

    @property
    def arm_uses(self) -> FloatArray:
        """(k, struts × 4) the same, station after station."""
        each = np.abs(self.components)
        # three terms: a sum along so short an axis costs ten times as much
        return np.asarray(each[:, :, 0] + each[:, :, 1] + each[:, :, 2])


def response(ready: Factored, load: Load, imposed: FloatArray | None = None) -> Response:
    """Solve a stage for all cases of a load, with displacements imposed on held degrees of freedom if given."""
    displacements = ready.displacements(load.hubs_n, imposed)
    stage = ready.stage
    arms = ready.arm_per_displacement @ strut_displacements(stage, displacements)
    forces = arms.transpose(2, 0, 1) + load.arms  # (case, strut, arm force)
    # (case, strut, station, component)
    return Response(stage, displacements, forces.reshape(len(displacements), len(stage.struts), STATIONS, 3), load)


def load_factors(base: FloatArray, step: FloatArray) -> FloatArray:
    """Largest t ≥ 0 for which no arm utilisation of base + t × step passes 1, exactly.

    Source: (S11). Test: tests/statics/test_response.py

    Parameters
    ----------
    base : (s, 3) array
        Arm forces ÷ resistance that are there already.
    step : (k, s, 3) array
        The same per unit of t.

    Returns
    -------
    (k,) array
        0 if `base` is over 1 already; infinite if `step` reaches no arm.

    Notes
    -----
    Arm utilisation is the largest of eight linear functions (the signs of its three parts), so each gives a
    bound on t and the smallest bound is the answer.
    """
    there, grows = base @ SIGNS, step @ SIGNS
    left = 1.0 - there * np.sign(grows)
    with np.errstate(divide="ignore"):
        bound = np.where(np.abs(grows) > _NOTHING, left / np.abs(grows), np.inf).min(axis=(1, 2), initial=np.inf)
    over = np.abs(base).sum(axis=1).max(initial=0.0) > 1.0
    return np.zeros(len(step)) if over else np.maximum(bound, 0.0)


_NOTHING = 1e-15
"""A slope below this reaches no arm [1/N].
Source: our choice, far below rounding of what any arm bears. Test: tests/statics/test_response.py"""


def worst_push(base: FloatArray, unit: FloatArray, push_n: float) -> tuple[FloatArray, FloatArray]:
    """Largest arm utilisation that a push of given size causes at each hub, over all directions, exactly.

    Source: (S12). Test: tests/statics/test_limits.py

    Parameters
    ----------
    base : (s, 3) array
        Arm forces ÷ resistance under weight.
    unit : (h, 3, s, 3) array
        The same for 1 N along x, y, z at each of h hubs.
    push_n : float
        Size of the push. [N]

    Returns
    -------
    (h,) array, (h, 3) array
        Arm utilisation, and the unit vector of the worst direction.

    Notes
    -----
    For one sign pattern arm utilisation is linear in the direction d, a + P g·d, and is largest for d along g:
    a + P |g|. The worst direction over the sphere is the best of the patterns: no search, no gap.
    """
    there = base @ SIGNS
    slopes = np.einsum("hdsc,cp->hspd", unit, SIGNS)  # (hub, station, sign pattern, axis)
    use = np.abs(there) + push_n * np.linalg.norm(slopes, axis=3)
    flat = use.reshape(len(unit), -1)
    at = flat.argmax(axis=1)
    # (hub, station and sign pattern, axis), then (hub, axis)
    slope = slopes.reshape(len(unit), -1, 3)[np.arange(len(unit)), at]
    direction = slope * np.where(there.ravel()[at] < 0, -1.0, 1.0)[:, None]
    size = np.linalg.norm(direction, axis=1, keepdims=True)
    return flat.max(axis=1), direction / np.where(size > 0, size, 1.0)


def weakest_station(base: FloatArray, step: FloatArray) -> int:
    """The station that passes 1 first as t grows in base + t × step, both (s, 3); -1 if `step` reaches none."""
    there, grows = base @ SIGNS, step @ SIGNS
    reached = np.abs(grows) > _NOTHING
    bound = np.where(reached, (1.0 - there * np.sign(grows)) / np.where(reached, np.abs(grows), 1.0), np.inf)
    return int(bound.min(axis=1).argmin()) if reached.any() else -1


def largest_pushes(base: FloatArray, unit: FloatArray) -> tuple[FloatArray, IntArray]:
    """Largest push at each hub, whatever its direction, for which no arm utilisation passes 1 [N]; exact.

    Source: (S12). Test: tests/statics/test_limits.py, tests/plan/test_stages.py

    Parameters
    ----------
    base : (s, 3) array
        Arm forces ÷ resistance under weight.
    unit : (h, 3, s, 3) array
        The same for 1 N along x, y, z at each of h hubs.

    Returns
    -------
    (h,) array, (h,) int array
        The push, and the station that passes 1 first; infinite and -1 if it reaches no arm.
    """
    left = np.maximum(1.0 - np.abs(base @ SIGNS), 0.0).T
    axial, out, within = (unit[..., part] for part in range(3))
    both, between = axial + out, axial - out
    bound, station = np.full(len(unit), np.inf), np.full(len(unit), -1)
    for pattern, slope in enumerate((both + within, both - within, between + within, between - within)):
        size = np.sqrt(np.einsum("hds,hds->hs", slope, slope))
        most = np.where(size > _NOTHING, left[pattern] / np.maximum(size, _NOTHING), np.inf)
        least = most.min(axis=1, initial=np.inf)
        nearer = np.flatnonzero(least < bound)
        bound[nearer], station[nearer] = least[nearer], most[nearer].argmin(axis=1) if len(nearer) else -1
    return bound, station
