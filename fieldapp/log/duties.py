"""Who has a step in hand or holds a hub: how long that counts. By the clock of whoever decides; nothing ticks."""

from datetime import datetime, timedelta

from fieldapp.log.state import Duty, State

STEP_LAPSES = timedelta(minutes=20)
"""A step that nobody finished, gave back or took anew by then may be taken by others.

Source: our choice; a step takes some minutes, and a phone that went home shall not keep its step. Test:
tests/log/test_steps.py."""
HOLD_LAPSES = timedelta(minutes=10)
"""Whoever holds a hub says so anew by then, else the chief is told that nobody is known to hold it.

Source: our choice; nobody holds a hub for long with full strength. Test: tests/log/test_steps.py."""
ASKS_BEFORE = timedelta(minutes=4)
"""Whoever holds a hub is asked for it this long before their word lapses. Source: our choice. Test:
tests/web/raising/test_steps.py"""


def lapses(duty: Duty) -> datetime:
    """From when on it counts no more."""
    return duty.renewed + (STEP_LAPSES if duty.what == "step" else HOLD_LAPSES)


def in_hand(state: State, now: datetime, what: str) -> tuple[Duty, ...]:
    """Steps, or holds, that somebody has in hand."""
    return tuple(duty for duty in state.duties if duty.what == what and now < lapses(duty))


def lapsed(state: State, now: datetime, what: str) -> tuple[Duty, ...]:
    """Those that nobody took anew in time."""
    return tuple(duty for duty in state.duties if duty.what == what and now >= lapses(duty))


def asks_anew(duty: Duty, now: datetime) -> bool:
    """True of a hold from when on whoever has it is asked whether they still do."""
    return duty.what == "hold" and now >= lapses(duty) - ASKS_BEFORE


def duties_mark(state: State, now: datetime) -> str:
    """What the clock alone has changed of what people have in hand since the last entry.

    Pages that stay open compare it: between two entries time only goes on, so that how many asked anew and how many
    lapsed says which.
    """
    asked = sum(asks_anew(duty, now) for duty in state.duties)
    gone = sum(now >= lapses(duty) for duty in state.duties)
    return f"{asked}/{gone}" if asked or gone else ""
