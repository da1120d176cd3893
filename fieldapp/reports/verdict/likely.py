"""The moments that are likely next, judged before anybody asks: then an entry finds its verdicts and limits there.

A guess changes nothing that is told: what is kept is the answer to all that a moment is judged by, and a moment that
differs in any of it is judged anew.
"""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply
from fieldapp.log.rules import Setting, decide
from fieldapp.log.state import State
from fieldapp.plan.plan import Step
from fieldapp.reports.standing import standing
from fieldapp.reports.verdict.stage import steps_now
from fieldapp.reports.verdict.step import step_verdict


def foresee_next(site: Setting, state: State, *, is_now: Callable[[], bool]) -> int:
    """Judge what stands after each step that is green now, and the cards of then; stops once something is written down.

    Parameters
    ----------
    site : Setting
    state : State
    is_now : callable
        True while `state` is what the log says.

    Returns
    -------
    int
        How many moments were judged whole.
    """
    count = 0
    for after in _likely(site, state):
        for judge in (standing, _cards):
            if not is_now():
                return count
            judge(site, after)
        count += 1
    return count


def _cards(site: Setting, state: State) -> None:
    """The cards of a moment."""
    for number in steps_now(site, state):
        step_verdict(site, state, number)


def _likely(site: Setting, state: State) -> Iterator[State]:
    """The log with the entry of each green step, as it would be written down."""
    at = state.entries[-1].at + timedelta(seconds=1) if state.entries else _BEFORE
    for number in steps_now(site, state):
        step = site.plan.steps[number - 1]
        striking = state.phase == "striking"
        wish = {"places": _open(state, step, striking=striking), "act": "taken_down" if striking else "fitted"}
        entry = decide(site, state, Request(f"likely {number}", "step_done", data=wish), at)
        if isinstance(entry, Entry):
            yield apply(state, entry)


_BEFORE = datetime(2000, 1, 1, tzinfo=UTC)
"""Of a log without entries: no answer depends on when it begins (in no formula)."""


def _open(state: State, step: Step, *, striking: bool) -> list[str]:
    """What of it is still to be done."""
    if striking:
        return [place for place in reversed(step.sequence)
                if state.is_fitted(place) and not (step.joins and place == step.hub)]
    return [place for place in step.sequence if not state.is_fitted(place)]
