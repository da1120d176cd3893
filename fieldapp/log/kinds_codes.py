"""What entries need about a code that a part carries from elsewhere, and about a number measured on it."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from fieldapp.log.fields import Data

CodeText = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=300)]


class CodeKeptData(Data):
    """Its text; typed ones a second time, unless a check digit stands for that; whether others may carry it too."""

    code: CodeText
    again: Annotated[str, StringConstraints(strip_whitespace=True, max_length=300)] = ""
    read: Literal["photo", "typed"] = "typed"
    others: bool = False
    """Yes: another part carries it as well, and that was asked."""


class MeasuredData(Data):
    """One number that was measured on a part, outside of any inspection."""

    item: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
    """The line of the inspectors' list that it belongs to."""
    value: Annotated[float, Field(gt=0.0, le=1e5, allow_inf_nan=False)]
    unit: Annotated[str, StringConstraints(max_length=12)] = "mm"
    plus_minus: Annotated[float, Field(ge=0.0, le=1e5, allow_inf_nan=False)] = 0.0
    """How far the reading may be off."""
