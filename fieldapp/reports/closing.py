"""What an error in each strut's length adds to the gap at the strut that closes each ring."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.plan.case import Case
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.demand import settled_stage
from fieldapp.statics.loads import misfit
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import Factored, Unstable, factored

CASES_AT_ONCE = 256


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
    row[ready.stage.struts] = -np.concatenate(list(_apart(ready, at)))
    row[at] = 1.0
    return strut, row


def _apart(ready: Factored, at: int) -> Iterator[FloatArray]:
    """By how much the two hubs of strut number `at` move apart for 1 mm in each strut of the stage, some at a time."""
    model, count = ready.stage.model, len(ready.stage.struts)
    start, end = model.ends[at]
    for some in np.array_split(np.arange(count), -(-count // CASES_AT_ONCE)):
        length = np.zeros((len(some), count))
        length[np.arange(len(some)), some] = 1.0
        moved = response(ready, misfit(ready.stage, length)).moved
        yield (moved[:, end, :3] - moved[:, start, :3]) @ model.axes.local[at, 0]
