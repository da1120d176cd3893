"""What each kind of entry does to the state: one function per kind, never failing.

An effect returns None, or why it had none: an entry that its own laptop's rules admitted may find the
place taken once two logs are joined, or once an entry before it is withdrawn.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fieldapp.base.said import Said, Value, say
from fieldapp.kit.kit import Part
from fieldapp.log import kinds
from fieldapp.log.damage import Damage, damage_named
from fieldapp.log.draft import Draft
from fieldapp.log.effects_alarm import stop_lifted, stop_seen, stopped, wind_read
from fieldapp.log.effects_codes import code_kept, measured
from fieldapp.log.effects_dates import moved, wanted
from fieldapp.log.effects_exchange import exchange_begun, exchange_ended
from fieldapp.log.effects_feet import feet_freed, feet_held
from fieldapp.log.effects_loans import asked_for, borrowed, given_back, home_again, lent, log_home
from fieldapp.log.effects_round import box_given_back, box_taken, round_closed, round_opened
from fieldapp.log.effects_step import duty_left, duty_taken, fitted, step_done, taken_down
from fieldapp.log.entry import Entry
from fieldapp.log.fields import NoData
from fieldapp.log.state import Defect, PartState, Raise
from fieldapp.plan.planner import way_names
from fieldapp.plan.ways import RECOMMENDED

Effect = Callable[[Draft, Entry, Any], Said | None]


def damaged(draft: Draft, entry: Entry, data: kinds.DamagedData) -> Said | None:
    """A defect is open; slight: watch, else quarantined. A lost label leaves the part as it was."""
    part = str(entry.part)
    damage = damage_named(draft.part(part).kind, data.what)
    if damage is not None and damage.label_only:
        draft.tell(part, "label_gone", entry)
        return None
    words = defect_words(damage, data)
    _add_defect(draft, part, Defect(entry=entry.key, what=data.what, words=words, arm=data.arm, end=data.end,
                                    unsafe=data.severity != "slight"))
    return None


def defect_words(damage: Damage | None, data: kinds.DamagedData) -> Said:
    """A defect for a person: which arm or end, what, how bad, and the crew's own words."""
    return with_own_words(_HOW_BAD[data.severity](_what_and_where(damage, data)), data.words)


def _what_and_where(damage: Damage | None, data: kinds.DamagedData) -> Value:
    what: Value = damage.words if damage else data.what
    if data.arm is not None:
        return say(damage.there, arm=data.arm) if damage and damage.where == "arm" else \
            say("{what} at arm {arm}", what=what, arm=data.arm)
    if data.end is not None:
        return say(damage.there, end=data.end) if damage and damage.where == "end" else \
            say("{what} at end {end}", what=what, end=data.end)
    return what


_HOW_BAD: dict[str, Callable[[Value], Said]] = {
    "slight": lambda what: say("{what} (slight)", what=what), "bad": lambda what: say("{what} (bad)", what=what),
    "unsure": lambda what: say("{what} (unsure)", what=what)}


def with_own_words(said: Said, words: str) -> Said:
    """What is known, and what somebody wrote about it; those words stay as they are."""
    return say("{what}: {words}", what=said, words=words) if words else said


def repaired(draft: Draft, entry: Entry, data: kinds.RepairedData) -> Said | None:
    """The defects that it answers are mended, at that arm or end if one is named; use waits for release or check."""
    part = str(entry.part)
    now = draft.parts[part]
    defects = tuple(replace(defect, mended=True) if entry.answers_to(defect.entry) and same_spot(defect, data)
                    else defect for defect in now.defects)
    spot = data.arm if data.arm is not None else data.end
    capacity = now.capacity if data.capacity is None or spot is None else _with_share(now, spot, data.capacity)
    draft.change(part, defects=defects, capacity=capacity, mends=(*now.mends, entry.key), usable_from=data.usable_from)
    return None


def released(draft: Draft, entry: Entry, data: kinds.ReleasedData) -> Said | None:
    """Out of quarantine, as far as the release answers what put it there; watched while anything is open."""
    part = str(entry.part)
    now = draft.parts[part]
    if now.condition != "quarantined":
        return say("{id} was not quarantined", id=part)
    defects = tuple(replace(defect, released=True) if entry.answers_to(defect.entry) else defect
                    for defect in now.defects)
    draft.change(part, defects=defects, usable_from=None)
    return None


