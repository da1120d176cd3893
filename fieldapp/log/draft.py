"""A state being changed: what the effects of entries work on, thawed from a State and frozen back."""

from dataclasses import dataclass, field, replace
from typing import Any

from fieldapp.kit.kit import Kit, Part
from fieldapp.log.alarm import Stop, WindRead
from fieldapp.log.entry import Entry
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.loans import LogAway, PartAsk
from fieldapp.log.state import Clash, Condition, Duty, PartState, Phase, Raise, Round, State
from fieldapp.log.wanted import Promise


@dataclass(slots=True)
class Draft:
    """Same fields as State, in dicts and lists of its own."""

    kit: Kit
    allocation: dict[str, str]
    fitted: dict[str, str]
    parts: dict[str, PartState]
    made: dict[str, Part] = field(default_factory=dict)
    phase: Phase = "stores"
    way: str | None = None
    raises: tuple[Raise, ...] = ()
    rounds: tuple[Round, ...] = ()
    clashes: list[Clash] = field(default_factory=list)
    held_feet: dict[str, str] = field(default_factory=dict)
    duties: tuple[Duty, ...] = ()
    exchanging: Exchanging | None = None
    stop: Stop | None = None
    wind_read: WindRead | None = None
    wanted: tuple[Promise, ...] = ()
    where: str = ""
    asks: tuple[PartAsk, ...] = ()
    log_away: LogAway | None = None

    def part(self, part_id: str) -> Part:
        """The part, made since or of the kit."""
        made = self.made.get(part_id)
        return made if made is not None else self.kit.part(part_id)

    def change(self, part_id: str, **fields: Any) -> None:
        """Replace fields of a part's state; its condition follows from what is left open."""
        changed = replace(self.parts[part_id], **fields)
        self.parts[part_id] = replace(changed, condition=_condition(changed))

    def tell(self, part_id: str, what: str, entry: Entry) -> None:
        """From this entry on the part is `missing`, or its label gone."""
        self.change(part_id, told_by=(*self.parts[part_id].told_by, (what, entry.key)), **{what: True})

    def lift(self, part_id: str, what: str, entry: Entry | None = None) -> None:
        """It is `missing`, or its label gone, no more; an entry lifts only what it answers."""
        left = tuple((told, key) for told, key in self.parts[part_id].told_by
                     if told != what or (entry is not None and not entry.answers_to(key)))
        self.change(part_id, told_by=left, **{what: any(told == what for told, _key in left)})

    def note(self, entry: Entry) -> None:
        """Count the entry in its part's history."""
        if entry.part is not None and entry.part in self.parts:
            self.change(entry.part, entries=(*self.parts[entry.part].entries, entry.key))

    def swap(self, place: str, part_id: str) -> None:
        """Mean `part_id` for `place`; whatever was meant for it takes the part's old place, if it had one."""
        other = self.allocation.get(place)
        if other == part_id:
            return
        home = next((name for name, held in self.allocation.items() if held == part_id), None)
        self.allocation[place] = part_id
        if home is None:
            return
        if other is None:
            del self.allocation[home]
        else:
            self.allocation[home] = other

    def lift_out(self, part_id: str) -> None:
        """Take a part out of the frame, if it sits there."""
        place = self.parts[part_id].fitted_at
        if place is not None:
            del self.fitted[place]
            self.held_feet.pop(place, None)
            self.duties = tuple(duty for duty in self.duties if (duty.what, duty.at) != ("hold", place))
            self.change(part_id, fitted_at=None, fitted_by=None)


def _condition(part: PartState) -> Condition:
    """Quarantined by any unsafe defect that nobody answers for; watched while anything is open; scrapped for good."""
    if part.condition == "scrapped":
        return "scrapped"
    if any(defect.unsafe and not defect.released for defect in part.defects):
        return "quarantined"
    return "watch" if part.defects or part.mends else "sound"


def blank(kit: Kit) -> Draft:
    """Everything in the stores, sound, every part meant for the place it was made for."""
    return Draft(kit=kit, allocation={place: part.id for place, part in kit.by_place.items()}, fitted={},
                 parts=dict.fromkeys((part.id for part in kit.parts), PartState()))


def thaw(state: State) -> Draft:
    """A draft with shallow copies: part states are shared, being frozen."""
    return Draft(kit=state.kit, allocation=dict(state.allocation), fitted=dict(state.fitted),
                 parts=dict(state.parts), made=dict(state.made), phase=state.phase, way=state.way,
                 raises=state.raises, rounds=state.rounds, clashes=list(state.clashes),
                 held_feet=dict(state.held_feet), duties=state.duties, exchanging=state.exchanging,
                 stop=state.stop, wind_read=state.wind_read, wanted=state.wanted, where=state.where,
                 asks=state.asks, log_away=state.log_away)
