"""May a place be emptied now: what rests on it, what must be held, and whether what is left then stands."""

from dataclasses import replace

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.standing import Standing, bearing, clears
from fieldapp.reports.standing.strike import last_steps
from fieldapp.reports.verdict.everybody import NOT_SO
from fieldapp.reports.verdict.going_in import sign_of
from fieldapp.reports.verdict.record import First, Hands, Verdict


def place_out(site: Setting, state: State, place: str) -> Verdict:
    """The verdict on a fitted place that is to come out: at the strike, or to be exchanged."""
    now = bearing(site, state)
    step = site.plan.step_for(place) if place in site.plan.step_of else None
    first = _first(site, state, place, step)
    if first:
        return Verdict(place, state.last_number, sign_of(first), "out", (place,), first, Hands(keep=now.holds), now=now)
    after = bearing(site, state.if_empty((place,)))
    first = () if _stands(site, state, step, after) else (NOT_SO,)
    hands = in_hand(site, state, carried(hands_out(now, after, (place,)), step), step)
    return Verdict(place, state.last_number, sign_of(first), "out", (place,), first, hands, now=now, after=after)


def may_come_out(site: Setting, state: State, place: str) -> bool:
    """True if `place_out` says now of a place of the plan: for less, where nothing else is asked."""
    step = site.plan.step_for(place)
    return not _first(site, state, place, step) and not clears(site, state.if_empty((place,))) \
        and not clears(site, state.if_empty(step.places))


def _first(site: Setting, state: State, place: str, step: Step | None) -> tuple[First, ...]:
    if step is None:
        return ()
    resting = resting_on(site, state, place)
    if resting:
        return (First("take out", resting),)
    if not any(one is step for one, _places in last_steps(site.plan, state.fitted, len(site.plan.steps))):
        return (First("take out", _later(site, state, step)),)
    return ()


def resting_on(site: Setting, state: State, place: str) -> tuple[str, ...]:
    """Fitted places that must come out before: those of later steps that rest on it, and what closes at a hub.

    In the order in which they come out.
    """
    plan = site.plan
    step = plan.step_for(place)
    later = [name for one in reversed(plan.steps) for name in reversed(one.places)
             if one is not step and state.is_fitted(name) and place in plan.rests_on(name)]
    closing = [item.strut for item in reversed(step.struts)
               if place == step.hub and not step.joins and state.is_fitted(item.strut)
               and not plan.hangs_first(item.strut)]
    return tuple(dict.fromkeys((*later, *closing)))


def _later(site: Setting, state: State, step: Step) -> tuple[str, ...]:
    """What comes out next, where a step waits for others although nothing of them rests on it: pieces, hubs tied on."""
    steps = last_steps(site.plan, state.fitted, 1)
    return tuple(name for one, places in steps if one is not step for name in places) or (step.hub,)


def _stands(site: Setting, state: State, step: Step | None, after: Standing) -> bool:
    """True if what is left stands with its holds held, and so without the whole step."""
    if after.verdict == "clear":
        return False
    return step is None or not clears(site, state.if_empty(step.places))


def hands_out(now: Standing, after: Standing, places: tuple[str, ...]) -> Hands:
    """Who holds what before, while and after these places are emptied: what is held then is held before."""
    held, later = now.held_hubs, after.held_hubs
    was = {end.strut for end in now.loose_ends}
    hanging = tuple(end.strut for end in after.loose_ends if end.strut not in was)
    return Hands(before=tuple(hold for hold in after.holds if hold.hub not in held),
                 keep=tuple(hold for hold in after.holds if hold.hub in held),
                 in_hand=(*places, *hanging), let_go=tuple(hub for hub in held if hub not in later),
                 carry=after.carried_at if set(after.carried_at) - set(now.carried_at) else ())


def in_hand(site: Setting, state: State, hands: Hands, step: Step | None) -> Hands:
    """The same with the hub of the step kept in hand while its struts come off: not one that stands on the ground or on
    a prop, nor one that stays when a piece is untied."""
    now = bearing(site, state)
    hub = step.hub if step is not None and not step.joins else ""
    tied = {end.hub for name in state.fitted if name in site.kit.frame.strut_index
            for end in (site.kit.frame.strut(name).end_1, site.kit.frame.strut(name).end_2)}
    return replace(hands, in_hand=tuple(dict.fromkeys(
        place for place in (*([hub] if state.is_fitted(hub) else ()), *hands.in_hand)
        if place not in site.kit.frame.hub_index or (place in tied and place not in now.stands_on))))


def carried(hands: Hands, step: Step | None) -> Hands:
    """The same; where a step ends with a lowering, hands change at the piece after it and not before."""
    return replace(hands, carry=()) if step is not None and step.lift_mm else hands