def exchanged(draft: Draft, entry: Entry, data: NoData) -> Said | None:
    """A part is meant for another place from now on."""
    part, place = str(entry.part), str(entry.place)
    if place not in draft.kit.by_place or draft.kit.by_place[place].kind != draft.part(part).kind:
        return say("{part} cannot be meant for {place}", part=part, place=place)
    sits_at = draft.parts[part].fitted_at
    if sits_at not in (None, place):
        return say("{id} sits at {place}", id=part, place=str(sits_at))
    draft.swap(place, part)
    return None


def missing(draft: Draft, entry: Entry, data: kinds.MissingData) -> Said | None:
    """Nobody knows where it is."""
    part = str(entry.part)
    sits_at = draft.parts[part].fitted_at
    if sits_at is not None:
        return say("{id} sits at {place}", id=part, place=sits_at)
    draft.change(part, bundle=None, came_in=())
    draft.tell(part, "missing", entry)
    return None


def found(draft: Draft, entry: Entry, data: kinds.FoundData) -> Said | None:
    """It is back."""
    draft.lift(str(entry.part), "missing", entry)
    return None


def scrapped(draft: Draft, entry: Entry, data: kinds.ReasonData) -> Said | None:
    """Never to be used again."""
    draft.change(str(entry.part), condition="scrapped")
    return None


def label_reprinted(draft: Draft, entry: Entry, data: kinds.LabelData) -> Said | None:
    """It can be read again."""
    draft.lift(str(entry.part), "label_gone", entry)
    return None


def made(draft: Draft, entry: Entry, data: kinds.MadeData) -> Said | None:
    """A new part joins the kit; meant for `place` if one was named, else a spare."""
    part = str(entry.part)
    if part in draft.parts:
        return say("{id} was made twice", id=part)
    draft.made[part] = Part(id=part, kind=data.kind, number=data.number, part_class=data.part_class,
                            made_for=None, mass_kg=data.mass_kg, cut_length_mm=data.cut_length_mm)
    draft.parts[part] = PartState()
    draft.tell(part, "label_gone", entry)       # until somebody says that one is on it
    if entry.place is not None and entry.place in draft.kit.by_place:
        draft.swap(entry.place, part)
    return None


def stored(draft: Draft, entry: Entry, data: kinds.StoredData) -> Said | None:
    """Out of the frame and into a bundle; damaged: quarantined until looked at, wet: watch."""
    part = str(entry.part)
    draft.lift_out(part)
    draft.lift(part, "missing")
    draft.change(part, bundle=data.bundle, came_in=data.came_in)
    for how, said, unsafe in (("damaged", say("came in damaged"), True), ("wet", say("came in wet"), False)):
        if how in data.came_in:
            words = with_own_words(said, data.words)
            _add_defect(draft, part, Defect(entry.key, f"came_in_{how}", words, unsafe=unsafe))
    return None


def checked(draft: Draft, entry: Entry, data: kinds.CheckedData) -> Said | None:
    """Passed: watch ends, defects close; failed: watch, or quarantined if critical. Quarantine stays.

    What was found by measuring stays open until it is measured again.
    """
    part = str(entry.part)
    measured = tuple((i.item, i.value, i.unit) for i in data.items if i.value is not None)
    before = tuple(old for old in draft.parts[part].measured if old[0] not in {new[0] for new in measured})
    draft.lift(part, "missing")
    draft.change(part, last_check=entry.key, round=data.round or None, measured=(*before, *measured), not_scanned=False,
                 went_on=None)
    failed = [item for item in data.items if item.result == "fail" and not item.label]
    for item in failed:
        words = with_own_words(_failed(item, _item_said(draft, part, data.round, item.item)), item.words)
        _add_defect(draft, part, Defect(entry.key, item.item, words, item.arm, item.end, unsafe=item.critical))
    labels = [item.result == "fail" for item in data.items if item.label]
    if any(labels):
        draft.tell(part, "label_gone", entry)
    elif labels:
        draft.lift(part, "label_gone", entry)
    if not failed and draft.parts[part].condition in ("sound", "watch"):
        _pass(draft, part, entry, {name for name, *_rest in before})
    return None


