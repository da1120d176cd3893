"""Of what sort the fields of entries are, and what all their data share: the door that everything sent goes through."""

from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, StringConstraints

from fieldapp.base.clock import YEARS, in_this_age


def _in_this_age(moment: datetime) -> datetime:
    """UTC; ValueError for years that no site will see."""
    if not in_this_age(moment):
        raise ValueError(f"the year must be {YEARS[0]} to {YEARS[-1]}")
    return moment.astimezone(UTC)


OwnWords = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)]
SaidWords = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=2000)]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
PERSON = "person"
PersonName = Annotated[Name, PERSON]
"""The name of a person: the log keeps a pseudonym for it, so that it can be forgotten (`log.names`). Every field that
names somebody is of this sort."""
PersonIfAny = Annotated[str, StringConstraints(strip_whitespace=True, max_length=80), PERSON]
"""The same where nobody need be named."""
ArmNumber = Annotated[int, Field(ge=1, le=12)]
EndNumber = Literal[1, 2]
UtcMoment = Annotated[AwareDatetime, AfterValidator(_in_this_age)]
ShareLeft = Annotated[float, Field(ge=0.0, le=1.0)]
HubPlaceName = Annotated[str, StringConstraints(pattern=r"^H[0-9]{1,6}$")]
PlaceName = Annotated[str, StringConstraints(pattern=r"^[HS][0-9]{1,6}$")]


class Data(BaseModel):
    """What a kind needs besides part and place; unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class NoData(Data):
    """Nothing besides."""
