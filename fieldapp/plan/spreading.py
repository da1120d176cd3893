"""How far the two hubs of a closing strut may be spread: by arms, tubes and stability, feet pinned and as they are."""

import math

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.plan.bounds import Bearing
from fieldapp.plan.case import Case
from fieldapp.plan.feet_bounds import spread_on_feet
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.governs import SPREAD, Limit
from fieldapp.statics.growth import by_every_theory
from fieldapp.statics.growth_search import LoadStep, grown
from fieldapp.statics.loads import pushed_apart
from fieldapp.statics.response import Response, response
from fieldapp.statics.second_order import settled
from fieldapp.statics.solved import Solved
from fieldapp.statics.tube_limits import STRONGEST_PUSH_N


def spread_limits(case: Case, plan: Plan, number: int) -> dict[str, Limit]:
    """How far the two hubs of each closing strut of a step may be pushed apart until something gives way.

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
        it, with what gives way; 0 if the stage does not stand then, or where both stand on the ground.
    """
    step = plan.steps[number - 1]
    fitted = fitted_after(plan, number)
    closing = [insertion.strut for insertion in step.struts if insertion.closes]
    found: dict[str, Limit] = {}
    for at, strut in enumerate(closing):
        later = set(closing[at:])
        stage = analysis(case, fitted.with_struts(s for s in fitted.struts if s not in later))
        found[strut] = spread_limit(stage.loaded, strut) if stage.loaded else \
            Limit(SPREAD, 0.0, strut, stage.verdict.governs)
    return found


def spread_limit(stage: Bearing, strut: str) -> Limit:
    """How far the two hubs of a strut that is not in may be pushed apart [mm]; 0 where both stand on the ground.

    Largest pair of forces along the strut that all bear, in second order, times how far one newton of it opens.

    Source: (P11), (S27), (S30). Test: tests/plan/test_stages.py
    """
    of, tubes = stage.of, stage.case.tubes
    most = np.full(1, STRONGEST_PUSH_N)
    reached = by_every_theory(of, lambda one, cap: grown(one, LoadStep(pushed_apart(one.stage, strut)), tubes,
                                                         most=most if cap is None else cap))
    pair = response(of.ready, pushed_apart(of.stage, strut))
    force_n, governs = spread_on_feet(stage, pair, (float(reached.factor[0]), reached.governs[0]))
    opened_mm = _opened_mm(of, strut, pair)
    value = min(force_n * opened_mm, _second_order_mm(of, strut, force_n)) if opened_mm > 0 else 0.0
    return Limit(SPREAD, value, strut, governs)


def _opened_mm(of: Solved, strut: str, answer: Response) -> float:
    """By how much the two hubs of a missing strut move apart in a load case."""
    number = of.stage.model.strut_index[strut]
    start, end = of.stage.model.ends[number]
    along = of.stage.model.axes.local[number, 0]
    return float((answer.displacements[0, end, :3] - answer.displacements[0, start, :3]) @ along)


def _second_order_mm(of: Solved, strut: str, force_n: float) -> float:
    """The opening by a pair of forces together with the weight, less that by the weight: pulled struts open less."""
    weight = of.weight.load * GAMMA_G
    both = settled(of.ready, weight + pushed_apart(of.stage, strut) * force_n)
    if not both.steady.all():
        return math.inf
    return _opened_mm(of, strut, both.answer) - _opened_mm(of, strut, settled(of.ready, weight).answer)
