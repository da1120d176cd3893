"""What entries about an exchange in the standing frame need: what it empties, who holds what meanwhile."""

from typing import Annotated

from pydantic import Field

from fieldapp.log.fields import Data, HubPlaceName, OwnWords, PlaceName

MOST_TOUCHED = 60
"""Places that one exchange empties: a hub and its struts are far fewer."""


class ExchangeBegunData(Data):
    """Begun: what is held and propped is held from now on, and building stops."""

    takes: Annotated[tuple[PlaceName, ...], Field(min_length=1, max_length=MOST_TOUCHED)]
    """Places that are emptied, in that order; filled again the other way round."""
    holds: Annotated[tuple[HubPlaceName, ...], Field(max_length=MOST_TOUCHED)] = ()
    """Hubs that are held or propped from before the first part is loosened until the last one is in."""
    loosened: Annotated[str, Field(pattern=r"^(H[0-9]{1,6})?$")] = ""
    """The hub that is drawn back on its struts; empty if none is."""


class ExchangeEndedData(Data):
    """Over: all is in again, or the chief says why it is given up."""

    reason: OwnWords = ""