def _pass(draft: Draft, part: str, entry: Entry, still_measured: set[str]) -> None:
    """Close what the check answers, but for what was found by measuring and was not measured again."""
    now = draft.parts[part]
    draft.change(part, defects=tuple(defect for defect in now.defects
                                     if defect.what in still_measured or not entry.answers_to(defect.entry)),
                 mends=tuple(key for key in now.mends if not entry.answers_to(key)))


def _item_said(draft: Draft, part: str, key: str, item: str) -> Value:
    """A line of the list with which the round was opened, for people to read; else as it was sent."""
    chosen = next((past for past in draft.rounds if past.key == key), None)
    return chosen.item_said(draft.part(part).kind, item) if chosen else item


def _failed(item: kinds.CheckItem, name: Value) -> Said:
    if item.arm is not None:
        return say("failed: {item}, arm {arm}", item=name, arm=item.arm)
    return say("failed: {item}, end {end}", item=name, end=item.end) if item.end is not None else \
        say("failed: {item}", item=name)


def raise_started(draft: Draft, entry: Entry, data: kinds.RaiseStartedData) -> Said | None:
    """A raise runs from now."""
    if draft.raises and draft.raises[-1].ended is None:
        return say("raise {words} was running already", words=draft.raises[-1].name)
    draft.raises = (*draft.raises, Raise(entry.key, data.name, entry.at))
    draft.phase = "raising"
    for part in data.parts:
        if part in draft.parts:
            draft.change(part, went_on=entry.key)
    return None


def strike_started(draft: Draft, entry: Entry, data: NoData) -> Said | None:
    """From now on the frame comes down."""
    if draft.phase == "striking":
        return say("the strike had begun already")
    draft.phase, draft.exchanging = "striking", None
    draft.duties = tuple(duty for duty in draft.duties if duty.what == "hold")
    if draft.raises and draft.raises[-1].ended is None:
        draft.raises = (*draft.raises[:-1], replace(draft.raises[-1], strike_started=entry.at))
    return None


def raise_ended(draft: Draft, entry: Entry, data: NoData) -> Said | None:
    """The kit is back in the stores."""
    if not draft.raises or draft.raises[-1].ended is not None:
        return say("no raise was running")
    draft.raises = (*draft.raises[:-1], replace(draft.raises[-1], ended=entry.at))
    draft.phase, draft.duties, draft.stop, draft.wind_read = "stores", (), None, None
    return None


def way_chosen(draft: Draft, entry: Entry, data: kinds.WayData) -> Said | None:
    """All phones follow this way, if there is one of that name for this design."""
    if data.way not in (RECOMMENDED, *way_names(draft.kit)):
        return say("there is no way of raising '{way}'.", way=data.way)
    draft.way = data.way
    return None


def joined(draft: Draft, entry: Entry, data: kinds.JoinedData) -> Said | None:
    """Another laptop's log was looked at and joined; the fold reads from it what that laptop's clock was worth."""
    return None


def _add_defect(draft: Draft, part: str, defect: Defect) -> None:
    draft.change(part, defects=(*draft.parts[part].defects, defect))


def same_spot(defect: Defect, data: kinds.RepairedData) -> bool:
    """True if the repair is of that arm or end, or names none."""
    return (data.arm is None or defect.arm == data.arm) and (data.end is None or defect.end == data.end)


def _with_share(now: PartState, spot: int, share: float) -> tuple[tuple[int, float], ...]:
    shares = {**dict(now.capacity), spot: share}
    return tuple(sorted((number, value) for number, value in shares.items() if value < 1.0))


EFFECTS: dict[str, Effect] = {effect.__name__: effect for effect in (
    fitted, taken_down, damaged, repaired, released, exchanged, missing, found, scrapped, label_reprinted, made,
    stored, checked, raise_started, strike_started, raise_ended, way_chosen, joined, round_opened, round_closed,
    box_taken, box_given_back, feet_held, feet_freed, step_done, duty_taken, duty_left, exchange_begun,
    exchange_ended, code_kept, measured, stopped, stop_seen, stop_lifted, wind_read, wanted, moved, lent,
    borrowed, given_back, home_again, asked_for, log_home)}
"""By kind; `withdrawn` has none, since the fold leaves out what was withdrawn."""
