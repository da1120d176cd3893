"""When the parts of a kit are to be seen again: by time, wettings, raises and hours standing, by its own limits."""

import calendar
from dataclasses import dataclass
from datetime import date, datetime

from fieldapp.kit.checklist import Checklist
from fieldapp.log.state import State
from fieldapp.reports.inspection.again import checked_parts, is_wetting, old_checks
from fieldapp.reports.parts import stock_of
from fieldapp.reports.parts.history import counting
from fieldapp.reports.parts.stood import hours_stood


@dataclass(frozen=True, slots=True)
class Due:
    """What of a kit is to be inspected."""

    parts: int
    """That are here, and not scrapped."""
    never: int
    """Of these, not looked at in the latest round."""
    by_time: int
    """Whose inspection is old by months …"""
    by_wetting: int
    by_raises: int
    by_hours: int
    """… by hours standing; one part may be due for several reasons."""
    now: int
    """Due for any of these."""
    next_day: date | None
    """The first day on which an inspection that counts now turns old by time; None if none does."""
    stood_h: float
    """The most hours that any part has stood, in all raises."""
    raises: int
    """Raises of the kit so far."""
    wettings: int
    """Entries so far that said soaked, or come in wet."""


def due(state: State, checklist: Checklist, *, now: datetime) -> Due:
    """What is due at `now`, by the limits of the kit's own list."""
    here = [part.id for part in state.all_parts() if stock_of(state, part.id, now) not in ("scrapped", "away")]
    old, seen = old_checks(state, checklist.seen_again, now=now), checked_parts(state)
    counts = [old[part] for part in here if part in old]
    fresh = [part for part in here if part in seen and part not in old]
    days = [later_by_months(state.index[key].at.astimezone(now.tzinfo).date(), checklist.seen_again.months)
            for part in fresh if (key := state.parts[part].last_check) is not None]
    return Due(
        len(here), sum(part not in seen for part in here), sum(one.months > 0 for one in counts),
        sum(one.wettings > 0 for one in counts), sum(one.raises > 0 for one in counts),
        sum(one.hours > 0 for one in counts), len(counts), min(days, default=None),
        max((hours_stood(state, part, now) for part in here), default=0.0), len(state.raises), _wettings(state))


def _wettings(state: State) -> int:
    return sum(is_wetting(entry) for entry in counting(state))


def later_by_months(day: date, months: int) -> date:
    """The same day of the month, so many months later; its last one where it has no such day.

    Examples
    --------
    >>> later_by_months(date(2027, 8, 31), 6), later_by_months(date(2027, 4, 28), 12)
    (datetime.date(2028, 2, 29), datetime.date(2028, 4, 28))
    """
    year, month = divmod(day.month - 1 + months, 12)
    last = calendar.monthrange(day.year + year, month + 1)[1]
    return date(day.year + year, month + 1, min(day.day, last))
