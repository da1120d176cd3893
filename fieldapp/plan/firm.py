"""Stages of a plan that are sure to break, whatever pegs do by then: found for a part of what every stage costs.

Loose feet only take from what a stage bears, so that what breaks on feet that stay breaks. What does not is looked at
with every foot pegged that stood before the step, and with none: pegging has begun by then or it has not.
"""

from collections.abc import Iterator
from dataclasses import replace

from fieldapp.base.remembered import remembered
from fieldapp.plan.case import Case
from fieldapp.plan.fitted import fitted_after
from fieldapp.plan.footing import can_hold
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import StageAnalysis, analysis
from fieldapp.statics.governs import Limit

LONG = 100
"""Steps of a plan of which a few stages are looked at first: what breaks is not looked at whole (in no formula)."""
EVERY, _LOOKS = 8, 40
"""Every eighth stage is looked at, of a plan of many more steps some forty (in no formula)."""


def stage_after(case: Case, plan: Plan, number: int) -> StageAnalysis:
    """The stage after a step: on its supports alone if it stands so, else with its holds held."""
    fitted = fitted_after(plan, number)
    alone = analysis(case, fitted)
    holds = plan.steps[number - 1].holds
    return alone if alone.stands or not holds else analysis(case, replace(fitted, held=holds))


def breaks_somewhere(case: Case, plan: Plan) -> bool:
    """True if something is computed to give way at some stage even on feet that stay; stops at the first that it meets.

    Stages are tried coarse to fine: what breaks does so over a run of steps.
    """
    return any(_use(case, plan, number) > 1.0 for number in _some(plan, 32, 8, 1))


def uses_more_somewhere(case: Case, plan: Plan, use: float) -> bool:
    """True if a stage is sure to use more than this of what gives way first under its design weight.

    Only some forty stages are looked at, coarse to fine, on feet that stay, and some ten of them on their own: False
    says nothing.
    """
    return any(_use(case, plan, number) > use for number in _spread(plan)) or \
        any(surely(case, plan, number).value * use < 1.0 for number in _coarse(plan))


def uses_more_alone(case: Case, plan: Plan, use: float) -> bool:
    """The same before it is known what must be held: only stages that stand without count.

    Source: (P20). Test: tests/plan/test_compare.py
    """
    return any(_use_alone(case, plan, number) > use for number in _spread(plan))


def breaks_soon(case: Case, plan: Plan) -> bool:
    """True of a long plan if one of a few stages is sure to break; what joints that turn need is asked of every stage.

    Source: (P20). Test: tests/plan/test_compare.py
    """
    if len(plan.steps) <= LONG or case.design.hub.held_by.member.springs:
        return False
    return uses_more_somewhere(case, plan, 1.0)


def worst_found(case: Case, plan: Plan) -> int:
    """The step after which the stage is sure to use most, of those looked at and those around the worst of these.

    It proves that the plan breaks, and names by what; that no other stage uses more it does not say.
    """
    firm = any(_use(case, plan, number) > 1.0 for number in _spread(plan))

    def use(number: int) -> float:
        return _use(case, plan, number) if firm else -surely(case, plan, number).value

    worst, near = max(_spread(plan) if firm else _coarse(plan), key=use), _apart(plan) * (1 if firm else 4)
    while near > 1:
        near = (near + 1) // 2
        worst = max((at for at in (worst, worst - near, worst + near) if 1 <= at <= len(plan.steps)), key=use)
    return worst


def surely(case: Case, plan: Plan, number: int) -> Limit:
    """The verdict of the stage after a step as far as it is sure: the better of those with and without pegs.

    Source: (P16), (P20). Test: tests/plan/test_compare.py
    """
    return _surely(case, plan, number)


@remembered(4096)
def _use_alone(case: Case, plan: Plan, number: int) -> float:
    """On feet that stay, whatever is held; 0 of a stage that does not stand without."""
    alone = analysis(case, fitted_after(plan, number))
    return alone.use_on_firm_feet if alone.stands else 0.0


@remembered(1024)
def _surely(case: Case, plan: Plan, number: int) -> Limit:
    loose = stage_after(case, plan, number)
    if _use(case, plan, number) > 1.0:
        return loose.on_firm_feet
    stood = fitted_after(plan, number - 1).stands_on if number > 1 else ()
    pegged = [foot for foot in loose.feet if foot in stood]
    if not pegged or not can_hold(case.design.ground):
        return loose.verdict
    held = loose.with_pegs(pegged).verdict
    return held if held.value >= 1.0 else max((held, loose.verdict), key=lambda one: one.value)


def _apart(plan: Plan) -> int:
    return max(EVERY, len(plan.steps) // _LOOKS)


def _spread(plan: Plan) -> Iterator[int]:
    yield from _some(plan, 4 * _apart(plan), _apart(plan))


def _coarse(plan: Plan) -> Iterator[int]:
    yield from _some(plan, 4 * _apart(plan))


def _some(plan: Plan, *strides: int) -> Iterator[int]:
    """Numbers of steps, the last first, coarse to fine."""
    yield from dict.fromkeys(number for stride in strides for number in range(len(plan.steps), 0, -stride))


@remembered(4096)
def _use(case: Case, plan: Plan, number: int) -> float:
    return stage_after(case, plan, number).use_on_firm_feet
