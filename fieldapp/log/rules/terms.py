"""What every rule is given and gives back, and the short words that messages share."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

from fieldapp.base.clock import clock_words
from fieldapp.base.said import Row, Said, Value, say
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import short_name
from fieldapp.log.entry import Entry, Refusal, Request, refuse
from fieldapp.log.fields import Data, NoData
from fieldapp.log.state import PartState, State
from fieldapp.plan.plan import Plan
from fieldapp.statics.untested import is_untested


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that keeps the kit from being fit."""

    words: Value
    parts: tuple[str, ...] = ()
    """Parts concerned, by ID."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What does not change while the book is open."""

    kit: Kit
    plan: Plan
    checklist: Checklist | None = None
    """What an inspection looks at; None: whatever the phone sends."""
    unfit: "Fitness | None" = None
    """What keeps the kit from being fit, for whoever starts a raise; None where nobody is there to judge it."""
    laptop: str = ""
    """ID under which this laptop writes; parts made on site are numbered by it."""


Fitness = Callable[[Setting, State, datetime], tuple[Finding, ...]]
"""Answers as `checks` does; long to work out, so it keeps its answer."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A request with all a rule may look at."""

    site: Setting
    state: State
    request: Request
    now: datetime

    @property
    def part(self) -> Part:
        """The part in question; `decide` has seen to it that there is one."""
        return self.state.part(str(self.request.part))

    @property
    def past(self) -> PartState:
        """What the log says of that part."""
        return self.state.parts[str(self.request.part)]

    @property
    def letters(self) -> str:
        """Those that IDs of this kit begin with."""
        return self.site.kit.design.frame.prefix

    def called(self, part_id: str) -> str:
        """A part as people say it: the middle of its ID; with its letters where it is of another kit."""
        return short_name(part_id, self.letters)

    @property
    def holder(self) -> str:
        """Who would have what is taken in hand; as `Entry.holder` of the entry that this becomes."""
        return self.request.sender or self.request.who.strip() or "unknown"

    @property
    def checklist(self) -> Checklist | None:
        """The open round's list; the site's where the log does not say."""
        current = self.state.open_round
        return current.checklist if current and current.checklist else self.site.checklist

    def seen(self, keys: Iterable[str]) -> tuple[str, ...]:
        """Those of these entries that the sender's page knew of, each once, in this order.

        A repair or a release that waited in a phone out of reach answers no damage that came in meanwhile.
        """
        if self.request.seen is None:
            return tuple(dict.fromkeys(keys))
        return tuple(key for key in dict.fromkeys(keys) if self._knew(self.state.index.get(key)))

    def _knew(self, entry: Entry | None) -> bool:
        """True for what the sender's page knew of, and for what they wrote down themselves."""
        if entry is None:
            return False
        own = bool(self.request.sender) and entry.sender == self.request.sender
        return own or (entry.number or 0) <= (self.request.seen or 0)

    def when_and_who(self, key: str | None) -> Value:
        """"10:14, phone 3" of the entry with this key."""
        entry = self.state.index.get(key or "")
        return say("earlier") if entry is None else when_and_who(entry, self.now)


@dataclass(frozen=True, slots=True)
class Admitted:
    """What the entry will hold."""

    part: str | None = None
    place: str | None = None
    data: Data = field(default_factory=NoData)
    answers: tuple[str, ...] = ()
    """Keys of the entries that it lifts, all of which its sender has seen."""


Rule = Callable[[Asked, Any], Admitted | Refusal]


def when_and_who(entry: Entry, now: datetime) -> Row:
    """"10:14, phone 3"."""
    return Row((clock_words(entry.at, now), entry.named))


def is_to_begin(site: Setting, state: State) -> bool:
    """True while the raise of a kit that was up before, inspected or of untested parts is still to be started."""
    past = bool(state.raises or state.rounds) or is_untested(site.kit.design)
    return site.unfit is not None and not (state.running_raise or state.fitted) and past


def not_started(asked: Asked) -> Refusal | None:
    """Nothing goes in before the raise of a kit that was up before, or inspected, is started; else None.

    The first parts of a kit that is just made go in without: that is how its makers try what they made. Its raise
    still asks for an inspection when it is started.
    """
    if not is_to_begin(asked.site, asked.state):
        return None
    return refuse("raise_not_started", "no raise is running, so nobody has said that the kit is fit.",
                  "Ask the chief to start the raise, then send again.")


def scrapped(asked: Asked) -> Refusal:
    """The part is gone for good."""
    return refuse("scrapped", "{part} was scrapped and is not to be used again.",
                  "Put it with the waste and take another part.", part=asked.called(asked.part.id))


def spot_said(spot: Literal["arm", "end"]) -> Said:
    """What a hub has arms for, and a strut ends."""
    return say("arm") if spot == "arm" else say("end")


def not_dry(asked: Asked, then: Said) -> Refusal | None:
    """Mended, but its glue or its drying needs more time; None if it has had that. `then`: what to do."""
    usable_from = asked.past.usable_from
    if usable_from is None or usable_from <= asked.now:
        return None
    return Refusal(say("{part} was mended and may be used from {time} on.", part=asked.called(asked.part.id),
                       time=clock_words(usable_from, asked.now)), then, "not_yet_usable")


def arm_count(asked: Asked) -> int:
    """How many arms the hub in question has."""
    classes = asked.site.kit.frame.hub_classes
    return next((len(c.gaps_deg) for c in classes if c.name == asked.part.part_class), 0)


def no_such_spot(asked: Asked, arm: int | None, end: int | None) -> Refusal | None:
    """Refused if the part has no such arm or end; None if it has, or if neither is named."""
    name, kind = short_name(asked.part.id), asked.part.kind
    if kind == "strut" and arm is not None:
        return refuse("no_such_spot", "{part} is a strut; it has no arm {arm}.", "Say which end instead: 1 or 2.",
                      part=name, arm=arm)
    if kind == "hub" and end is not None:
        return refuse("no_such_spot", "{part} is a hub; it has no end {end}.", "Say which arm instead: 1 to {count}.",
                      part=name, end=end, count=arm_count(asked))
    if arm is not None and arm > arm_count(asked):
        return refuse("no_such_spot", "{part} has {count} arms; there is no arm {arm}.", "Choose arm 1 to {count}.",
                      part=name, arm=arm, count=arm_count(asked))
    return None
