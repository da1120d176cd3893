"""Loads on a stage, as forces on its hubs: weight, wind, pushes, parts that do not fit.

Characteristic values, without partial factors; `arm_utilisation` and `limits` say where the factors enter.
A new load case is one function here that returns a `Load`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.constants import BARE_STRUT_FORCE_COEFFICIENT
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.matrices import DOWN, arm_per_end_force
from fieldapp.statics.member import middle_loads
from fieldapp.statics.stiffness import Stage
from fieldapp.statics.wind_forces import arm_breadth_mm


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """k load cases on a stage."""

    hubs_n: FloatArray
    """(k, n, 6) forces [N] and moments [N mm] on the hubs."""
    arms: FloatArray
    """(k, struts, 12) arm forces that these loads cause while no hub moves."""
    across_n_mm: FloatArray
    """(k, struts, 2) load across the tube along the strut's own y and z."""
    at_middle_n: FloatArray | None = None
    """(k, struts, 2) force on the tube's middle along the strut's own y and z; None where there is none."""

    def __add__(self, other: "Load") -> "Load":
        """Both at once, case by case."""
        ours, theirs = self.at_middle_n, other.at_middle_n
        middle = theirs if ours is None else ours if theirs is None else ours + theirs
        if middle is not None and len(middle) < max(len(self.hubs_n), len(other.hubs_n)):
            cases = max(len(self.hubs_n), len(other.hubs_n))
            middle = np.broadcast_to(middle, (cases, *middle.shape[1:]))  # (case, strut, y or z)
        return Load(self.hubs_n + other.hubs_n, self.arms + other.arms, self.across_n_mm + other.across_n_mm, middle)

    def __mul__(self, factor: float | FloatArray) -> "Load":
        """The same, `factor` times as large; one factor for all cases, or (k, 1, 1)."""
        middle = None if self.at_middle_n is None else self.at_middle_n * factor
        return Load(self.hubs_n * factor, self.arms * factor, self.across_n_mm * factor, middle)

    def cases(self, some: IntArray | slice) -> "Load":
        """Some of the cases."""
        middle = None if self.at_middle_n is None else self.at_middle_n[some]
        return Load(self.hubs_n[some], self.arms[some], self.across_n_mm[some], middle)

    def before(self, other: "Load") -> "Load":
        """These cases, then those of the other."""
        ours, theirs = (np.zeros_like(one.across_n_mm) if one.at_middle_n is None else one.at_middle_n
                        for one in (self, other))
        return Load(np.concatenate((self.hubs_n, other.hubs_n)), np.concatenate((self.arms, other.arms)),
                    np.concatenate((self.across_n_mm, other.across_n_mm)), np.concatenate((ours, theirs)))


def weight(stage: Stage) -> Load:
    """Own weight of hubs, arms and tubes: one case. [N]

    A hub's weighed mass includes its arms. The arm under a fitted strut weighs along its length, the
    rest of the hub at its centre; arms that carry nothing yet count at the centre too.

    Source: (S9). Test: tests/statics/test_stiffness.py, tests/reference/test_pynite.py
    """
    model = stage.model
    hubs = _at_hubs(stage, model.weight_n[stage.struts][None])
    fitted = np.bincount(stage.ends.ravel(), minlength=len(model.hub_names))
    rest = np.maximum(model.hub_weight_n - fitted * model.arm_weight_n, 0.0)
    hubs[0, stage.hubs, 2] -= rest[stage.hubs]
    # (strut, y or z, axis) within
    across = model.tube_weight_n_mm[stage.struts][:, None, None] * model.axes.local[stage.struts, 1:] @ DOWN
    return Load(hubs, model.arm_per_weight[stage.struts][None], across[None])


