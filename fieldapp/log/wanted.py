"""Where a kit is wanted, and on which days: plain records. One kit is at one place on one day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from fieldapp.base.said import Value, say


@dataclass(frozen=True, slots=True)
class Promise:
    """The kit is promised to a place from one day to another, both of them included."""

    key: str
    """Of its entry; withdrawing that gives the days back."""
    where: str
    first: date
    last: date

    def meets(self, first: date, last: date) -> bool:
        """True if any day from `first` to `last` is one of these.

        Examples
        --------
        >>> spring = Promise("key", "Mill Green", date(2027, 5, 1), date(2027, 5, 3))
        >>> spring.meets(date(2027, 5, 3), date(2027, 5, 9)), spring.meets(date(2027, 5, 4), date(2027, 5, 9))
        (True, False)
        """
        return self.first <= last and first <= self.last


def days_said(first: date | str, last: date | str) -> Value:
    """From one day to another, as the log writes days (ISO 8601).

    Examples
    --------
    >>> from fieldapp.base.said import in_words
    >>> in_words(days_said(date(2027, 5, 1), date(2027, 5, 3))), days_said(date(2027, 5, 1), date(2027, 5, 1))
    ('2027-05-01 to 2027-05-03', '2027-05-01')
    """
    return str(first) if first == last else say("{first} to {last}", first=str(first), last=str(last))


def to_come(wanted: Iterable[Promise], today: date) -> tuple[Promise, ...]:
    """Those that are not over, the first of them first; what is wanted on a day counts until that day is over."""
    return tuple(sorted((one for one in wanted if one.last >= today), key=lambda one: (one.first, one.last, one.key)))
