"""What comes first for everybody, wherever they work: clear it, fill what is missing below, peg what should be."""

from collections.abc import Iterator

from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting, is_to_begin
from fieldapp.log.state import State
from fieldapp.reports.raising.pegs import peg_turn
from fieldapp.reports.standing import bearing
from fieldapp.reports.standing.alarm import alarm_now
from fieldapp.reports.verdict.below import missing_below
from fieldapp.reports.verdict.record import First

STOPPED, WIND = First("stopped", ()), First("wind", ())
"""Nothing goes in or comes out, whatever the stage bears (in no formula)."""
NOT_BEGUN = First("not begun", ())
"""Nothing goes in before the chief has started the raise, since nobody has said that the kit is fit (in no formula)."""
CLEAR = First("clear", ())
NOT_SO = First("not so", ())
"""What stands then would break, or fall, whoever holds it (in no formula)."""


@remembered(8)
def halt(site: Setting, state: State) -> First | None:
    """Why nobody builds at all now: it is stopped, the gust that was read is too much, or no raise is started."""
    alarm = alarm_now(site, state)
    return STOPPED if alarm.stop else WIND if alarm.wind else NOT_BEGUN if is_to_begin(site, state) else None


@remembered(8)
def everybody_first(site: Setting, state: State) -> tuple[First, ...]:
    """The most urgent at the head; at the strike only that it must be cleared, during an exchange that this ends."""
    return tuple(_first(site, state))


def _first(site: Setting, state: State) -> Iterator[First]:
    if bearing(site, state).verdict == "clear":
        yield CLEAR
    if state.exchanging is not None:
        yield First("exchange", (state.exchanging.place,))
        return
    if state.phase == "striking":
        return
    yield from missing_below(site, state)
    turn = peg_turn(site.plan, state)
    if turn.late:
        yield First("peg", turn.hubs, turn.feet)


def first_for(site: Setting, state: State, place: str) -> tuple[First, ...]:
    """The same for who is to fill `place`: where it is missing below itself, only what it rests on comes before it."""
    found = everybody_first(site, state)
    if not any(one.below and place in one.places for one in found):
        return found
    lower = site.plan.rests_on(place)
    return tuple(one for one in found if not one.below or one.places[0] in lower)
