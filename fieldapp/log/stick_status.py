"""How the stick beside the laptop stands: in one word for the pages, with its cause for the terminal."""

import errno
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from fieldapp.base.errors import RaisebookError, StoreError

StickFault = Literal["", "pulled", "full", "readonly", "slow", "other", "uncopied"]
"""Empty: all is well. `slow`: it does not answer; `other`: it is not this kit's, or not as it was; `uncopied`: entries
get there, a whole copy does not."""

_OF_CODE: dict[int, StickFault] = {
    errno.ENOSPC: "full", errno.EFBIG: "full", errno.EDQUOT: "full", errno.EROFS: "readonly", errno.EACCES: "readonly",
    errno.EPERM: "readonly"}


@dataclass(frozen=True, slots=True)
class StickStatus:
    """The stick at one moment."""

    folder: Path
    fault: StickFault
    since: datetime
    """Since when that is so."""
    begun: bool
    """True once all that the log held was on it."""
    held: int
    """Entries that are on it, as far as is known."""
    behind: int
    """Entries of the log that are not."""
    copied_at: datetime | None
    """When the last whole copy was done."""
    why: str = ""
    """Cause of the fault, for whoever has the laptop; names files."""
    aside: Path | None = None
    """Lines that were found on it with entries which this log lacks; they were put aside."""


class NotCopiedError(StoreError):
    """The laptop could not make a whole copy to be carried over; the stick is not to blame."""


def stick_fault(error: BaseException) -> StickFault:
    """What an error of writing to the stick means; the disk's own word may be the cause of ours."""
    if isinstance(error, NotCopiedError):
        return "uncopied"
    cause = error if isinstance(error, OSError) else error.__cause__
    if isinstance(cause, OSError):
        return _OF_CODE.get(cause.errno or 0, "pulled")
    return "other" if isinstance(error, RaisebookError) else "pulled"
