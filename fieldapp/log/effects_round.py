"""What the entries of an inspection round's course do: open, closed, and who has which box meanwhile."""

from dataclasses import replace

from fieldapp.base.said import Said, say
from fieldapp.kit.checklist import Check, Checklist
from fieldapp.log import kinds
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.fields import NoData
from fieldapp.log.kinds_round import RoundData
from fieldapp.log.state import BoxHeld, Round


def round_opened(draft: Draft, entry: Entry, data: RoundData) -> Said | None:
    """Checks count for this round from now."""
    if draft.rounds and draft.rounds[-1].closed is None:
        return say("round {words} was open already", words=draft.rounds[-1].name)
    draft.rounds = (*draft.rounds, Round(entry.key, data.name, entry.at, checklist=_checklist(data)))
    return None


def round_closed(draft: Draft, entry: Entry, data: NoData) -> Said | None:
    """The round's record is complete, and nobody has a box any more."""
    current = _open(draft)
    if current is None:
        return say("no round was open")
    draft.rounds = (*draft.rounds[:-1], replace(current, closed=entry.at, boxes=()))
    return None


def box_taken(draft: Draft, entry: Entry, data: kinds.BoxData) -> Said | None:
    """The sender has this box from now, and no other."""
    current = _open(draft)
    if current is None:
        return say("no round was open in which box {words} could be taken", words=data.box)
    others = tuple(held for held in current.boxes if held.holder != entry.holder)
    _hold(draft, current, (*others, BoxHeld(data.box, entry.named, entry.holder, entry.at)))
    return None


def box_given_back(draft: Draft, entry: Entry, data: kinds.BoxData) -> Said | None:
    """The sender has it no longer; or nobody has, if the chief said so."""
    current = _open(draft)
    kept = tuple(held for held in current.boxes if held.box != data.box
                 or not (data.everyone or held.holder == entry.holder)) if current else ()
    if current is None or kept == current.boxes:
        return say("box {words} was not taken", words=data.box)
    _hold(draft, current, kept)
    return None


def _checklist(data: RoundData) -> Checklist | None:
    hub, strut, label = (tuple(Check(**line.model_dump()) for line in lines)
                         for lines in (data.hub, data.strut, data.label))
    return Checklist(hub, strut, label) if hub or strut or label else None


def _open(draft: Draft) -> Round | None:
    return draft.rounds[-1] if draft.rounds and draft.rounds[-1].closed is None else None


def _hold(draft: Draft, current: Round, boxes: tuple[BoxHeld, ...]) -> None:
    draft.rounds = (*draft.rounds[:-1], replace(current, boxes=boxes))
