"""Struts between two hubs that are fixed already: how far the hubs may be spread to let them in."""

import math

from fieldapp.plan.case import Case
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.limits import Solved
from fieldapp.statics.loads import pushed_apart
from fieldapp.statics.response import headroom, response


def spread_limits_mm(case: Case, plan: Plan, number: int) -> dict[str, float]:
    """How far the two hubs of each closing strut of a step may be pushed apart until an arm reaches its design value.

    Source: (P11). Test: tests/plan/test_stages.py

    Parameters
    ----------
    case : Case
    plan : Plan
    number : int
        Of the step, from 1.

    Returns
    -------
    dict
        Strut place → opening between its hubs [mm], with the struts before it in, and not yet those after
        it; 0 if the stage does not stand then, infinite if nothing resists.
    """
    step = plan.steps[number - 1]
    fitted = fitted_after(plan, number)
    closing = [insertion.strut for insertion in step.struts if insertion.closes]
    found: dict[str, float] = {}
    for at, strut in enumerate(closing):
        later = set(closing[at:])
        stage = analysis(case, fitted.with_struts(s for s in fitted.struts if s not in later))
        found[strut] = _limit_mm(stage.solved, strut) if isinstance(stage.solved, Solved) else 0.0
    return found


def _limit_mm(stage: Solved, strut: str) -> float:
    """Opening per newton of a pair of forces along the strut, times the largest such force."""
    model = stage.stage.model
    number = model.strut_index[strut]
    start, end = model.ends[number]
    along = model.axes.local[number, 0]
    answer = response(stage.ready, pushed_apart(stage.stage, strut))
    opening_mm = float((answer.displacements[0, end, :3] - answer.displacements[0, start, :3]) @ along)
    force_n = float(headroom(stage.design_parts, answer.parts)[0])
    return math.inf if math.isinf(force_n) else force_n * opening_mm
