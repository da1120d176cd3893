"""The state of kit and frame as the log tells it; made by `log.fold` only."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal

from fieldapp.base.errors import PartIdError
from fieldapp.base.said import Said, Value, say
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.checklist_lines import item_said
from fieldapp.kit.kit import Kit, Part, PartKind
from fieldapp.log.alarm import Stop, WindRead
from fieldapp.log.entry import Entry
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.loans import Loan, LogAway, PartAsk
from fieldapp.log.wanted import Promise

Condition = Literal["sound", "watch", "quarantined", "scrapped"]
Phase = Literal["stores", "raising", "striking"]
_CONDITIONS: Mapping[Condition, Said] = {"sound": say("sound"), "watch": say("watch"),
                                         "quarantined": say("quarantined"), "scrapped": say("scrapped")}


def condition_said(condition: Condition) -> Said:
    """What a condition is called."""
    return _CONDITIONS[condition]


@dataclass(frozen=True, slots=True)
class Defect:
    """One open defect of a part."""

    entry: str
    """Key of the entry that told of it."""
    what: str
    words: Said
    """Whole, for a person: "arm 3 cracked (slight): along the grain"."""
    arm: int | None = None
    end: int | None = None
    mended: bool = False
    """True from its repair until the next check passes."""
    unsafe: bool = True
    """False for a slight one: the part may stay in use and is watched."""
    released: bool = False
    """True once somebody answered for using the part all the same."""


@dataclass(frozen=True, slots=True)
class PartState:
    """What the log says of one part now."""

    condition: Condition = "sound"
    missing: bool = False
    fitted_at: str | None = None
    """Place where it sits in the standing frame, None in the stores."""
    fitted_by: str | None = None
    """Key of the entry that fitted it there."""
    defects: tuple[Defect, ...] = ()
    """Open defects, newest last."""
    capacity: tuple[tuple[int, float], ...] = ()
    """(arm or end as marked on the part, share of a sound one it can take), reduced ones only."""
    mends: tuple[str, ...] = ()
    """Keys of the repairs that no check has passed since."""
    usable_from: datetime | None = None
    """Glue or drying needs until then."""
    label_gone: bool = False
    told_by: tuple[tuple[str, str], ...] = ()
    """("missing" or "label_gone", key of an entry that told of it), for what is so now."""
    bundle: str | None = None
    came_in: tuple[str, ...] = ()
    """How it came into the stores: dry, wet, dirty, damaged."""
    last_check: str | None = None
    """Key of its last check."""
    round: str | None = None
    """Key of the entry that opened the round of its last check."""
    measured: tuple[tuple[str, float, str], ...] = ()
    """(item, value, unit), each of the last check that measured it."""
    entries: tuple[str, ...] = ()
    """Keys of the entries about it that count, oldest first."""
    codes: tuple[str, ...] = ()
    """Codes that it carries from elsewhere, as they were read."""
    went_on: str | None = None
    """Key of the entry that started a raise although this part kept the kit from being fit, until it is inspected."""
    away: Loan | None = None
    """At another kit: lent to it, or given back."""
    borrowed: Loan | None = None
    """Of another kit, from which it came."""
    not_scanned: bool = False
    """True if a step was written down whole and nobody read this part's label since: it is there on trust."""

    @property
    def mended(self) -> bool:
        """Mended since its last passed check."""
        return bool(self.mends)

    @property
    def reasons(self) -> tuple[Said, ...]:
        """Open defects, newest last."""
        return tuple(defect.words for defect in self.defects)

    @property
    def usable(self) -> bool:
        """True if it may be fitted: sound or watch, not missing, and here."""
        return self.condition in ("sound", "watch") and not self.missing and self.away is None

    def told_of(self, what: str) -> tuple[str, ...]:
        """Keys of the entries that told that it is missing, or its label gone; none if that is not so."""
        return tuple(key for told, key in self.told_by if told == what)

    def capacity_of(self, number: int) -> float:
        """Share of a sound one that arm (or end) `number` can take, 0 to 1."""
        return dict(self.capacity).get(number, 1.0)


@dataclass(frozen=True, slots=True)
class Raise:
    """One occasion, from unloading to stored."""

    key: str
    name: str
    started: datetime
    strike_started: datetime | None = None
    ended: datetime | None = None


@dataclass(frozen=True, slots=True)
class BoxHeld:
    """Who has a box in the open round."""

    box: str
    who: Value
    """For a person: name, or phone."""
    holder: str
    """Tells people apart: the phone, or the name where no phone is known."""
    since: datetime


@dataclass(frozen=True, slots=True)
class Round:
    """One inspection round."""

    key: str
    name: str
    opened: datetime
    closed: datetime | None = None
    checklist: Checklist | None = field(default=None, repr=False)
    """The list as it was when the round was opened; None if the log does not say."""
    boxes: tuple[BoxHeld, ...] = ()
    """In the order of taking: nobody has more than one, several may have the same; empty once it is closed."""

    def item_said(self, kind: PartKind, item: str) -> Value:
        """A line of its list by name, for people to read; the name itself if the list has none, or is not known."""
        check = self.checklist.check(kind, item) if self.checklist else None
        return item if check is None else item_said(check)

    def box_of(self, holder: str) -> str:
        """The box that `holder` has; empty if none."""
        return next((held.box for held in self.boxes if held.holder == holder), "")

    def holders(self, box: str) -> tuple[Value, ...]:
        """Names of those who have it, each once, in the order of taking."""
        return tuple(dict.fromkeys(held.who for held in self.boxes if held.box == box))