def wind(stage: Stage, directions: FloatArray) -> Load:
    """Wind of 1 N/mm² pressure on bare struts and hubs, one case per direction.

    Source: (S16): GB 50009-2012 Table 8.3.1 no. 37; EN 1991-1-4 Figure 7.23.
    Test: tests/reference/test_pynite.py, tests/reference/test_en_1991_1_4.py

    Parameters
    ----------
    directions : (k, 3) array
        Unit vectors of where the wind blows to.

    Notes
    -----
    Force = 1.2 × projected area × pressure, along the wind: a round tube in slow wind, at every speed; the projected
    area of a strut is breadth × length × sine of its angle to the wind. Flat arms count with the breadth of a tube
    that is pushed as hard. What else a hub has of arms counts at its centre, as if the wind met it square. No strut
    shelters another, and none is less for being short.
    """
    model, struts = stage.model, stage.struts
    along = directions @ model.axes.local[struts, 0].T
    size = BARE_STRUT_FORCE_COEFFICIENT * np.sqrt(np.maximum(1 - along**2, 0.0))
    force = size[:, :, None] * directions[:, None]  # (direction, strut, axis)
    hubs = _at_hubs(stage, np.einsum("mia,kma->kmi", model.wind_n[struts], force))  # (direction, hub, dof)
    hubs[:, :, :3] += _bare_hubs_mm2(stage)[None, :, None] * directions[:, None]
    # (direction, hub, dof), (direction, strut, dof), (direction, strut, y or z)
    return Load(hubs,
                np.einsum("mia,kma->kmi", model.arm_per_wind[struts], force),
                model.makes.per_strut(lambda make: make.tube.wind_width_mm)[struts][:, None]
                * np.einsum("mia,kma->kmi", model.axes.local[struts, 1:], force))


def _bare_hubs_mm2(stage: Stage) -> FloatArray:
    """(n,) area × force coefficient of the arms of a hub that the struts of the stage do not bring with them.

    Of flat arms those that carry nothing yet; where tubes begin a reach beyond the hub's centre, that reach of each.

    Source: (S16). Test: tests/reference/test_en_1991_1_4.py
    """
    model, count = stage.model, len(stage.model.hub_names)
    area, is_fitted = np.zeros(count), np.isin(np.arange(len(model.ends)), stage.struts)
    for make, numbers in model.makes.rows():
        bare = numbers[is_fitted[numbers] == model.joint.member.rigid]
        arms = np.bincount(model.ends[bare].ravel(), minlength=count)
        area[stage.hubs] += arms[stage.hubs] * model.reach_mm * arm_breadth_mm(make)
    return BARE_STRUT_FORCE_COEFFICIENT * area


def unit_pushes(stage: Stage, hubs: IntArray) -> Load:
    """1 N along x, y and z at each of the hub numbers: cases 3 i, 3 i + 1, 3 i + 2."""
    forces = np.zeros((3 * len(hubs), len(stage.fixed), 6))  # (case, hub, dof)
    for axis in range(3):
        forces[3 * np.arange(len(hubs)) + axis, hubs, axis] = 1.0
    return on_hubs(stage, forces)


def at_middles(stage: Stage, rows: IntArray, forces_n: FloatArray) -> Load:
    """A force at the middle of one tube in each case: somebody hangs there, a ladder leans there.

    Source: (S4), (S9). Test: tests/statics/test_middle.py, tests/reference/test_pynite_forgives.py

    Parameters
    ----------
    rows : (k,) int array
        The strut of each case, by its place in `stage.struts`.
    forces_n : (k, 3) array
        In frame axes. [N]
    """
    model, numbers, cases = stage.model, stage.struts[rows], np.arange(len(rows))
    picked = model.axes.at(numbers)
    own, ends = np.einsum("kab,kb->ka", picked.local, forces_n), np.zeros((len(rows), 12))
    load = on_hubs(stage, np.zeros((len(rows), *stage.fixed.shape)))  # (case, hub, dof)
    for number, make in enumerate(model.makes.each):
        of = np.flatnonzero(model.makes.at[numbers] == number)
        ends[of] = np.einsum("kda,ka->kd", middle_loads(make, picked.at(of)), own[of])
        load.arms[of, rows[of]] = -np.einsum("kde,ke->kd", arm_per_end_force(make, picked.at(of)), ends[of])
    turned = np.einsum("kba,keb->kea", picked.local, ends.reshape(-1, 4, 3)).reshape(-1, 2, 6)  # (case, end, dof)
    for end in range(2):
        load.hubs_n[cases, model.ends[numbers, end]] += turned[:, end]
    middle = np.zeros((len(rows), len(stage.struts), 2))  # (case, strut, y or z)
    middle[cases, rows] = own[:, 1:]
    return replace(load, at_middle_n=middle)


def pushed_apart(stage: Stage, strut: str) -> Load:
    """1 N that pushes the two hubs of a strut place apart along their line: one case."""
    model, number = stage.model, stage.model.strut_index[strut]
    along = model.axes.local[number, 0]
    forces = np.zeros((1, *stage.fixed.shape))  # (case, hub, dof)
    forces[0, model.ends[number], :3] = -along, along
    return on_hubs(stage, forces)


