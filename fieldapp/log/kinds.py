"""The kinds of entry, and what each needs besides part and place: checked once, at the door.

A new kind of entry is: its record here, its rule in `log.rules`, its effect in `log.effects`.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from fieldapp.base.said import Value, say
from fieldapp.log.fields import (
    PERSON,
    ArmNumber,
    Data,
    EndNumber,
    HubPlaceName,
    Name,
    NoData,
    OwnWords,
    PersonIfAny,
    PersonName,
    SaidWords,
    ShareLeft,
    UtcMoment,
)
from fieldapp.log.kinds_alarm import StopData, StopSeenData, WindReadData
from fieldapp.log.kinds_codes import CodeKeptData, MeasuredData
from fieldapp.log.kinds_dates import MovedData, WantedData
from fieldapp.log.kinds_exchange import ExchangeBegunData, ExchangeEndedData
from fieldapp.log.kinds_loans import AskedForData, BorrowedData, HomeAgainData, LoanData, LogHomeData
from fieldapp.log.kinds_round import RoundData
from fieldapp.log.kinds_step import DutyData, StepWish


class FittedData(Data):
    """`exchange`: yes, fit it at this other place and exchange the two places."""

    exchange: bool = False
    waits_for: tuple[str, ...] = ()
    """Filled in by the rule: places it should have waited for."""


class FittedWish(FittedData):
    """`sure`: no, if a finger pressed it that may have slipped; then it asks first, if it just came out. Not kept."""

    sure: bool = True


class TakenDownWish(Data):
    """`sure`: no, if a finger pressed it that may have slipped; then it asks first, if it just went in. Not kept."""

    sure: bool = True


class DamagedData(Data):
    """What broke, where on the part, how bad."""

    what: Name
    arm: ArmNumber | None = None
    """As marked on the hub."""
    end: EndNumber | None = None
    severity: Literal["slight", "bad", "unsure"] = "unsure"
    words: OwnWords = ""
    photo: Annotated[str, StringConstraints(max_length=120)] = ""


class WithdrawnData(Data):
    """Which entry, and why."""

    entry: Name
    """Key of the entry taken back."""
    reason: SaidWords


class RaiseStartedData(Data):
    """What this raise is called; and where the kit is not fit, who goes on all the same, and why."""

    name: Name
    by: PersonIfAny = ""
    reason: OwnWords = ""
    parts: tuple[str, ...] = ()
    """Filled in by the rule: parts that keep the kit from being fit. It stands on them until they are inspected."""


class RepairedData(Data):
    """How it was mended, by whom, usable from when."""

    how: Literal["cleat_and_glue", "scarf", "sleeve", "replaced_end", "replaced_arm", "dried", "other"]
    by: PersonName
    arm: ArmNumber | None = None
    end: EndNumber | None = None
    usable_from: UtcMoment | None = None
    capacity: ShareLeft | None = None
    """What the mended arm or end can take, as a share of a sound one."""
    words: OwnWords = ""


class ReleasedData(Data):
    """Who answers for putting it back to use."""

    name: PersonName
    words: OwnWords = ""


class ReasonData(Data):
    """Why."""

    reason: SaidWords


class MissingData(Data):
    """Where it was last seen, if anybody knows."""

    words: OwnWords = ""


class FoundData(Data):
    """Where it turned up."""

    words: OwnWords = ""


class LabelData(Data):
    """Which end's label; None means all of them."""

    end: EndNumber | None = None


class MadeData(Data):
    """A new part: of which class; its ID, number, mass and length are filled in by the rule."""

    kind: Literal["hub", "strut"]
    part_class: Name
    number: int = 0
    mass_kg: float = 0.0
    cut_length_mm: float | None = None


class StoredData(Data):
    """Into which bundle, and how it came in."""

    bundle: Name
    came_in: tuple[Literal["dry", "wet", "dirty", "damaged"], ...] = ("dry",)
    words: OwnWords = ""


class WayData(Data):
    """The way of raising that all phones follow from now on."""

    way: Name


KeptBy = Literal["pegs", "ballast", "screwed anchors"]


class FeetHeldData(Data):
    """Which feet are held now, with what: as the design has it, or, where it says nothing, as the crew says."""

    feet: Annotated[tuple[HubPlaceName, ...], Field(min_length=1, max_length=2000)]
    how: KeptBy = "pegs"


class FeetFreedData(Data):
    """From which feet pegs or ballast were taken away."""

    feet: Annotated[tuple[HubPlaceName, ...], Field(min_length=1, max_length=2000)]


class JoinedData(Data):
    """Which laptop's log was joined, up to where, and what its clock was worth."""

    laptop: Name
    serial: Annotated[int, Field(ge=1)]
    ahead_ms: int = 0
    """By how much its clock was ahead of this laptop's; entries up to `serial` are put that much earlier."""


class BoxData(Data):
    """Which box or bundle; `everyone`: it is taken from all who have it, not from the sender alone."""

    box: Name
    everyone: bool = False
    """Filled in by the rule."""


