"""The strike as planned: everything is in, then step by step down; what paper tells that knows no log."""

from collections.abc import Iterator
from dataclasses import replace

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.log.fold import fold
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.verdict.record import Verdict
from fieldapp.reports.verdict.step import step_alone

MOST_PLACES = 400
"""Of a plan with more places paper tells the raise backwards: to solve every stage would take longer than the plan [1].
Source: our choice. Test: tests/prints/booklet/test_strike.py"""


@remembered(2)
def planned_strike(kit: Kit, plan: Plan) -> dict[int, Verdict]:
    """Number of a step -> the verdict on taking it back when all steps after it are out, the plan's last first.

    Parameters
    ----------
    kit : Kit
    plan : Plan

    Returns
    -------
    dict of int to Verdict
        As the pages give it where the frame went up by the plan, is sound, and nobody takes back another step. Empty
        for a plan that nobody judged, or with more than `MOST_PLACES` places.

    Notes
    -----
    Inside a step each stage is solved once: about as many as the plan has places.
    """
    judged = any(step.use_weight is not None for step in plan.steps)
    return dict(_walked_down(Setting(kit, plan))) if judged and len(plan.step_of) <= MOST_PLACES else {}


def _walked_down(site: Setting) -> Iterator[tuple[int, Verdict]]:
    state = all_in(site)
    for step in reversed(site.plan.steps):
        yield step.number, step_alone(site, state, step)
        state = state.if_empty(step.places)


def all_in(site: Setting) -> State:
    """Every place of the plan filled, the strike begun, no entry in the log."""
    state = fold(site.kit, ())
    for step in site.plan.steps:
        for place in step.places:
            state = state.if_filled(place)
    return replace(state, phase="striking")
