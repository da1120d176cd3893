"""The verdict on a step: all that it brings, at once; the unit of work on site."""

from collections.abc import Iterator
from dataclasses import replace

from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.standing import Standing, bearing, clears
from fieldapp.reports.verdict.below import is_sound_at
from fieldapp.reports.verdict.coming_out import carried, hands_out, in_hand, may_come_out
from fieldapp.reports.verdict.going_in import filled, hands_in
from fieldapp.reports.verdict.place import place_verdict
from fieldapp.reports.verdict.record import First, Hands, Sign, Verdict
from fieldapp.reports.verdict.together import alone


@remembered(256)
def step_verdict(site: Setting, state: State, number: int) -> Verdict:
    """May a step of the plan be done now, or taken back at the strike.

    Parameters
    ----------
    number : int
        Of the step, from 1; IndexError if there is none.
    """
    step, striking = site.plan.steps[number - 1], state.phase == "striking"
    places = _coming_out(site, state, step) if striking else tuple(
        place for place in step.sequence if not state.is_fitted(place))
    now = bearing(site, state)
    if state.exchanging is not None:
        return _while_exchanging(site, state, step, places)
    if not places:
        return _done(state, step, now)
    return _of_places(site, state, step, [place_verdict(site, state, place) for place in places])


def _done(state: State, step: Step, now: Standing) -> Verdict:
    """Of a step of which nothing is left to do, unless what sits there must be replaced: as its places say."""
    if state.phase == "striking":
        return Verdict(step.hub, state.last_number, "empty", now=now)
    first = tuple(First("replace", (place,), below=True) for place in step.sequence if not is_sound_at(state, place))
    return Verdict(step.hub, state.last_number, "stop" if first else "fitted", first=first, now=now)


def _while_exchanging(site: Setting, state: State, step: Step, places: tuple[str, ...]) -> Verdict:
    """Of a step that a part in the frame is exchanged in: its next act; of any other, that it waits for the end."""
    found = [place_verdict(site, state, place) for place in step.places]
    told = next((one for one in found if one.may), None) or next((one for one in found if one.act), None)
    if told is None:
        return _done(state, step, bearing(site, state))
    return replace(told, about=step.hub, places=told.places if told.may else places)


def step_alone(site: Setting, state: State, step: Step) -> Verdict:
    """At the strike, of the step that comes out next where nobody takes back another one: the same, for fewer stages.

    Where its first place may come out, the order was judged all the way already and nothing else comes before it.
    """
    places = _coming_out(site, state, step)
    if not places:
        return Verdict(step.hub, state.last_number, "empty", now=bearing(site, state))
    if may_come_out(site, state, places[0]):
        begins = Verdict(places[0], state.last_number, "now", "out", places[:1], now=bearing(site, state))
        return _with_hands(site, state, step, [begins], places)
    return _of_places(site, state, step, [alone(site, state, place) for place in places])


def _of_places(site: Setting, state: State, step: Step, verdicts: list[Verdict]) -> Verdict:
    """From those on its places that are still to be done."""
    if not verdicts[0].may:
        verdicts.sort(key=lambda verdict: not verdict.may)      # what may be done now begins, all else in its order
    places = tuple(verdict.about for verdict in verdicts)
    first = tuple(_first(verdicts, places))
    if first:
        return Verdict(step.hub, state.last_number, _sign(verdicts, first), verdicts[0].act, places, first,
                       Hands(keep=verdicts[0].now.holds), now=verdicts[0].now)
    return _with_hands(site, state, step, verdicts, tuple(place for one in verdicts for place in one.places))


def _coming_out(site: Setting, state: State, step: Step) -> tuple[str, ...]:
    """What of a step is in, in the order in which it comes out: the raise backwards, or all its struts before its hub.

    The second where a strut that still hangs would be too much for what is left of a damaged frame.
    """
    back = tuple(place for place in reversed(step.sequence)
                 if state.is_fitted(place) and not (step.joins and place == step.hub))
    struts_first = (*(place for place in back if place != step.hub), *(place for place in back if place == step.hub))
    return back if _bears_all_the_way(site, state, back) else struts_first


def _bears_all_the_way(site: Setting, state: State, places: tuple[str, ...]) -> bool:
    return all(not clears(site, state.if_empty(places[:count])) for count in range(1, len(places)))


def _with_hands(site: Setting, state: State, step: Step, verdicts: list[Verdict], places: tuple[str, ...]) -> Verdict:
    """Of a step before which nothing else comes."""
    striking, now = state.phase == "striking", verdicts[0].now
    after = bearing(site, state.if_empty(places) if striking else filled(state, places))
    hands = in_hand(site, state, carried(hands_out(now, after, places), step), step) if striking else \
        hands_in(now, after, places)
    return Verdict(step.hub, state.last_number, _sign(verdicts, ()), verdicts[0].act, places, (), hands,
                   next((one.lift for one in verdicts if one.lift), None), now, after)


def _first(verdicts: list[Verdict], places: tuple[str, ...]) -> Iterator[First]:
    """All that comes before any of it, each once; what the step itself brings does not."""
    seen: set[First] = set()
    for one in (first for verdict in verdicts for first in verdict.first):
        own = one.need in ("fill", "take out") and set(one.places) <= set(places)
        own = own or (one.need == "not so" and verdicts[0].may)     # judged again once the first of it is done
        if one not in seen and not own:
            seen.add(one)
            yield one


def _sign(verdicts: list[Verdict], first: tuple[First, ...]) -> Sign:
    """Green once nothing comes first and a place of it may be done now; the others follow inside the step."""
    if not first and any(verdict.may for verdict in verdicts):
        return "unknown" if any(verdict.sign == "unknown" for verdict in verdicts) else "now"
    return "stop" if any(verdict.sign == "stop" for verdict in verdicts) else "waits"