class CheckItem(Data):
    """One line of a check."""

    item: Name
    result: Literal["pass", "fail"]
    arm: ArmNumber | None = None
    end: EndNumber | None = None
    value: float | None = None
    unit: Annotated[str, StringConstraints(max_length=12)] = ""
    critical: bool = False
    label: bool = False
    """True if it says something of the part's labels only. Filled in by the rule, as `critical` is."""
    words: OwnWords = ""


class CheckedData(Data):
    """One inspection of one part; the round is filled in by the rule."""

    items: Annotated[tuple[CheckItem, ...], Field(min_length=1, max_length=60)]
    seen: Literal["scanned", "typed"] = "scanned"
    box: Annotated[str, StringConstraints(max_length=80)] = ""
    round: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of entry."""

    name: str
    about: Literal["part", "kit"]
    """"part": needs a part; "kit": takes none."""
    data: type[Data] = NoData
    chief: bool = False
    """True if it needs the chief's rights."""
    chief_takes_back: bool = False
    """True if anybody may write it, and the chief alone take it back."""
    words: Value = ""
    """For a person, after the name of the part: "fitted"."""

    @property
    def persons(self) -> tuple[str, ...]:
        """Fields of its data that name somebody."""
        return tuple(name for name, sort in self.data.model_fields.items() if PERSON in sort.metadata)


KINDS: dict[str, Kind] = {kind.name: kind for kind in (
    Kind("fitted", "part", FittedWish, words=say("fitted")),
    Kind("taken_down", "part", TakenDownWish, words=say("taken down")),
    Kind("step_done", "kit", StepWish, words=say("step done")),
    Kind("duty_taken", "kit", DutyData, words=say("taken in hand")),
    Kind("duty_left", "kit", DutyData, words=say("given back")),
    Kind("exchange_begun", "kit", ExchangeBegunData, words=say("exchange begun")),
    Kind("exchange_ended", "kit", ExchangeEndedData, words=say("exchange over")),
    Kind("stopped", "kit", StopData, chief_takes_back=True, words=say("building stopped")),
    Kind("stop_seen", "kit", StopSeenData, words=say("stop seen")),
    Kind("stop_lifted", "kit", chief=True, words=say("building goes on")),
    Kind("wind_read", "kit", WindReadData, words=say("gust read")),
    Kind("wanted", "kit", WantedData, chief=True, words=say("wanted")),
    Kind("moved", "kit", MovedData, words=say("brought to another place")),
    Kind("lent", "part", LoanData, chief=True, words=say("lent to another kit")),
    Kind("borrowed", "kit", BorrowedData, chief=True, words=say("borrowed from another kit")),
    Kind("given_back", "part", LoanData, chief=True, words=say("given back to its kit")),
    Kind("home_again", "part", HomeAgainData, chief=True, words=say("home again")),
    Kind("asked_for", "kit", AskedForData, chief=True, words=say("asked of another kit")),
    Kind("log_home", "kit", LogHomeData, chief=True, words=say("log is home again")),
    Kind("damaged", "part", DamagedData, words=say("damaged")),
    Kind("withdrawn", "kit", WithdrawnData, words=say("withdrawn")),
    Kind("raise_started", "kit", RaiseStartedData, chief=True, words=say("raise started")),
    Kind("raise_ended", "kit", chief=True, words=say("raise ended")),
    Kind("strike_started", "kit", chief=True, words=say("strike started")),
    Kind("way_chosen", "kit", WayData, chief=True, words=say("way of raising chosen")),
    Kind("feet_held", "kit", FeetHeldData, words=say("feet pegged or weighed down")),
    Kind("feet_freed", "kit", FeetFreedData, words=say("pegs or ballast taken away")),
    Kind("repaired", "part", RepairedData, words=say("repaired")),
    Kind("released", "part", ReleasedData, chief=True, words=say("released for use")),
    Kind("exchanged", "part", words=say("given another place")),
    Kind("missing", "part", MissingData, words=say("missing")),
    Kind("found", "part", FoundData, words=say("found")),
    Kind("scrapped", "part", ReasonData, chief=True, words=say("scrapped")),
    Kind("label_reprinted", "part", LabelData, words=say("label printed again")),
    Kind("code_kept", "part", CodeKeptData, words=say("keeps a code that it carries")),
    Kind("measured", "part", MeasuredData, words=say("measured")),
    Kind("made", "kit", MadeData, words=say("made new")),
    Kind("stored", "part", StoredData, words=say("stored")),
    Kind("round_opened", "kit", RoundData, chief=True, words=say("inspection round opened")),
    Kind("round_closed", "kit", chief=True, words=say("inspection round closed")),
    Kind("box_taken", "kit", BoxData, words=say("box taken to be inspected")),
    Kind("box_given_back", "kit", BoxData, words=say("box given back")),
    Kind("checked", "part", CheckedData, words=say("checked")),
    Kind("joined", "kit", JoinedData, chief=True, words=say("log of another laptop joined")),
)}
"""Every kind that a log of this version may hold, by name."""
