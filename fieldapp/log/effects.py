"""What each kind of entry does to the state: one function per kind, never failing.

An effect returns None, or why it had none: an entry that its own laptop's rules admitted may find the
place taken once two logs are joined, or once an entry before it is withdrawn.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fieldapp.kit.kit import Part
from fieldapp.log import kinds
from fieldapp.log.damage import damage_named
from fieldapp.log.draft import Draft
from fieldapp.log.effects_round import box_given_back, box_taken, round_closed, round_opened
from fieldapp.log.entry import Entry
from fieldapp.log.state import Defect, PartState, Raise

Effect = Callable[[Draft, Entry, Any], str | None]


def fitted(draft: Draft, entry: Entry, data: kinds.FittedData) -> str | None:
    """A part sits at a place; if it was meant for another, the two places are exchanged."""
    part, place = str(entry.part), str(entry.place)
    made_there = draft.kit.by_place.get(place)
    if made_there is None or made_there.kind != draft.part(part).kind:
        return f"{part} cannot sit at {place}"
    if place in draft.fitted:
        return f"{place} already holds {draft.fitted[place]}"
    if draft.parts[part].fitted_at is not None:
        return f"{part} already sits at {draft.parts[part].fitted_at}"
    draft.swap(place, part)
    draft.fitted[place] = part
    draft.change(part, fitted_at=place, fitted_by=entry.key, missing=False, bundle=None, came_in=())
    return None


def taken_down(draft: Draft, entry: Entry, data: kinds.NoData) -> str | None:
    """A part is out of the frame."""
    part = str(entry.part)
    if draft.parts[part].fitted_at is None:
        return f"{part} was not in the frame"
    draft.lift_out(part)
    return None


def damaged(draft: Draft, entry: Entry, data: kinds.DamagedData) -> str | None:
    """A defect is open; slight: watch, else quarantined. A lost label leaves the part as it was."""
    part = str(entry.part)
    damage = damage_named(draft.part(part).kind, data.what)
    if damage is not None and damage.label_only:
        draft.change(part, label_gone=True)
        return None
    words = defect_words(damage.words if damage else data.what, data)
    _add_defect(draft, part, Defect(entry=entry.key, what=data.what, words=words, arm=data.arm, end=data.end,
                                    unsafe=data.severity != "slight"))
    return None


def defect_words(what: str, data: kinds.DamagedData) -> str:
    """A defect for a person: which arm or end, what, how bad, and the crew's own words."""
    first = what.split(" ", 1)
    if data.arm is not None:
        what = f"arm {data.arm} {first[1]}" if first[0] == "arm" else f"{what} at arm {data.arm}"
    if data.end is not None:
        what = f"end {data.end} {first[1]}" if first[0] == "end" else f"{what} at end {data.end}"
    return f"{what} ({data.severity})" + (f": {data.words}" if data.words else "")


def repaired(draft: Draft, entry: Entry, data: kinds.RepairedData) -> str | None:
    """The defects at that arm or end (all, if none is named) are mended; use waits for release or check."""
    part = str(entry.part)
    now = draft.parts[part]
    defects = tuple(replace(defect, mended=True) if _same_spot(defect, data) else defect for defect in now.defects)
    spot = data.arm if data.arm is not None else data.end
    capacity = now.capacity if data.capacity is None or spot is None else _with_share(now, spot, data.capacity)
    condition = "watch" if now.condition == "sound" else now.condition
    draft.change(part, defects=defects, capacity=capacity, mended=True, usable_from=data.usable_from,
                 condition=condition)
    return None


def released(draft: Draft, entry: Entry, data: kinds.ReleasedData) -> str | None:
    """Out of quarantine: watch if it was mended or has open defects, else sound."""
    part = str(entry.part)
    now = draft.parts[part]
    if now.condition != "quarantined":
        return f"{part} was not quarantined"
    draft.change(part, condition="watch" if now.mended or now.defects else "sound", usable_from=None)
    return None


def exchanged(draft: Draft, entry: Entry, data: kinds.NoData) -> str | None:
    """A part is meant for another place from now on."""
    part, place = str(entry.part), str(entry.place)
    if place not in draft.kit.by_place or draft.kit.by_place[place].kind != draft.part(part).kind:
        return f"{part} cannot be meant for {place}"
    if draft.parts[part].fitted_at not in (None, place):
        return f"{part} sits at {draft.parts[part].fitted_at}"
    draft.swap(place, part)
    return None


def missing(draft: Draft, entry: Entry, data: kinds.MissingData) -> str | None:
    """Nobody knows where it is."""
    part = str(entry.part)
    if draft.parts[part].fitted_at is not None:
        return f"{part} sits at {draft.parts[part].fitted_at}"
    draft.change(part, missing=True, bundle=None, came_in=())
    return None


def found(draft: Draft, entry: Entry, data: kinds.FoundData) -> str | None:
    """It is back."""
    draft.change(str(entry.part), missing=False)
    return None


def scrapped(draft: Draft, entry: Entry, data: kinds.ReasonData) -> str | None:
    """Never to be used again."""
    draft.change(str(entry.part), condition="scrapped")
    return None


def label_reprinted(draft: Draft, entry: Entry, data: kinds.LabelData) -> str | None:
    """It can be read again."""
    draft.change(str(entry.part), label_gone=False)
    return None


