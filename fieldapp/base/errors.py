"""The one error tree. A refusal to a crew member is a value; these are for broken files and programs.

Every message names the thing, the value it got, what is allowed, and what to do next.
"""

from typing import Literal

from fieldapp.base.said import Value, in_words


class RaisebookError(Exception):
    """Root of all errors that the command line reports without a traceback.

    Its message is text, or a sentence that is put into words where the error is shown.
    """

    exit_status = 1

    def __init__(self, message: Value = "") -> None:
        super().__init__(message)
        self.message: Value = message

    def __str__(self) -> str:
        return in_words(self.message)


class DesignError(RaisebookError):
    """The design file holds something that cannot be built."""

    exit_status = 2


class FrameError(RaisebookError):
    """A frame that does not hang together: a strut without a hub, a hub twice."""

    exit_status = 2


class StaticsError(RaisebookError):
    """Input to the statics that has no answer: a density missing, a capacity of zero."""

    exit_status = 2


class PartIdError(RaisebookError):
    """Text that is not a part ID of this kit."""

    exit_status = 2


class KitError(RaisebookError):
    """A kit folder or `kit.json` that cannot be read."""

    exit_status = 3


class KitFrozenError(KitError):
    """A changed design would alter parts that carry labels already."""

    exit_status = 4


class PlanError(RaisebookError):
    """An order of erection that cannot be followed."""

    exit_status = 2


Fault = Literal["", "full", "locked", "busy", "readonly", "io", "damaged", "gone", "closed", "away",
                "full_there", "readonly_there", "lost_there"]
"""What is wrong with the log, in one word; pages tell it in the reader's language. Empty: something else."""


class StoreError(RaisebookError):
    """The log cannot be opened, read or written. The message is for whoever has the laptop, and names files."""

    exit_status = 5

    def __init__(self, message: Value, fault: Fault = "") -> None:
        super().__init__(message)
        self.fault: Fault = fault


class ServeError(RaisebookError):
    """The server cannot start: port in use, address unknown."""

    exit_status = 6


class PaperError(RaisebookError):
    """Paper that cannot be printed as asked: labels that do not fit the sheet, a start position it has not."""

    exit_status = 2
