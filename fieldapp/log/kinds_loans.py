"""What entries about parts lent between kits need, and about a log that comes home."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from fieldapp.log.fields import Data, Name, OwnWords

Letters = Annotated[str, StringConstraints(pattern=r"^[A-Z]{2,3}$")]
PrintedId = Annotated[str, StringConstraints(pattern=r"^[A-Z]{2,3}-[HS][0-9]{2,6}-[0-9A-Z]$")]
Degrees = Annotated[float, Field(ge=-360.0, le=720.0)]


class LoanData(Data):
    """Key of the loan, the same in both logs, and the other kit."""

    loan: Name
    kit: Letters
    title: Name
    words: OwnWords = ""


class BorrowedData(LoanData):
    """A part of another kit stands in here: as which class, and how it is marked."""

    kind: Literal["hub", "strut"]
    part_class: Name
    number: Annotated[int, Field(ge=1, le=999_999)]
    mass_kg: Annotated[float, Field(ge=0.0, le=1000.0)] = 0.0
    cut_length_mm: Annotated[float, Field(gt=0.0, le=100_000.0)] | None = None
    arms: Annotated[tuple[tuple[Degrees, Degrees], ...], Field(max_length=12)] = ()
    """(direction clockwise, dip) of each arm, by the numbers that it is marked with [deg]."""


class AskedForData(LoanData):
    """A part of a kit whose log is away: asked, not given."""

    part: PrintedId


class HomeAgainData(LoanData):
    """How it came home, as the log of the other kit has it."""

    condition: Literal["sound", "watch", "quarantined", "scrapped"] = "sound"
    missing: bool = False


class LogHomeData(Data):
    """The log that went along is joined; or lost, and what it held with it."""

    lost: bool = False
    words: OwnWords = ""
