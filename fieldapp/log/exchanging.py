"""An exchange in the standing frame that is under way: a plain record."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Exchanging:
    """An exchange in the standing frame that is under way: building stops, hubs are held."""

    key: str
    """Of the entry that began it."""
    place: str
    """Whose part is broken."""
    takes: tuple[str, ...]
    """Places that it empties, in that order."""
    holds: tuple[str, ...]
    loosened: str
    since: datetime
