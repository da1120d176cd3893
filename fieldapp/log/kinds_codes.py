"""What an entry about a code needs that a part carries from elsewhere."""

from typing import Annotated, Literal

from pydantic import StringConstraints

from fieldapp.log.fields import Data

CodeText = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=300)]


class CodeKeptData(Data):
    """Its text; typed ones a second time, unless a check digit stands for that; whether others may carry it too."""

    code: CodeText
    again: Annotated[str, StringConstraints(strip_whitespace=True, max_length=300)] = ""
    read: Literal["photo", "typed"] = "typed"
    others: bool = False
    """Yes: another part carries it as well, and that was asked."""
