"""Lack of fit: what errors of length and angle do to the gap that closes each level, and lock into the arms.

Whether errors are known (measured lengths, classes that merge places) or only their bounds are (tolerances of the
design, see `misfits`), they act through the same two sets of numbers, and these are worked out here and nowhere else:
by how much one unit of error in any strut opens or narrows the last gap of a level, and which arm forces it locks into
what stands. The frame answers linearly. Each piece is level where it stands or is carried, and gives way sideways:
what feet would be pushed apart by is not locked in. What would be a mechanism so (a frame of hinges) is taken with its
feet where they are and with held hubs held, which stores at least the strain energy of feet that give way.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case
from fieldapp.plan.locked import settled
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.loads import pushed_apart, unit_misfits
from fieldapp.statics.stiffness import Factored, Unstable, strut_displacements

ERRORS = 5
"""Errors of one strut: its length [mm], then the angles out of plane at both ends and in plane at both [rad]
(in no formula)."""

STRUTS_AT_ONCE = 64
"""Struts worked out at once (in no formula)."""

MOST_STRUTS = 1500
"""Larger frames are matched by their gaps alone: what is locked in takes memory with the square of the struts
(in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class Closing:
    """The strut that closes a level, all before it in."""

    level: int
    strut: str
    per_unit: FloatArray
    """(m, 5) what one unit of each error of each strut place adds to its gap; positive: the strut is too long."""

    @property
    def per_mm(self) -> FloatArray:
        """(m,) the same for errors of length [mm/mm]."""
        return self.per_unit[:, 0]


def closings(case: Case, plan: Plan) -> tuple[Closing, ...]:
    """Level by level, the last strut that goes between two fixed hubs, and what makes it fit badly.

    Source: (P9). Test: tests/plan/test_fitup.py, tests/reports/readiness/test_readiness.py

    Notes
    -----
    Gap = own error − change of the distance between its two hubs, linear in all errors. Levels without such a
    strut, and levels that fall without it, have no gap to speak of and are left out.
    """
    last = {step.level: number for number, step in enumerate(plan.steps, start=1)
            if any(insertion.closes for insertion in step.struts)}
    return tuple(found for level, number in sorted(last.items())
                 if (found := _closing(case, plan, (level, number))) is not None)


def _closing(case: Case, plan: Plan, at: tuple[int, int]) -> Closing | None:
    """Of one (level, number of its last step with a closing strut)."""
    level, number = at
    strut = [insertion.strut for insertion in plan.steps[number - 1].struts if insertion.closes][-1]
    stage = analysis(case, replace(fitted_after(plan, number), held=plan.steps[max(number - 2, 0)].holds))
    ready = settled(case, stage.fitted, tuple(name for name in stage.tied if name != strut))
    if strut not in stage.tied or isinstance(ready, Unstable):
        return None
    per_unit = np.zeros((len(case.frame.struts), ERRORS))
    per_unit[ready.stage.struts] = -_opened(ready, strut)
    per_unit[case.model.strut_index[strut], 0] = 1.0
    return Closing(level, strut, per_unit)


def _opened(ready: Factored, strut: str) -> FloatArray:
    """(struts, 5) by how much the two hubs of a missing strut move apart for one unit of each error in the stage.

    By reciprocity (Maxwell 1864, Betti 1872): a pair of unit forces that push the two hubs apart displaces every
    strut's ends by u; the forces that an error g puts up there are −K g, so that the hubs open by −uᵀ K g. One load
    case answers for all errors.

    Source: (P9): Maxwell 1864, Betti 1872. Test: tests/plan/test_fitup.py
    """
    pair = pushed_apart(ready.stage, strut)
    displacements = strut_displacements(ready.stage, ready.displacements(pair.hubs_n))[:, :, 0]
    return np.asarray(-np.einsum("mi,mij,mje->me", displacements, ready.strut_stiffness, unit_misfits(ready.stage),
                                 optimize=True))


def components_per_unit(ready: Factored, some: IntArray) -> FloatArray:
    """What one unit of each error of each strut of a stage locks into some of its struts.

    Source: (P7). Test: tests/plan/test_fitup.py

    Parameters
    ----------
    ready : Factored
    some : (k,) int array
        Which of the stage's struts.

    Returns
    -------
    (k, 12, struts, 5) array
        Axes: the strut looked at; its arm forces ÷ resistance, axial, out of plane, in plane at each of its four
        stations; the strut that errs; its error.

    Notes
    -----
    By reciprocity: six unit loads at each hub of the struts looked at say what each error anywhere does to those
    hubs, −uᵀ K g. To that comes the error of the strut itself, since a member force is K (u + g).
    """
    stage, units = ready.stage, unit_misfits(ready.stage)
    hubs, at = np.unique(stage.ends[some], return_inverse=True)
    loads = np.zeros((6 * len(hubs), *stage.fixed.shape))  # (unit load, hub, dof)
    loads[np.arange(6 * len(hubs)), np.repeat(hubs, 6), np.tile(np.arange(6), len(hubs))] = 1.0
    displacements = strut_displacements(stage, ready.displacements(loads * ~stage.fixed))
    caused = -(units.transpose(0, 2, 1) @ ready.strut_stiffness) @ displacements  # (strut, error, unit load)
    caused = caused.reshape(len(stage.struts), ERRORS, len(hubs), 6)  # (strut with the error, error, hub, dof)
    # (strut, arm force, end dof)
    rows = (stage.model.arm_per_displacement / stage.model.arm_capacity[:, :, None])[stage.struts[some]]
    found = np.zeros((len(some), 12, len(stage.struts), ERRORS))  # (strut, arm force, strut with the error, error)
    for number, (strut, ends) in enumerate(zip(some, at.reshape(-1, 2), strict=True)):
        between = caused[:, :, ends].reshape(-1, ERRORS, 12)  # (strut with the error, error, end dof)
        between[strut] += units[strut].T
        found[number] = np.tensordot(rows[number], between, axes=(1, 2))
    return found


def in_shares(some: Sequence[int]) -> list[IntArray]:
    """Numbers of struts in lots that take little memory at once."""
    return np.array_split(np.array(some, dtype=np.int64), max(1, -(-len(some) // STRUTS_AT_ONCE)))


def locked_rows(case: Case, plan: Plan) -> FloatArray | None:
    """Rows whose sum of squares, times errors of length, is that of all arm forces ÷ resistance locked in.

    Source: (P15). Test: tests/reports/readiness/test_readiness.py

    Returns
    -------
    (k, m) array or None
        One row for each strut of the finished frame [per mm]; None if it falls or is too large.

    Notes
    -----
    With P (arm forces × struts) the forces ÷ resistance for 1 mm in each strut, Pᵀ P = V diag(w) Vᵀ gives the rows
    √w Vᵀ: as many as struts instead of twelve times that.
    """
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    ready = settled(case, replace(stage.fitted, held=plan.steps[-1].holds), stage.tied)
    if isinstance(ready, Unstable) or len(ready.stage.struts) > MOST_STRUTS:
        return None
    struts = ready.stage.struts
    gram = np.zeros((len(struts), len(struts)))
    for some in in_shares(range(len(struts))):
        per_mm = components_per_unit(ready, some)[..., 0].reshape(-1, len(struts))
        gram += per_mm.T @ per_mm
    weights, vectors = np.linalg.eigh(gram)
    rows = np.zeros((len(struts), len(case.frame.struts)))
    rows[:, struts] = np.sqrt(np.maximum(weights, 0.0))[:, None] * vectors.T
    return rows