def on_hubs(stage: Stage, hubs_n: FloatArray) -> Load:
    """Forces [N] and moments [N mm] given directly on the hubs, (k, n, 6)."""
    return Load(hubs_n, *_nothing(stage, len(hubs_n)))


def joined(parts: Sequence[Load]) -> Load:
    """The cases of several loads on one stage, one after the other."""
    middles = [np.zeros_like(part.across_n_mm) if part.at_middle_n is None else part.at_middle_n for part in parts]
    return Load(np.concatenate([part.hubs_n for part in parts]), np.concatenate([part.arms for part in parts]),
                np.concatenate([part.across_n_mm for part in parts]), np.concatenate(middles))


def misfit(stage: Stage, length_mm: FloatArray, angle_out_rad: FloatArray | None = None,
           angle_in_rad: FloatArray | None = None) -> Load:
    """Struts that do not fit, pulled in by force: what gets locked in.

    Source: (S10). Test: tests/statics/test_response.py, tests/reference/test_pynite_forced.py

    Parameters
    ----------
    length_mm : (k, struts) array
        How much longer than designed each strut of the stage is.
    kink_out_rad, kink_in_rad : (k, struts, 2) array, optional
        Error of the arm's angle at end 1 and end 2, about the arm's out-of-plane and in-plane bending axes.

    Notes
    -----
    Linear: the misfit is a displacement between strut and hub. A member force is K (u + misfit).
    """
    model, struts = stage.model, stage.struts
    still = np.zeros((*length_mm.shape, 2))  # (case, strut, end)
    out, within = (still if kink is None else kink for kink in (angle_out_rad, angle_in_rad))
    errors = np.concatenate((length_mm[:, :, None], out, within), axis=2).transpose(1, 2, 0)  # (strut, error, case)
    gap = unit_misfits(stage)
    ends = -(model.stiffness[struts] @ gap) @ errors
    arms = (model.arm_per_displacement[struts] @ gap) @ errors
    # (case, strut, dof), (case, strut, arm force)
    return Load(_at_hubs(stage, ends.transpose(2, 0, 1)), np.ascontiguousarray(arms.transpose(2, 0, 1)),
                _nothing(stage, len(length_mm))[1])


def unit_misfits(stage: Stage) -> FloatArray:
    """(struts, 12, 5) displacement between each strut and its two hubs, frame axes, per unit of its five errors.

    The errors are 1 mm of length, then 1 rad out of plane at end 1 and end 2, then 1 rad in plane at both.

    Source: (S10). Test: tests/statics/test_response.py, tests/reference/test_pynite_forced.py
    """
    model, struts = stage.model, stage.struts
    gap = np.zeros((len(struts), 12, 5))  # (strut, end dof, error)
    gap[:, 0, 0], gap[:, 6, 0] = 0.5, -0.5
    for end, twist in enumerate((np.zeros(len(struts)), model.axes.twist_rad[struts])):
        c, s = np.cos(twist), np.sin(twist)
        gap[:, 6 * end + 4, 1 + end], gap[:, 6 * end + 5, 1 + end] = c, s
        gap[:, 6 * end + 4, 3 + end], gap[:, 6 * end + 5, 3 + end] = -s, c
    # (strut, block of three dofs, axis, error)
    rotated = model.axes.local[struts].transpose(0, 2, 1)[:, None] @ gap.reshape(len(struts), 4, 3, 5)
    return np.asarray(rotated.reshape(gap.shape))


def _nothing(stage: Stage, cases: int) -> tuple[FloatArray, FloatArray]:
    """No arm forces, no load across tubes."""
    # (case, strut, arm force), (case, strut, y or z)
    return np.zeros((cases, len(stage.struts), 12)), np.zeros((cases, len(stage.struts), 2))


def _at_hubs(stage: Stage, ends: FloatArray) -> FloatArray:
    """(k, n, 6) sums at the hubs of (k, struts, 12) end forces."""
    from scipy.sparse import csr_array  # here: scipy would slow the start of the server

    target = (stage.ends[:, :, None] * 6 + np.arange(6)).ravel()  # (strut, end, dof), then flat
    adds = csr_array((np.ones(target.size), (target, np.arange(target.size))), shape=(stage.fixed.size, target.size))
    # (case, hub, dof)
    return np.ascontiguousarray((adds @ ends.reshape(len(ends), -1).T).T).reshape(len(ends), *stage.fixed.shape)
