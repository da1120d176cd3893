"""What an error in each strut's length adds to the gap that closes each ring, and locks into the finished frame."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.standing.demand import settled_stage
from fieldapp.statics.loads import misfit
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import Factored, Unstable, factored, strut_displacements

MOST_STRUTS = 1500
"""Larger frames are matched by their gaps alone: what is locked in takes memory with the square of the struts."""

CASES_AT_ONCE = 128


@dataclass(frozen=True, slots=True, eq=False)
class Closing:
    """The closing struts of a plan."""

    rings: tuple[int, ...]
    struts: tuple[str, ...]
    """The closing strut of each ring."""
    per_mm: FloatArray
    """(rings, m) what 1 mm too much in each strut place adds to the gap; positive: the strut is too long."""


def closing(case: Case, plan: Plan) -> Closing:
    """The last strut of each ring that goes between two fixed hubs, all before it in.

    Notes
    -----
    Gap = own error − change of the distance between its two hubs, linear in the errors, the frame
    level on its supports and free to give way sideways. Rings whose stage is a mechanism without
    that strut have no gap to speak of and are left out.
    """
    last = {step.ring: number for number, step in enumerate(plan.steps, start=1)
            if any(insertion.closes for insertion in step.struts)}
    found = [(ring, *row) for ring, number in sorted(last.items()) if (row := _row(case, plan, number)) is not None]
    rows = [row for _, _, row in found]
    return Closing(tuple(ring for ring, _, _ in found), tuple(strut for _, strut, _ in found),
                   np.array(rows).reshape(len(rows), len(case.frame.struts)))


def _row(case: Case, plan: Plan, number: int) -> tuple[str, FloatArray] | None:
    """(strut, (m,) gap per mm) of one ring."""
    stage = analysis(case, fitted_after(plan, number))
    strut = [insertion.strut for insertion in plan.steps[number - 1].struts if insertion.closes][-1]
    if strut not in stage.tied:
        return None
    ready = factored(settled_stage(case, stage.fitted, tuple(name for name in stage.tied if name != strut)))
    if isinstance(ready, Unstable):
        return None
    at = case.model.strut_index[strut]
    row = np.zeros(len(case.frame.struts))
    row[ready.stage.struts] = -_apart(ready, at)
    row[at] = 1.0
    return strut, row


def _apart(ready: Factored, at: int) -> FloatArray:
    """(struts,) by how much the two hubs of strut number `at` move apart for 1 mm too much in each strut.

    By reciprocity (Maxwell 1864): one solve for a pair of unit forces that push the two hubs apart
    tells what every misfit's forces do to their distance.
    """
    model, struts = ready.stage.model, ready.stage.struts
    along = model.axes.local[:, 0]
    pair = np.zeros((1, *ready.stage.fixed.shape))  # (case, hub, dof)
    pair[0, model.ends[at, 0], :3], pair[0, model.ends[at, 1], :3] = -along[at], along[at]
    displacements = strut_displacements(ready.stage, ready.displacements(pair))[:, :, 0]
    gap = np.zeros((len(struts), 12))
    gap[:, :3], gap[:, 6:9] = along[struts] / 2, -along[struts] / 2
    return np.asarray(-np.einsum("mi,mij,mj->m", displacements, model.stiffness[struts], gap))


def locked_rows(case: Case, plan: Plan) -> FloatArray | None:
    """Rows whose sum of squares, times errors of length, is that of all arm forces ÷ resistance locked in.

    Returns
    -------
    (k, m) array or None
        One row for each strut of the finished frame [per mm]; None if it does not stand or is too large.

    Notes
    -----
    With P (struts × arm forces) the forces ÷ resistance for 1 mm in each strut, P Pᵀ = V diag(w) Vᵀ
    gives the rows √w Vᵀ: as many as struts instead of twelve times that.
    """
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    ready = factored(settled_stage(case, stage.fitted, stage.tied))
    if isinstance(ready, Unstable) or len(ready.stage.struts) > MOST_STRUTS:
        return None
    struts = ready.stage.struts
    forces = np.vstack([_forces_per_mm(ready, some) for some in
                        np.array_split(np.arange(len(struts)), -(-len(struts) // CASES_AT_ONCE))])
    weights, vectors = np.linalg.eigh(forces @ forces.T)
    rows = np.zeros((len(struts), len(case.frame.struts)))
    rows[:, struts] = np.sqrt(np.maximum(weights, 0.0))[:, None] * vectors.T
    return rows


def _forces_per_mm(ready: Factored, some: IntArray) -> FloatArray:
    """(some, struts × 12) arm forces ÷ resistance for 1 mm too much in some struts of the stage, one at a time."""
    length = np.zeros((len(some), len(ready.stage.struts)))
    length[np.arange(len(some)), some] = 1.0
    return response(ready, misfit(ready.stage, length)).parts.reshape(len(some), -1)
