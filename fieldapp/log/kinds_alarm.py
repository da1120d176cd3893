"""What entries about stopping and wind need: why; which stop somebody has seen; how hard it blew."""

from typing import Annotated

from pydantic import Field

from fieldapp.log.fields import Data, Name, OwnWords

FASTEST_M_S = 75.0
"""No gust on a site that people stand on is faster: such a number is a slip of the finger.

Source: our choice; Beaufort 12 begins at 32.7 m/s. Test: tests/log/test_alarm.py"""


class StopData(Data):
    """Why, if there was time to say."""

    words: OwnWords = ""


class StopSeenData(Data):
    """Key of the entry that stopped building: a press that waited in a phone confirms no later stop."""

    stop: Name


class WindReadData(Data):
    """The fastest gust that was read at the frame. [m/s]"""

    gust_m_s: Annotated[float, Field(ge=0.0, le=FASTEST_M_S)]
    words: OwnWords = ""
