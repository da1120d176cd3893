"""Parts that stand in at another kit, and a log that goes on elsewhere: plain records of who has what since when."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Loan:
    """A part is at another kit, or has come from one; both logs tell of it with one key."""

    key: str
    kit: str
    """Letters of the other kit."""
    title: str
    """What people call that kit."""
    since: datetime
    entry: str
    """Key of the entry that told of it here."""

    @property
    def other(self) -> str:
        """The other kit as people name it: "Mill Dome (MD)"."""
        return f"{self.title} ({self.kit})"


@dataclass(frozen=True, slots=True)
class PartAsk:
    """A part of another kit is asked for: that kit's log is away, and nobody knows there yet."""

    key: str
    """Of the loan that it becomes."""
    part: str
    kit: str
    title: str
    since: datetime
    entry: str


@dataclass(frozen=True, slots=True)
class LogAway:
    """The kit left with a laptop of its own: its log goes on there, and this one knows nothing of it."""

    where: str
    since: datetime
    entry: str
