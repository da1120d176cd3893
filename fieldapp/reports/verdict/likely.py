"""The moments that are likely next, judged before anybody asks: then an entry finds its limits there.

A guess changes nothing that is told: what is kept is the answer to all that a moment is judged by, and a moment that
differs in any of it is judged anew.
"""

from collections.abc import Callable

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.standing import foresee, last_placed
from fieldapp.reports.verdict.going_in import filled
from fieldapp.reports.verdict.stage import steps_now


def foresee_next(site: Setting, state: State, *, is_now: Callable[[], bool]) -> int:
    """Judge what stands after each step that is green now; stops as soon as something was written down.

    Parameters
    ----------
    site : Setting
    state : State
    is_now : callable
        True while `state` is what the log says.

    Returns
    -------
    int
        How many moments were judged.
    """
    count = 0
    for number in steps_now(site, state):
        if not is_now():
            break
        after, newest = _after(state, site.plan.steps[number - 1])
        foresee(site, after, newest)
        count += 1
    return count


def _after(state: State, step: Step) -> tuple[State, tuple[str, ...]]:
    """Once all of it is done, and the hubs placed by then in their order, newest last."""
    if state.phase == "striking":
        after = state.if_empty(place for place in step.places if not (step.joins and place == step.hub))
        return after, last_placed(after, _hubs(after), len(after.fitted))
    new = tuple(place for place in step.sequence if not state.is_fitted(place))
    hubs = last_placed(state, _hubs(state), len(state.fitted))
    after = filled(state, new)
    return after, (*hubs, *(hub for hub in _hubs(after) if hub in new))


def _hubs(state: State) -> tuple[str, ...]:
    """Hub places that are filled, in the order of the frame."""
    return tuple(hub.name for hub in state.kit.frame.hubs if hub.name in state.fitted)