@dataclass(frozen=True, slots=True)
class Clash:
    """An entry without effect, because what came before left no room for it (two laptops' logs joined)."""

    key: str
    words: Said
    part: str | None = None
    """Of a whole step, the part that found no room while others of it did; None: the whole entry."""


@dataclass(frozen=True, slots=True)
class Duty:
    """What somebody has in hand: a step, or a hub that they hold. It lapses by the clock: see `log.duties`."""

    what: Literal["step", "hold"]
    at: str
    """First place of the step, or the hub."""
    who: Value
    """For a person: name, or phone."""
    holder: str
    """Tells people apart: the phone, or the name where no phone is known."""
    since: datetime
    renewed: datetime
    """When they last said so."""
    team: int = 0
    """From 1; 0 if they did not say."""


@dataclass(frozen=True, slots=True)
class State:
    """All that pages and reports need to know of the past."""

    kit: Kit = field(repr=False, compare=False)
    last_number: int = field(compare=False)
    """Number of the newest entry in this laptop's log."""
    allocation: Mapping[str, str]
    """Place → ID of the part meant for it now (exchanges change this)."""
    fitted: Mapping[str, str]
    """Place → ID of the part that sits there."""
    parts: Mapping[str, PartState] = field(repr=False)
    """Every part ID of the kit, and of the parts made since."""
    made: Mapping[str, Part] = field(default_factory=dict)
    """Parts made since the kit was."""
    phase: Phase = "stores"
    way: str | None = None
    """Way of raising chosen on site; None: the plan's own."""
    raises: tuple[Raise, ...] = ()
    rounds: tuple[Round, ...] = ()
    clashes: tuple[Clash, ...] = ()
    held_feet: Mapping[str, str] = field(default_factory=dict)
    """Foot that is pegged, anchored or weighed down → key of the entry that says so; a hub that comes out is none."""
    duties: tuple[Duty, ...] = ()
    """Who has which step or hold in hand, lapsed ones among them, in the order of taking."""
    exchanging: Exchanging | None = None
    stop: Stop | None = None
    """Building is stopped; None while it goes on."""
    wind_read: WindRead | None = None
    """The last gust that was read in this raise."""
    wanted: tuple[Promise, ...] = ()
    """Days for which the kit is given to a place; no two of them meet."""
    where: str = ""
    """Where the kit is, as somebody wrote down last; empty if nobody did."""
    asks: tuple[PartAsk, ...] = ()
    """Parts of kits whose logs are away that are asked for."""
    log_away: LogAway | None = None
    """The log goes on at another laptop; None while it is here."""
    withdrawn: Mapping[str, str] = field(default_factory=dict)
    """Key of an entry taken back → key of the entry that took it back."""
    entries: tuple[Entry, ...] = field(default=(), repr=False)
    """The whole log in the order of the fold."""
    last_ms: int = 0
    """Place in time of the last of them, as the fold takes it [ms since 1970]."""
    ahead: Mapping[str, tuple[tuple[int, int], ...]] = field(default_factory=dict)
    """Laptop → (last serial, ms) of each joining: by how much its clock was ahead up to that entry."""
    index: Mapping[str, Entry] = field(default_factory=dict, repr=False, compare=False)
    """The same by key."""

    def is_fitted(self, place: str) -> bool:
        """True if some part sits at `place`."""
        return place in self.fitted

    def part(self, part_id: str) -> Part:
        """The part with this printed ID, made since or of the kit; PartIdError if there is none."""
        made = self.made.get(part_id)
        return made if made is not None else self.kit.part(part_id)

    def all_parts(self) -> tuple[Part, ...]:
        """The kit's parts, then those made since by ID."""
        return (*self.kit.parts, *(self.made[key] for key in sorted(self.made)))

    def home_of(self, part_id: str) -> str | None:
        """The place a part is meant for now; None for a spare. PartIdError if there is no such part."""
        if part_id not in self.parts:
            raise PartIdError(f"{part_id} is not a part of kit {self.kit.design.frame.prefix}")
        first = self.part(part_id).made_for
        if first is not None and self.allocation.get(first) == part_id:
            return first
        return next((place for place, held in self.allocation.items() if held == part_id), None)

    def if_filled(self, place: str) -> "State":
        """As if `place` were filled by the part meant for it, or by the one made for it; KeyError if there is none."""
        if place in self.fitted:
            return self
        part = self.allocation.get(place) or self.kit.by_place[place].id
        past = replace(self.parts[part], fitted_at=place)
        return replace(self, fitted={**self.fitted, place: part}, parts={**self.parts, part: past})

    def if_empty(self, places: Iterable[str]) -> "State":
        """As if these places were empty."""
        gone = {place for place in places if place in self.fitted}
        parts = {self.fitted[place]: replace(self.parts[self.fitted[place]], fitted_at=None) for place in gone}
        return replace(self, fitted={place: part for place, part in self.fitted.items() if place not in gone},
                       parts={**self.parts, **parts},
                       held_feet={hub: key for hub, key in self.held_feet.items() if hub not in gone})

    @property
    def open_round(self) -> Round | None:
        """The inspection round that is open, if any."""
        return self.rounds[-1] if self.rounds and self.rounds[-1].closed is None else None

    @property
    def running_raise(self) -> Raise | None:
        """The raise that is running, if any."""
        return self.raises[-1] if self.raises and self.raises[-1].ended is None else None
