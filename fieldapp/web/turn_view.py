"""What follows from filling a place now: in its turn or before it, as the frame really stands."""

from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.reports.out_of_order import consequence
from fieldapp.reports.words_order import consequence_words


def turn_lines(site: Site, state: State, place: str | None) -> tuple[str, ...]:
    """Empty for a place that is filled, or left out, or for no place."""
    if place is None or state.is_fitted(place) or place not in site.plan.step_of:
        return ()
    return consequence_words(consequence(site, state, place))
