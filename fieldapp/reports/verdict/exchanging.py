"""The verdict while a part of the standing frame is exchanged: its next act alone is green, all else waits."""

from fieldapp.log.exchanging import Exchanging
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.exchange import TickNow, next_tick
from fieldapp.reports.standing import bearing
from fieldapp.reports.verdict.coming_out import hands_out
from fieldapp.reports.verdict.everybody import CLEAR, NOT_SO
from fieldapp.reports.verdict.going_in import hands_in, sign_of
from fieldapp.reports.verdict.record import First, Hands, Verdict


def while_exchanging(site: Setting, state: State, running: Exchanging, place: str) -> Verdict:
    """May a place be filled or emptied while one is being exchanged."""
    tick, now = next_tick(state, running), bearing(site, state)
    if tick is not None and tick.place == place:
        return _of_tick(site, state, tick)
    if state.is_fitted(place):
        return Verdict(place, state.last_number, "fitted", now=now)
    if place not in site.plan.step_of:
        return Verdict(place, state.last_number, "empty", now=now)
    return Verdict(place, state.last_number, "waits", "in", (place,), (First("exchange", (running.place,)),),
                   Hands(keep=now.holds), now=now)


def _of_tick(site: Setting, state: State, tick: TickNow) -> Verdict:
    """The next act: its holds are those that were named before it began, judged again as the frame stands."""
    place, now = tick.place, bearing(site, state)
    after = bearing(site, state.if_filled(place) if tick.goes == "in" else state.if_empty((place,)))
    first = (CLEAR,) if now.verdict == "clear" else (First("find", (place,)),) if not tick.usable else \
        (NOT_SO,) if after.verdict == "clear" else ()
    hands = (hands_in if tick.goes == "in" else hands_out)(now, after, (place,))
    return Verdict(place, state.last_number, sign_of(first), tick.goes, (place,), first, hands, now=now, after=after)
