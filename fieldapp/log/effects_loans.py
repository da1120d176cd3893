"""What entries about parts lent between kits, and about a log that comes home, do to the state."""

from dataclasses import replace

from fieldapp.base.said import Said, Value, say
from fieldapp.kit.kit import Part
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.kinds_loans import AskedForData, BorrowedData, HomeAgainData, LoanData, LogHomeData
from fieldapp.log.loans import Loan, PartAsk
from fieldapp.log.state import Defect, PartState

OF_ELSEWHERE = frozenset({"lent", "borrowed", "given_back", "home_again", "code_kept", "label_reprinted"})
"""Kinds that may tell of a part which is at another kit."""


def not_here(draft: Draft, entry: Entry) -> Said | None:
    """Why an entry has no effect that tells of a part which is at another kit; None where it is here."""
    away = draft.parts[entry.part].away if entry.part in draft.parts else None
    if away is None or entry.kind in OF_ELSEWHERE:
        return None
    return say("{id} was lent to {kit}", id=str(entry.part), kit=away.other)


def _loan(entry: Entry, data: LoanData) -> Loan:
    return Loan(data.loan, data.kit, data.title, entry.at, entry.key)


def lent(draft: Draft, entry: Entry, data: LoanData) -> Said | None:
    """It is at another kit from now on; of two that it was given to the first counts."""
    part = str(entry.part)
    past = draft.parts[part]
    if past.away is not None:
        return say("{id} was lent to {kit}", id=part, kit=past.away.other)
    if past.fitted_at is not None:
        return say("{id} sits at {place}", id=part, place=past.fitted_at)
    draft.change(part, away=_loan(entry, data), bundle=None, came_in=())
    return None


def home_again(draft: Draft, entry: Entry, data: HomeAgainData) -> Said | None:
    """It is here again, to be looked at before it is used: the other kit's log says how it fared."""
    part = str(entry.part)
    past = draft.parts[part]
    if past.away is None or past.away.key != data.loan:
        return say("{id} was not lent by this loan", id=part)
    draft.change(part, away=None, round=None, last_check=None, measured=())
    if data.missing:
        draft.tell(part, "missing", entry)
    if data.condition == "scrapped":
        draft.change(part, condition="scrapped")
    elif data.condition != "sound":
        words: Value = data.words or say("no reason given")
        defect = Defect(entry.key, "came_home", say("came home from {kit}: {words}", kit=data.title, words=words),
                        unsafe=data.condition == "quarantined")
        draft.change(part, defects=(*draft.parts[part].defects, defect))
    return None


def borrowed(draft: Draft, entry: Entry, data: BorrowedData) -> Said | None:
    """A part of another kit is one of this kit's spares from now on, until it is given back."""
    part = str(entry.part)
    past = draft.parts.get(part)
    if past is not None and past.away is None:
        return say("{id} is here already", id=part)
    draft.made[part] = Part(id=part, kind=data.kind, number=data.number, part_class=data.part_class, made_for=None,
                            mass_kg=data.mass_kg, cut_length_mm=data.cut_length_mm, arms=data.arms)
    draft.parts[part] = PartState(borrowed=_loan(entry, data), entries=past.entries if past else ())
    draft.asks = tuple(ask for ask in draft.asks if ask.key != data.loan)
    return None


def given_back(draft: Draft, entry: Entry, data: LoanData) -> Said | None:
    """It has left for the kit that it belongs to."""
    part = str(entry.part)
    past = draft.parts[part]
    if past.borrowed is None or past.away is not None:
        return say("{id} is not borrowed", id=part)
    if past.fitted_at is not None:
        return say("{id} sits at {place}", id=part, place=past.fitted_at)
    _leave_place(draft, part)
    draft.change(part, away=replace(past.borrowed, since=entry.at, entry=entry.key), bundle=None, came_in=())
    return None


def _leave_place(draft: Draft, part: str) -> None:
    """The place that it was meant for is meant for the part made for it again, if that is meant for no other."""
    place = next((place for place, held in draft.allocation.items() if held == part), None)
    if place is None:
        return
    del draft.allocation[place]
    own = draft.kit.by_place[place].id
    if own not in draft.allocation.values():
        draft.allocation[place] = own


def asked_for(draft: Draft, entry: Entry, data: AskedForData) -> Said | None:
    """A part of a kit whose log is away is asked for."""
    if any(ask.part == data.part for ask in draft.asks):
        return say("{id} is asked for already", id=data.part)
    draft.asks = (*draft.asks, PartAsk(data.loan, data.part, data.kit, data.title, entry.at, entry.key))
    return None


def log_home(draft: Draft, entry: Entry, data: LogHomeData) -> Said | None:
    """The log is one again; where what was written elsewhere is lost, every part is to be looked at anew."""
    if draft.log_away is None:
        return say("the log was not away")
    draft.log_away = None
    if data.lost:
        for part, past in draft.parts.items():
            if past.round is not None or past.last_check is not None:
                draft.change(part, round=None, last_check=None)
    return None
