"""What entries about days and whereabouts of a whole kit need: a place, and from which day to which."""

from datetime import date
from typing import Annotated

from pydantic import Field

from fieldapp.base.clock import YEARS
from fieldapp.log.fields import Data, Name, OwnWords

Day = Annotated[date, Field(ge=date(YEARS[0], 1, 1), le=date(YEARS[-1], 12, 31))]


class WantedData(Data):
    """Where the kit is wanted, from which day to which, both included."""

    where: Name
    first: Day
    last: Day
    words: OwnWords = ""


class MovedData(Data):
    """Where the kit is from now on; `own_log`: with a laptop of its own, on which its log goes on."""

    where: Name
    own_log: bool = False
    words: OwnWords = ""
