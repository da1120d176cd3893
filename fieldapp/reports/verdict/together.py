"""Which steps may be done at one time: each was judged alone, and several teams do not wait for each other."""

from collections.abc import Callable

from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.standing import clears
from fieldapp.reports.standing.strike import last_steps
from fieldapp.reports.verdict.coming_out import place_out
from fieldapp.reports.verdict.going_in import filled, place_in
from fieldapp.reports.verdict.record import First, Hands, Verdict


@remembered(512)
def alone(site: Setting, state: State, place: str) -> Verdict:
    """The verdict on a place of the plan as if nobody did anything else meanwhile."""
    return (place_out if state.phase == "striking" else place_in)(site, state, place)


@remembered(8)
def steps_together(site: Setting, state: State) -> tuple[Step, ...]:
    """Steps that may all be under way at once, in the order of the plan, backwards at the strike.

    The first that may be done alone is always among them; one more is, if what stands once all are done still bears.
    """
    striking, found, whole = state.phase == "striking", [], state
    steps = [step for step, _places in last_steps(site.plan, state.fitted, len(site.plan.steps))] if striking else \
        list(site.plan.steps)
    change: Callable[[State, Step], State] = _without if striking else _with
    for step in steps:
        if any(state.is_fitted(place) == striking and alone(site, state, place).may for place in step.places):
            more = change(whole, step)
            if not clears(site, more):
                found.append(step)
                whole = more
    return tuple(found)


def _with(state: State, step: Step) -> State:
    return filled(state, step.places)


def _without(state: State, step: Step) -> State:
    return state.if_empty(step.places)


def beside_others(site: Setting, state: State, place: str) -> Verdict:
    """The verdict on a place of the plan, as several teams work: what is too much with the others waits for them."""
    found, steps = alone(site, state, place), steps_together(site, state)
    if not found.may or site.plan.step_for(place) in steps:
        return found
    striking = state.phase == "striking"
    others = tuple(name for step in steps for name in (reversed(step.sequence) if striking else step.sequence)
                   if state.is_fitted(name) == striking)
    first = First("take out" if striking else "fill", others)
    return Verdict(place, found.number, "waits", found.act, (place,), (first,), Hands(keep=found.now.holds),
                   now=found.now)
