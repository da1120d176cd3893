"""The state as it would be with a part in or out: for questions asked before anything is logged."""

from collections.abc import Iterable
from dataclasses import replace

from fieldapp.log.state import State


def with_place_filled(state: State, place: str) -> State:
    """The state with `place` filled by the part meant for it, or by the one made for it; KeyError if there is none."""
    if place in state.fitted:
        return state
    part = state.allocation.get(place) or state.kit.by_place[place].id
    past = replace(state.parts[part], fitted_at=place)
    return replace(state, fitted={**state.fitted, place: part}, parts={**state.parts, part: past})


def with_places_empty(state: State, places: Iterable[str]) -> State:
    """The state with these places empty."""
    gone = {place for place in places if place in state.fitted}
    parts = {state.fitted[place]: replace(state.parts[state.fitted[place]], fitted_at=None) for place in gone}
    return replace(state, fitted={place: part for place, part in state.fitted.items() if place not in gone},
                   parts={**state.parts, **parts})
