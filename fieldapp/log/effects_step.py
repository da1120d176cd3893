"""What moves parts in and out of the frame, singly or a step at a time, and who has a step or a hold in hand."""

from dataclasses import replace

from fieldapp.base.said import Said, say
from fieldapp.log import kinds
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.kinds_step import DutyData, StepData
from fieldapp.log.state import Clash, Duty


def fitted(draft: Draft, entry: Entry, data: kinds.FittedData) -> Said | None:
    """A part sits at a place; if it was meant for another, the two places are exchanged."""
    part, place = str(entry.part), str(entry.place)
    made_there = draft.kit.by_place.get(place)
    away = draft.parts[part].away
    if away is not None:
        return say("{id} was lent to {kit}", id=part, kit=away.other)
    if made_there is None or made_there.kind != draft.part(part).kind:
        return say("{part} cannot sit at {place}", part=part, place=place)
    if place in draft.fitted:
        return say("{place} already holds {part}", place=place, part=draft.fitted[place])
    already = draft.parts[part].fitted_at
    if already is not None:
        return say("{part} already sits at {place}", part=part, place=already)
    draft.swap(place, part)
    draft.fitted[place] = part
    draft.lift(part, "missing")
    draft.change(part, fitted_at=place, fitted_by=entry.key, bundle=None, came_in=(), not_scanned=False)
    return None


def taken_down(draft: Draft, entry: Entry, data: kinds.TakenDownWish) -> Said | None:
    """A part is out of the frame."""
    part = str(entry.part)
    if draft.parts[part].fitted_at is None:
        return say("{id} was not in the frame", id=part)
    draft.lift_out(part)
    return None


def step_done(draft: Draft, entry: Entry, data: StepData) -> Said | None:
    """Each part of the step as if it were written down alone; what finds no room is a clash of its own.

    What another laptop had written down the same way already is no clash, unless nothing of the step is left.
    """
    if len(data.parts) != len(data.places):
        return say("the data of this {kind} entry cannot be read", kind=entry.kind)
    told = [_one_of_step(draft, entry, data, place=place, part=part)
            for place, part in zip(data.places, data.parts, strict=True)]
    draft.duties = tuple(duty for duty in draft.duties if (duty.what, duty.at) != ("step", entry.place))
    if all(isinstance(words, Said) for words in told):
        return next(words for words in told if isinstance(words, Said))
    for part, words in zip(data.parts, told, strict=True):
        if isinstance(words, Said) and not _is_so(draft, data, part=part, place=data.places[data.parts.index(part)]):
            draft.clashes.append(Clash(entry.key, words, part))
    return None


def _one_of_step(draft: Draft, entry: Entry, data: StepData, *, place: str, part: str) -> Said | None:
    if part not in draft.parts:
        return say("{id} is not a part of this kit", id=part)
    alone = replace(entry, kind=data.act, part=part, place=place)
    if data.act == "taken_down":
        words = say("{id} was not in the frame", id=part) if draft.fitted.get(place) != part else \
            taken_down(draft, alone, kinds.TakenDownWish())
    else:
        words = fitted(draft, alone, kinds.FittedData())
    if words is None:
        scanned = part in data.scanned
        if data.act == "fitted":
            draft.change(part, not_scanned=not scanned)
        elif scanned:
            draft.change(part, not_scanned=False)
        draft.note(alone)
    return words


def _is_so(draft: Draft, data: StepData, *, part: str, place: str) -> bool:
    """True if the part is where the step says, whoever wrote it down first."""
    past = draft.parts.get(part)
    return past is not None and past.fitted_at == (place if data.act == "fitted" else None)


def duty_taken(draft: Draft, entry: Entry, data: DutyData) -> Said | None:
    """The sender has this in hand from now, anew if they had it; of steps one at a time."""
    first = next((duty.since for duty in draft.duties if _same(duty, data) and duty.holder == entry.holder), entry.at)
    kept = tuple(duty for duty in draft.duties if duty.holder != entry.holder
                 or not (_same(duty, data) or duty.what == data.what == "step"))
    draft.duties = (*kept, Duty(data.what, data.at, entry.named, entry.holder, first, entry.at, data.team))
    return None


def duty_left(draft: Draft, entry: Entry, data: DutyData) -> Said | None:
    """The sender has it no longer; or nobody has."""
    kept = tuple(duty for duty in draft.duties if not _same(duty, data)
                 or not (data.everyone or duty.holder == entry.holder))
    if kept == draft.duties:
        return say("nobody had {place} in hand", place=data.at)
    draft.duties = kept
    return None


def _same(duty: Duty, data: DutyData) -> bool:
    return (duty.what, duty.at) == (data.what, data.at)
