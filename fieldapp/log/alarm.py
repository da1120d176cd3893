"""What everybody on site must hear of: building was stopped, and the last gust that somebody read. Plain records."""

from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.said import Value


@dataclass(frozen=True, slots=True)
class StopSeen:
    """Somebody pressed that they know."""

    who: Value
    holder: str
    """Tells people apart: the phone, or the name where no phone is known."""
    at: datetime


@dataclass(frozen=True, slots=True)
class Stop:
    """Building is stopped, until the chief lifts it."""

    key: str
    """Of its entry."""
    who: Value
    holder: str
    since: datetime
    words: str = ""
    """Why, if they said."""
    seen: tuple[StopSeen, ...] = ()
    """In the order of pressing; whoever stopped knows, and is not among them."""

    @property
    def holders(self) -> frozenset[str]:
        """All who know."""
        return frozenset((self.holder, *(each.holder for each in self.seen)))


@dataclass(frozen=True, slots=True)
class WindRead:
    """A gust that somebody measured at the frame, the last one written down."""

    key: str
    gust_m_s: float
    who: Value
    at: datetime
