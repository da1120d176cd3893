"""The verdict on the stage: may it be left as it stands, what comes first for everybody, what is green."""

from collections.abc import Iterator

from fieldapp.base.remembered import remembered
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.exchange import next_tick
from fieldapp.reports.raising import NextPlace
from fieldapp.reports.raising.pegs import peg_turn
from fieldapp.reports.standing import bearing
from fieldapp.reports.standing.strike import last_steps
from fieldapp.reports.verdict.below import need_at
from fieldapp.reports.verdict.everybody import everybody_first, halt
from fieldapp.reports.verdict.place import place_verdict
from fieldapp.reports.verdict.record import First, Hands, Sign, Verdict, WayOut

MOST_TRIED = 8
"""Steps that are tried to be taken back (in no formula)."""


@remembered(8)
def stage_verdict(site: Setting, state: State) -> Verdict:
    """What is true for everybody at this moment; its places are all that is green."""
    now, first = bearing(site, state), everybody_first(site, state)
    green = tuple(one.place for one in places_now(site, state) if one.usable)
    turn = peg_turn(site.plan, state)
    if turn.feet and not green and not any(one.need == "peg" for one in first):
        first = (*first, First("peg", turn.hubs, turn.feet))
    sign: Sign = "stop" if now.verdict == "clear" or halt(site, state) else "waits" if first else "fitted"
    return Verdict("", state.last_number, sign, "out" if state.phase == "striking" else "in", green, first,
                   Hands(keep=now.holds, carry=now.carried_at), now=now,
                   way_out=() if green else tuple(ways_out(site, state)))


@remembered(8)
def places_now(site: Setting, state: State) -> tuple[NextPlace, ...]:
    """Every place that may be filled, or emptied, now, step by step in the order in which hands work.

    Going up also those whose turn it is and for which another part must be found first (`usable` is False).
    """
    if state.exchanging is not None:
        return tuple(_exchanged(site, state, state.exchanging))
    if state.phase == "striking":
        return tuple(_coming_out(site, state))
    return tuple(one for step in site.plan.steps for one in _going_in(site, state, step))


def _exchanged(site: Setting, state: State, running: Exchanging) -> Iterator[NextPlace]:
    tick = next_tick(state, running)
    if tick is not None and place_verdict(site, state, tick.place).may:
        step = site.plan.step_for(tick.place) if tick.place in site.plan.step_of else None
        yield NextPlace(tick.place, tick.part, step.number if step else 0, step.level if step else 0, usable=True)


def _going_in(site: Setting, state: State, step: Step) -> Iterator[NextPlace]:
    for place in step.sequence:
        if not state.is_fitted(place):
            verdict = place_verdict(site, state, place)
            found = bool(verdict.first) and verdict.first[0].need == "find"
            if verdict.may or found:
                yield NextPlace(place, state.allocation.get(place), step.number, step.level, verdict.may)


def _coming_out(site: Setting, state: State) -> Iterator[NextPlace]:
    for place in sorted(state.fitted):
        if place not in site.plan.step_of and place_verdict(site, state, place).may:
            yield NextPlace(place, state.fitted[place], 0, 0, usable=True)
    for step, places in last_steps(site.plan, state.fitted, len(site.plan.steps)):
        for place in places:
            if place_verdict(site, state, place).may:
                yield NextPlace(place, state.fitted[place], step.number, step.level, usable=True)


def steps_now(site: Setting, state: State) -> tuple[int, ...]:
    """Numbers of the steps of which something may be done, or taken back, now; the plan's last first at the strike."""
    return tuple(dict.fromkeys(one.step for one in places_now(site, state) if one.usable and one.step))


def ways_out(site: Setting, state: State) -> Iterator[WayOut]:
    """Where nothing is green: acts after which the stage stands; the frame is cleared where there is none."""
    up = state.phase != "striking"
    if state.exchanging is not None or halt(site, state):
        return              # the page of an exchange says act by act what comes next, the alarm what to do
    if not state.fitted or (up and _is_whole_or_waits_for_pegs(site, state)):
        return
    replaced = [WayOut("in", one.places) for one in everybody_first(site, state) if up and one.below
                and need_at(state, one.places[0]) != "fill"]
    yield from replaced
    if replaced and bearing(site, state).verdict != "clear":
        return              # what stands may stay until then; the answer to the damage says how it is exchanged
    for step, places in last_steps(site.plan, state.fitted, MOST_TRIED):
        left = bearing(site, state.if_empty(places))
        if left.verdict != "clear":
            yield WayOut("out", places, left.holds, step.number)
            return
    yield WayOut("")


def _is_whole_or_waits_for_pegs(site: Setting, state: State) -> bool:
    """True where nothing is green because nothing is left to do, or because pegs come first."""
    whole = all(map(state.is_fitted, site.plan.step_of)) and bearing(site, state).verdict != "clear"
    return whole or bool(peg_turn(site.plan, state).feet)
