"""Which step whom: steps that may go on now, less those that somebody has in hand, a different one for each phone."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from fieldapp.log.duties import in_hand
from fieldapp.log.state import State

AT_WORK = timedelta(minutes=30)
"""Phones that finished or took a step within this time count as at work: others are offered steps beside theirs.
Source: our choice, longer than a step. Test: tests/reports/raising/test_handing.py"""
_STEP_KINDS = frozenset({"step_done", "duty_taken", "duty_left"})
_LATEST = 200
"""Entries looked through for who is at work (in no formula)."""


def own_step(state: State, now: datetime, holder: str) -> str | None:
    """First place of the step that this phone has in hand."""
    return next((duty.at for duty in in_hand(state, now, "step") if duty.holder == holder), None)


def handed(steps: Sequence[str], state: State, now: datetime, holder: str) -> str | None:
    """The step to offer to one phone: its own; else a free one, another for each phone without a step.

    Parameters
    ----------
    steps : sequence of str
        First places of the steps that may go on now, in the order in which they should.
    state : State
    now : datetime
        With its zone: what was taken long ago is free again.
    holder : str
        The phone that asks, or the name where no phone is known.

    Returns
    -------
    str or None
        None if nothing is free.
    """
    own = own_step(state, now, holder)
    if own in steps:
        return own
    taken = {duty.at for duty in in_hand(state, now, "step")}
    free = [step for step in steps if step not in taken]
    if not free:
        return None
    return free[_rank(state, now, holder) % len(free)]


def _rank(state: State, now: datetime, holder: str) -> int:
    """How many phones without a step come before this one: in the order in which they began."""
    busy = {duty.holder for duty in in_hand(state, now, "step")}
    seen = dict.fromkeys(entry.holder for entry in state.entries[-_LATEST:]
                         if entry.kind in _STEP_KINDS and now - entry.at < AT_WORK)
    idle = [one for one in seen if one not in busy]
    return idle.index(holder) if holder in idle else len(idle)
