"""Which step whom: steps that may go on now, less those that somebody has in hand, a different one for each phone."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from fieldapp.log.duties import in_hand
from fieldapp.log.state import State

AT_WORK = timedelta(minutes=30)
"""Phones that finished or took a step within this time count as at work: others are offered steps beside theirs.
Source: our choice, longer than a step. Test: tests/reports/raising/test_handing.py"""
_STEP_KINDS = frozenset({"step_done", "duty_taken", "duty_left"})
_LATEST = 200
"""Entries looked through for who is at work (in no formula)."""


@dataclass(frozen=True, slots=True)
class Asker:
    """The phone that asks for a step."""

    holder: str
    """The phone, or the name where no phone is known."""
    team: int = 0
    """From 1; 0 if they did not say."""
    teams: int = 1
    """How many there are."""


def team_share(steps: Sequence[str], asker: Asker) -> tuple[str, ...]:
    """Steps of one team, in runs along the order, so that teams do not cross; the first ones may have one more.

    Examples
    --------
    >>> [team_share(("H1", "H2", "H3"), Asker("", team, 2)) for team in (1, 2)]
    [('H1', 'H2'), ('H3',)]
    >>> team_share(("H1",), Asker("", 0, 2))
    ()
    """
    if not asker.team:
        return ()
    share, more = divmod(len(steps), asker.teams)
    first = (asker.team - 1) * share + min(asker.team - 1, more)
    return tuple(steps[first:first + share + (asker.team <= more)])


def own_step(state: State, now: datetime, holder: str) -> str | None:
    """First place of the step that this phone has in hand."""
    return next((duty.at for duty in in_hand(state, now, "step") if duty.holder == holder), None)


def handed(steps: Sequence[str], state: State, now: datetime, asker: Asker, *,
           elsewhere: Collection[str] = (), last: str = "") -> str | None:
    """The step to offer to one phone: its own; else a free one of its team; else another for each phone.

    Parameters
    ----------
    steps : sequence of str
        First places of the steps that may go on now, in the order in which they should.
    state : State
    now : datetime
        With its zone: what was taken long ago is free again.
    asker : Asker
        The phone that asks.
    elsewhere : collection of str
        Steps that were offered to other phones lately: these get them only where nothing else is free.
    last : str
        What this phone was offered last: it stays, as long as it is free.

    Returns
    -------
    str or None
        None if nothing is free.
    """
    own = own_step(state, now, asker.holder)
    if own in steps:
        return own
    taken = {duty.at for duty in in_hand(state, now, "step")}
    free = [step for step in steps if step not in taken]
    mine = [step for step in team_share(steps, asker) if step in free] or free
    new = [step for step in mine if step not in elsewhere]
    if not free or last in mine:
        return last if free else None
    return new[0] if new and elsewhere else mine[_rank(state, now, asker.holder) % len(mine)]


def _rank(state: State, now: datetime, holder: str) -> int:
    """How many phones without a step come before this one: in the order in which they began."""
    busy = {duty.holder for duty in in_hand(state, now, "step")}
    seen = dict.fromkeys(entry.holder for entry in state.entries[-_LATEST:]
                         if entry.kind in _STEP_KINDS and now - entry.at < AT_WORK)
    idle = [one for one in seen if one not in busy]
    return idle.index(holder) if holder in idle else len(idle)
