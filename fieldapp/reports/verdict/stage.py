"""The verdict on the stage: may it be left as it stands, what comes first for everybody, what is green."""

from collections.abc import Iterator

from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.raising.pegs import peg_turn
from fieldapp.reports.standing import bearing
from fieldapp.reports.standing.strike import last_steps
from fieldapp.reports.verdict.below import missing_below
from fieldapp.reports.verdict.going_in import CLEAR
from fieldapp.reports.verdict.place import place_verdict
from fieldapp.reports.verdict.record import First, Hands, Sign, Verdict, WayOut
from fieldapp.reports.verdict.step import step_verdict


@remembered(8)
def stage_verdict(site: Setting, state: State) -> Verdict:
    """What is true for everybody at this moment; its places are all that is green."""
    now = bearing(site, state)
    first = tuple(_first(site, state))
    green = tuple(one for number in steps_now(site, state) for one in _green_of(site, state, number))
    sign: Sign = "stop" if now.verdict == "clear" else "waits" if first else "fitted"
    return Verdict("", state.last_number, sign, "out" if state.phase == "striking" else "in", green, first,
                   Hands(keep=now.holds, carry=now.carried_at), now=now,
                   way_out=() if green or first else tuple(ways_out(site, state)))


def _green_of(site: Setting, state: State, number: int) -> Iterator[str]:
    return (place for place in step_verdict(site, state, number).places if place_verdict(site, state, place).may)


def _first(site: Setting, state: State) -> Iterator[First]:
    if bearing(site, state).verdict == "clear":
        yield CLEAR
    if state.phase == "striking":
        return
    yield from missing_below(site, state)
    turn = peg_turn(site.plan, state)
    if turn.late:
        yield First("peg", turn.hubs, turn.feet)


@remembered(8)
def steps_now(site: Setting, state: State) -> tuple[int, ...]:
    """Numbers of the steps that may be done, or taken back, now: in the plan's order, the last first at the strike."""
    if state.phase == "striking":
        steps = last_steps(site.plan, state.fitted, len(site.plan.steps))
        return tuple(step.number for step, _places in steps if step_verdict(site, state, step.number).may)
    return tuple(step.number for step in site.plan.steps
                 if any(not state.is_fitted(place) for place in step.places) and _is_open(site, state, step.number))


def _is_open(site: Setting, state: State, number: int) -> bool:
    return any(place_verdict(site, state, place).may for place in site.plan.steps[number - 1].places
               if not state.is_fitted(place))


def ways_out(site: Setting, state: State) -> Iterator[WayOut]:
    """Single acts after which the stage stands, though nothing is green; the frame is cleared where there is none."""
    if not state.fitted:
        return
    for _step, places in last_steps(site.plan, state.fitted, 4):
        left = bearing(site, state.if_empty(places))
        if left.verdict != "clear":
            yield WayOut("out", places, left.holds)
            return
    yield WayOut("")
