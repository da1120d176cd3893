"""May a place be filled now: what it rests on, pegs, the part itself, and whether what stands then bears it."""

from collections.abc import Iterable, Iterator

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.raising.lifts import LiftOrder, next_lift
from fieldapp.reports.raising.pegs import pegs_first
from fieldapp.reports.standing import Standing, bearing, clears
from fieldapp.reports.verdict.below import is_sound_at, need_at
from fieldapp.reports.verdict.everybody import NOT_SO, first_for
from fieldapp.reports.verdict.record import First, Hands, Sign, Verdict


def place_in(site: Setting, state: State, place: str) -> Verdict:
    """The verdict on an empty place of the plan while the frame goes up."""
    step, now = site.plan.step_for(place), bearing(site, state)
    lift = lift_of(site, state, step)
    first = tuple(_first(site, state, place, lift))
    after = None if first else bearing(site, state.if_filled(place))
    if after is not None and not _bears(site, state, step, after):
        first = (NOT_SO,)
    hands = hands_in(now, after, (place,)) if after else Hands(keep=now.holds)
    return Verdict(place, state.last_number, sign_of(first), "in", (place,), first, hands, lift, now, after)


def sign_of(first: tuple[First, ...]) -> Sign:
    """Green without anything before it; a stop where no order of things leads there."""
    if not first:
        return "now"
    return "stop" if first[0].need in ("stopped", "wind", "clear", "not so", "find") else "waits"


def _first(site: Setting, state: State, place: str, lift: LiftOrder | None) -> Iterator[First]:
    """What comes first, the most urgent at the head."""
    found = first_for(site, state, place)
    yield from found
    named = {name for one in found for name in one.places}
    lacks = site.plan.lacks(place, lambda name: is_sound_at(state, name)) or tuple(_before_lift(site, state, place))
    for name in lacks:
        if name not in named:
            yield First(need_at(state, name), (name,))
    feet = pegs_first(site.plan, state, place)
    if feet and not any(one.need == "peg" for one in found):
        yield First("peg", tuple(foot.hub for foot in feet), feet)
    if lift is not None and lift.breaks:
        yield NOT_SO
    if need_at(state, place) == "find":
        yield First("find", (place,))


def _before_lift(site: Setting, state: State, place: str) -> Iterator[str]:
    """What of a piece is still open below its last lift before `place`: it is lifted as planned, or not at all."""
    step = site.plan.step_for(place)
    lifted = [one.number for one in site.plan.steps[:step.number] if one.lift_mm > 0.0]
    for one in site.plan.steps[:lifted[-1] - 1] if lifted else ():
        if one.piece == step.piece or step.joins:
            yield from (name for name in one.sequence if not is_sound_at(state, name))


def _bears(site: Setting, state: State, step: Step, after: Standing) -> bool:
    """True if what stands with the place filled bears its weight with its holds held, and so with its whole step."""
    return after.verdict != "clear" and not clears(site, filled(state, step.places))


def filled(state: State, places: Iterable[str]) -> State:
    """As if all of these were filled."""
    for place in places:
        state = state.if_filled(place)
    return state


def lift_of(site: Setting, state: State, step: Step) -> LiftOrder | None:
    """The lift with which the step begins, if it is still to come."""
    if step.lift_mm <= 0.0:
        return None
    order = next_lift(site, state)
    return order if order is not None and order.step == step.number else None


def hands_in(now: Standing, after: Standing, places: tuple[str, ...]) -> Hands:
    """Who holds what before, while and after these places are filled."""
    held, later = now.held_hubs, after.held_hubs
    new = [hold for hold in after.holds if hold.hub not in held]
    hanging = tuple(end.strut for end in after.loose_ends if end.strut in places)
    return Hands(before=tuple(hold for hold in new if hold.hub in now.hubs),
                 keep=tuple(hold for hold in after.holds if hold.hub in held),
                 in_hand=(*(place for place in places if place in after.hubs), *hanging),
                 after=tuple(hold for hold in new if hold.hub not in now.hubs),
                 let_go=tuple(hub for hub in held if hub not in later), carry=after.carried_at)
