"""What follows from filling a place now, or at the strike from emptying it, as the frame really stands."""

from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.reports.raising.progress import may_come_out
from fieldapp.reports.standing.out_of_order import consequence
from fieldapp.reports.standing.strike import strike
from fieldapp.web.common.i18n import _
from fieldapp.wording.order import after_words
from fieldapp.wording.place import joined
from fieldapp.wording.strike import out_words

MOST_NAMED = 6


def turn_lines(site: Site, state: State, place: str | None) -> tuple[str, ...]:
    """Empty for no place, for one that is left out, and for a filled one while the frame goes up; the page says itself
    what it waits for.
    """
    if place is None or place not in site.plan.step_of:
        return ()
    if state.is_fitted(place):
        return _out_lines(site, state, place) if state.phase == "striking" else ()
    return after_words(consequence(site, state, place)) if state.phase != "striking" else ()


def _out_lines(site: Site, state: State, place: str) -> tuple[str, ...]:
    """With which others it comes out, or what must come out before it."""
    for out in strike(site, state).next:
        if place in out.places:
            return out_words(out)
    if place in may_come_out(site.plan, state):
        return (_("It may come out now."),)
    before = [name for name in state.fitted if name in site.plan.step_of and place in site.plan.waits_for(name)]
    return (_("Not yet. First take out {places}.").format(places=joined(sorted(before)[:MOST_NAMED])),)