def made(draft: Draft, entry: Entry, data: kinds.MadeData) -> str | None:
    """A new part joins the kit; meant for `place` if one was named, else a spare."""
    part = str(entry.part)
    if part in draft.parts:
        return f"{part} was made twice"
    draft.made[part] = Part(id=part, kind=data.kind, number=data.number, part_class=data.part_class,
                            made_for=None, mass_kg=data.mass_kg, cut_length_mm=data.cut_length_mm)
    draft.parts[part] = PartState(label_gone=True)      # until somebody says that one is on it
    if entry.place is not None and entry.place in draft.kit.by_place:
        draft.swap(entry.place, part)
    return None


def stored(draft: Draft, entry: Entry, data: kinds.StoredData) -> str | None:
    """Out of the frame and into a bundle; damaged: quarantined until looked at, wet: watch."""
    part = str(entry.part)
    draft.lift_out(part)
    draft.change(part, missing=False, bundle=data.bundle, came_in=data.came_in)
    for how, unsafe in (("damaged", True), ("wet", False)):
        if how in data.came_in:
            words = f"came in {how}" + (f": {data.words}" if data.words else "")
            _add_defect(draft, part, Defect(entry.key, f"came_in_{how}", words, unsafe=unsafe))
    return None


def checked(draft: Draft, entry: Entry, data: kinds.CheckedData) -> str | None:
    """Passed: watch ends, defects close; failed: watch, or quarantined if critical. Quarantine stays.

    What was found by measuring stays open until it is measured again.
    """
    part = str(entry.part)
    measured = tuple((i.item, i.value, i.unit) for i in data.items if i.value is not None)
    before = tuple(old for old in draft.parts[part].measured if old[0] not in {new[0] for new in measured})
    draft.change(part, last_check=entry.key, round=data.round or None, missing=False, measured=(*before, *measured))
    failed = [item for item in data.items if item.result == "fail" and not item.label]
    for item in failed:
        words = f"failed: {item.item}{_spot_words(item)}" + (f": {item.words}" if item.words else "")
        _add_defect(draft, part, Defect(entry.key, item.item, words, item.arm, item.end, unsafe=item.critical))
    labels = [item.result == "fail" for item in data.items if item.label]
    if labels:
        draft.change(part, label_gone=any(labels))
    if not failed and draft.parts[part].condition in ("sound", "watch"):
        left = tuple(defect for defect in draft.parts[part].defects if defect.what in {name for name, *_rest in before})
        draft.change(part, condition="watch" if left else "sound", defects=left, mended=False)
    return None


def _spot_words(item: kinds.CheckItem) -> str:
    if item.arm is not None:
        return f", arm {item.arm}"
    return f", end {item.end}" if item.end is not None else ""


def raise_started(draft: Draft, entry: Entry, data: kinds.RaiseStartedData) -> str | None:
    """A raise runs from now."""
    if draft.raises and draft.raises[-1].ended is None:
        return f"raise {draft.raises[-1].name} was running already"
    draft.raises = (*draft.raises, Raise(entry.key, data.name, entry.at))
    draft.phase = "raising"
    return None


def strike_started(draft: Draft, entry: Entry, data: kinds.NoData) -> str | None:
    """From now on the frame comes down."""
    if draft.phase == "striking":
        return "the strike had begun already"
    draft.phase = "striking"
    if draft.raises and draft.raises[-1].ended is None:
        draft.raises = (*draft.raises[:-1], replace(draft.raises[-1], strike_started=entry.at))
    return None


def raise_ended(draft: Draft, entry: Entry, data: kinds.NoData) -> str | None:
    """The kit is back in the stores."""
    if not draft.raises or draft.raises[-1].ended is not None:
        return "no raise was running"
    draft.raises = (*draft.raises[:-1], replace(draft.raises[-1], ended=entry.at))
    draft.phase = "stores"
    return None


def way_chosen(draft: Draft, entry: Entry, data: kinds.WayData) -> str | None:
    """All phones follow this way."""
    draft.way = data.way
    return None


def _add_defect(draft: Draft, part: str, defect: Defect) -> None:
    now = draft.parts[part]
    condition = now.condition
    if condition != "scrapped":
        condition = "quarantined" if defect.unsafe or condition == "quarantined" else "watch"
    draft.change(part, defects=(*now.defects, defect), condition=condition)


def _same_spot(defect: Defect, data: kinds.RepairedData) -> bool:
    return (data.arm is None or defect.arm == data.arm) and (data.end is None or defect.end == data.end)


def _with_share(now: PartState, spot: int, share: float) -> tuple[tuple[int, float], ...]:
    shares = {**dict(now.capacity), spot: share}
    return tuple(sorted((number, value) for number, value in shares.items() if value < 1.0))


EFFECTS: dict[str, Effect] = {effect.__name__: effect for effect in (
    fitted, taken_down, damaged, repaired, released, exchanged, missing, found, scrapped, label_reprinted, made,
    stored, checked, raise_started, strike_started, raise_ended, way_chosen, round_opened, round_closed,
    box_taken, box_given_back)}
"""By kind; `withdrawn` has none, since the fold leaves out what was withdrawn."""
