"""How fast the frame goes up and when it may be done, with a range, from the log's own times."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal

from fieldapp.base.clock import later
from fieldapp.kit.kit import Kit
from fieldapp.log.state import Raise, State
from fieldapp.log.steps import part_by_part
from fieldapp.plan.plan import Plan
from fieldapp.reports.raising import places_of, progress

ENOUGH_ENTRIES = 8
"""Fewer say nothing about a pace [1]. Source: our choice. Test: tests/reports/raising/test_progress.py"""
LONGEST_GAP = timedelta(minutes=20)
"""A longer gap between two entries is a break and counts as this much working time [min].
Source: our choice. Test: tests/reports/raising/test_progress.py"""
WINDOW_MIN = 10.0
"""Entries are counted in windows of this length to see how uneven the work is [min].
Source: our choice (R2). Test: tests/reports/raising/test_progress.py"""
RANGE = (0.1, 0.9)
"""Four times in five the finish lies in the range [1].
Source: our choice (R2). Test: tests/reports/raising/test_progress.py"""


@dataclass(frozen=True, slots=True)
class Pace:
    """Pace and expected finish."""

    source: Literal["this raise", "earlier raise", "design"]
    places_per_hour: float
    remaining: int
    """Places still to be filled."""
    finish: datetime
    """Expected, if work goes on without a break from now."""
    earliest: datetime | None = None
    latest: datetime | None = None
    """Four times in five it ends between these two; None if the source cannot say."""


def pace(kit: Kit, plan: Plan, state: State, now: datetime) -> Pace:
    """From this raise's entries; with too few of them from the last raise that has enough, else the design's pace.

    Source: (R2). Test: tests/reports/raising/test_progress.py

    Parameters
    ----------
    kit, plan, state
    now : datetime
        With its zone; the finish is said in the same zone.

    Returns
    -------
    Pace

    Notes
    -----
    For a Poisson process with n entries in working time t, the time for m more is t·m/n times a variate of the
    F distribution with 2m and 2n degrees of freedom; its middle 80 % is the range. Uneven work counts as fewer
    entries: both degrees of freedom are divided by φ, the variance of the counts in windows of 10 minutes over
    their mean.
    """
    done = progress(plan, state)
    remaining = done.needed - done.fitted
    standing, earlier = (*_standing_times(state), now), _earlier_times(state)
    if len(standing) > ENOUGH_ENTRIES:
        return _from_times("this raise", standing, remaining, now)
    if len(earlier) > ENOUGH_ENTRIES:
        return _from_times("earlier raise", earlier, remaining, now)
    return _from_design(kit, plan, state, remaining, now)


def working_minutes(times: Sequence[datetime]) -> tuple[float, ...]:
    """Minutes from the first, with breaks cut down to the longest gap, in order of time."""
    minutes = [0.0]
    for before, after in pairwise(sorted(times)):
        minutes.append(minutes[-1] + min(after - before, LONGEST_GAP).total_seconds() / 60.0)
    return tuple(minutes)


def unevenness(minutes: Sequence[float]) -> float:
    """Variance of the counts in windows over their mean, at least 1; 1 with fewer than three windows.

    Source: (R2). Test: tests/reports/raising/test_progress.py
    """
    windows = int(minutes[-1] // WINDOW_MIN) if minutes else 0
    if windows < 3:
        return 1.0
    counted = Counter(int(minute // WINDOW_MIN) for minute in minutes)
    counts = [counted[window] for window in range(windows)]
    mean = sum(counts) / windows
    variance = sum((count - mean) ** 2 for count in counts) / (windows - 1)
    return max(1.0, variance / mean) if mean > 0 else 1.0


def _from_times(source: Literal["this raise", "earlier raise"], times: Sequence[datetime], remaining: int,
                now: datetime) -> Pace:
    count = len(times) - 1
    minutes = working_minutes(times)
    spent = max(minutes[-1], 0.5)
    expected = spent * remaining / count
    low, high = _spread(count, remaining, unevenness(minutes))
    return Pace(source, 60.0 * count / spent, remaining, later(now, expected),
                later(now, expected * low), later(now, expected * high))


def _spread(count: int, remaining: int, uneven: float) -> tuple[float, float]:
    """Range of the remaining time over its expected value."""
    from scipy.special import fdtri  # a quarter second to load, and only a pace needs it

    if remaining == 0:
        return 1.0, 1.0
    low, high = (float(fdtri(2.0 * remaining / uneven, 2.0 * count / uneven, share)) for share in RANGE)
    return min(low, 1.0), max(high, 1.0)


def _from_design(kit: Kit, plan: Plan, state: State, remaining: int, now: datetime) -> Pace:
    crew = kit.design.crew
    open_steps = sum(any(not state.is_fitted(place) for place in places_of(step)) for step in plan.steps)
    minutes = open_steps * crew.minutes_per_step / crew.teams
    per_step = sum(len(places_of(step)) for step in plan.steps) / max(len(plan.steps), 1)
    return Pace("design", 60.0 * per_step * crew.teams / crew.minutes_per_step, remaining, later(now, minutes))


def _standing_times(state: State) -> tuple[datetime, ...]:
    """When the parts that sit in the frame were fitted."""
    keys = (state.parts[part].fitted_by for part in state.fitted.values())
    return tuple(sorted(state.index[key].at for key in keys if key is not None))


def _earlier_times(state: State) -> tuple[datetime, ...]:
    """When parts were fitted in the newest raise that is over and has enough entries."""
    for past in reversed(state.raises):
        times = _fitted_in(state, past) if past.ended is not None else ()
        if len(times) > ENOUGH_ENTRIES:
            return times
    return ()


def _fitted_in(state: State, past: Raise) -> tuple[datetime, ...]:
    until = past.strike_started or past.ended or past.started
    return tuple(sorted(entry.at for entry in part_by_part(state, state.entries)
                        if entry.kind == "fitted" and entry.key not in state.withdrawn
                        and past.started <= entry.at <= until))
