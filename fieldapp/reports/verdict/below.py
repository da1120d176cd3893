"""What is missing or damaged under what stands: places that something fitted rests on."""

from collections.abc import Iterator

from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.parts import may_go_in
from fieldapp.reports.verdict.record import First, Need


def is_sound_at(state: State, place: str) -> bool:
    """True if a part sits there that may be relied on: what is quarantined bears nothing that comes on top."""
    return state.is_fitted(place) and state.parts[state.fitted[place]].usable


@remembered(8)
def missing_below(site: Setting, state: State) -> tuple[First, ...]:
    """Places that must be filled, or whose part must be replaced, before anything goes on: the lowest first.

    Parameters
    ----------
    site : Setting
    state : State

    Returns
    -------
    tuple of First
        One for each place; empty if all that something fitted rests on is there and sound.
    """
    rested_on = {below for place in state.fitted if place in site.plan.step_of for below in site.plan.rests_on(place)}
    return tuple(First(need, (place,), below=True) for place, need in _needs(site, state)
                 if place in rested_on and not is_sound_at(state, place))


def _needs(site: Setting, state: State) -> Iterator[tuple[str, Need]]:
    """Every place of the plan, in its order, with what it would take to fill it."""
    for place in dict.fromkeys(place for step in site.plan.steps for place in step.places):
        yield place, need_at(state, place)


def need_at(state: State, place: str) -> Need:
    """What it takes to have a sound part there: replace the one that sits there, find another one, or fill it."""
    if state.is_fitted(place):
        return "replace"
    part = state.allocation.get(place)
    return "fill" if part is not None and may_go_in(state, part) else "find"
