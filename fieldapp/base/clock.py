"""Moments: read from text, kept in UTC to the millisecond, told as the laptop's clock shows them."""

import calendar
from datetime import UTC, datetime, timedelta, tzinfo

YEARS = range(2000, 2201)
"""Years that a site may see; a clock that says another is out of all reason (in no formula)."""


class LaptopZone(tzinfo):
    """The laptop's own zone, summer time included: a moment of another season is told as the clock showed it then."""

    def utcoffset(self, moment: datetime | None) -> timedelta | None:
        """Ahead of UTC at that moment."""
        return None if moment is None else moment.replace(tzinfo=None).astimezone().utcoffset()

    def tzname(self, moment: datetime | None) -> str | None:
        """As the laptop calls it."""
        return None if moment is None else moment.replace(tzinfo=None).astimezone().tzname()

    def dst(self, moment: datetime | None) -> timedelta | None:
        """Not told apart: `utcoffset` has it."""
        return None

    def fromutc(self, moment: datetime) -> datetime:
        """The moment on the laptop's clock."""
        return moment.replace(tzinfo=UTC).astimezone().replace(tzinfo=self)


def moment_of(text: str, zone: tzinfo | None = None) -> datetime:
    """The moment that an ISO 8601 text names, in UTC; where it says no zone it is in `zone`.

    Raises
    ------
    ValueError
        If it is no moment, or says no zone and none is given.

    Examples
    --------
    >>> moment_of("2026-09-12T10:14:00.000Z") == moment_of("2026-09-12T12:14+02:00")
    True
    """
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        if zone is None:
            raise ValueError(f"time {text!r} says no zone")
        moment = moment.replace(tzinfo=zone)
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        raise ValueError(f"time {text!r} is out of all reason") from None


def moment_text(moment: datetime) -> str:
    """UTC to the millisecond, as the log has it.

    Examples
    --------
    >>> moment_text(datetime(2026, 5, 1, 10, 14, tzinfo=UTC))
    '2026-05-01T10:14:00.000Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def utc_ms(moment: datetime) -> datetime:
    """The same moment in UTC, down to the millisecond that is kept."""
    moment = moment.astimezone(UTC)
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def later(now: datetime, minutes: float) -> datetime:
    """So much later by a stopwatch, in the zone of `now`, also where the clock is put on or back in between."""
    return (now.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(now.tzinfo)


def whole_months(then: datetime, now: datetime) -> int:
    """Whole calendar months from one moment to another, by days in UTC; 0 if `now` is before.

    Where a month has no such day, its last completes it.

    Examples
    --------
    >>> whole_months(datetime(2026, 8, 31, tzinfo=UTC), datetime(2027, 2, 28, tzinfo=UTC))
    6
    """
    first, last = then.astimezone(UTC), now.astimezone(UTC)
    months = 12 * (last.year - first.year) + last.month - first.month
    month_ends = last.day == calendar.monthrange(last.year, last.month)[1]
    return max(0, months - (last.day < first.day and not month_ends))


def in_this_age(moment: datetime) -> bool:
    """True for years that a site may see."""
    return moment.year in YEARS


def clock_words(moment: datetime, now: datetime) -> str:
    """Time on the clock of `now`'s zone, with the date if it was another day.

    Examples
    --------
    >>> now = datetime(2026, 9, 12, 18, 0, tzinfo=UTC)
    >>> clock_words(datetime(2026, 9, 12, 10, 14, tzinfo=UTC), now), clock_words(datetime(2026, 9, 11, tzinfo=UTC), now)
    ('10:14', '2026-09-11 00:00')
    """
    here = moment.astimezone(now.tzinfo)
    return f"{here:%H:%M}" if here.date() == now.date() else date_words(here)


def date_words(moment: datetime) -> str:
    """Date and time in the moment's own zone."""
    return f"{moment:%Y-%m-%d %H:%M}"


def utc_words(moment: datetime) -> str:
    """Date and time for paper, which is read in any zone.

    Examples
    --------
    >>> utc_words(moment_of("2026-09-12T12:14+02:00"))
    '2026-09-12 10:14 UTC'
    """
    return f"{date_words(moment.astimezone(UTC))} UTC"
