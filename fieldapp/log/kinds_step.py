"""What entries about a whole step need: what went in or came out at one press; who has which step or hold in hand."""

from typing import Annotated, Literal

from pydantic import Field

from fieldapp.log.fields import Data, Name, PlaceName

StepAct = Literal["fitted", "taken_down"]
MOST_PLACES = 60
"""Of one step: a hub and its struts are far fewer."""


class StepData(Data):
    """The places of a step that were filled, or emptied, at one press."""

    places: Annotated[tuple[PlaceName, ...], Field(min_length=1, max_length=MOST_PLACES)]
    act: StepAct = "fitted"
    parts: Annotated[tuple[Name, ...], Field(max_length=MOST_PLACES)] = ()
    """One for each place, as the page named them; filled in by the rule where nobody did."""
    scanned: Annotated[tuple[Name, ...], Field(max_length=MOST_PLACES)] = ()
    """Those of the parts whose label was read for it; the others are taken on trust."""
    waits_for: tuple[str, ...] = ()
    """Filled in by the rule: places it should have waited for."""


class StepWish(StepData):
    """`sure`: no, if a finger pressed it that may have slipped; then it asks first. Not kept."""

    sure: bool = True


class DutyData(Data):
    """What somebody has in hand: a step, by its first place; or a hub that they hold."""

    what: Literal["step", "hold"]
    at: PlaceName
    team: Annotated[int, Field(ge=0, le=99)] = 0
    """Team of whoever takes it, from 1; 0 if they did not say."""
    everyone: bool = False
    """Filled in by the rule: given back for all who have it."""
