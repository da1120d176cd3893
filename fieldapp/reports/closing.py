"""What an error in each strut's length adds to the gap at the strut that closes each ring."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.plan.case import Case
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.demand import settled_stage
from fieldapp.statics.stiffness import Factored, Unstable, factored, strut_displacements


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
    pair = np.zeros((1, *ready.stage.fixed.shape))
    pair[0, model.ends[at, 0], :3], pair[0, model.ends[at, 1], :3] = -along[at], along[at]
    moved = strut_displacements(ready.stage, ready.displacements(pair))[:, :, 0]
    gap = np.zeros((len(struts), 12))
    gap[:, :3], gap[:, 6:9] = along[struts] / 2, -along[struts] / 2
    return np.asarray(-np.einsum("mi,mij,mj->m", moved, model.stiffness[struts], gap))
