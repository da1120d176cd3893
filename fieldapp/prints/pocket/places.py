"""What the pocket copy says of every place, of spares, and which typed IDs lead where. Plain records for its page."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fieldapp.base.words import _
from fieldapp.frame.frame import Frame, HubPlace, StrutPlace
from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import compact
from fieldapp.log.codes import code_key
from fieldapp.plan.plan import Plan
from fieldapp.prints.pocket.pictures import Marked, Pictures, dial
from fieldapp.wording.carried import beside, carries_words
from fieldapp.wording.pegs import pegs_before_place, pegs_of_foot
from fieldapp.wording.place import (
    arm_says,
    end_goes,
    end_says,
    facing_words,
    hub_where,
    level_words,
    limit_words,
    order_words,
    pushing_words,
    sentence,
)
from fieldapp.wording.seat import seat_lines
from fieldapp.wording.verdict import rests_words


@dataclass(frozen=True, slots=True)
class Meeting:
    """A neighbour."""

    name: str
    words: str
    """How it is met."""
    filled: bool
    """False if it stays empty: then there is no place to go to."""


@dataclass(frozen=True, slots=True)
class Says:
    """The words of a place."""

    headline: str
    more: tuple[str, ...]
    meets: tuple[Meeting, ...]


@dataclass(frozen=True, slots=True)
class AsOf:
    """What the log said when the copy was made; by the time it is read it is old."""

    number: int
    """Of the last entry."""
    places: Mapping[str, str]
    """Place → the words of its page."""
    kept_out: Mapping[str, str]
    """ID → why a part is not to be used."""


@dataclass(frozen=True, slots=True)
class PocketPlace:
    """One place."""

    name: str
    letter: str
    bands: int
    says: Says
    pictures: tuple[Marked, ...]
    order: tuple[str, ...]
    limits: tuple[str, ...]
    part: str
    """ID of the part that is meant for it, with what the part carried before."""
    before: str
    """The place before it in the order; empty for the first."""
    after: str
    said: str = ""
    """What its page said when the copy was made; empty where there is no log."""
    kept_out: str = ""
    """Why the part is not to be used."""


@dataclass(frozen=True, slots=True)
class PocketSpare:
    """One spare, and the places it could fill."""

    id: str
    carries: str
    """What it carried before."""
    part_class: str
    places: tuple[str, ...]
    """None of one that is not to be used."""
    kept_out: str = ""


def plan_order(plan: Plan) -> tuple[str, ...]:
    """Places in the order in which they are filled."""
    return tuple(dict.fromkeys(name for step in plan.steps for name in step.sequence))


def pocket_places(kit: Kit, plan: Plan, pictures: Pictures, allocation: Mapping[str, str]) -> tuple[PocketPlace, ...]:
    """Every place that is filled, in the order of the plan."""
    order = plan_order(plan)
    neighbours = zip(("", *order[:-1]), order, (*order[1:], ""), strict=True)
    return tuple(_place(kit, plan, pictures, name, part=allocation.get(name, ""), before=before, after=after)
                 for before, name, after in neighbours)


def _place(kit: Kit, plan: Plan, pictures: Pictures, name: str, *, part: str, before: str,
           after: str) -> PocketPlace:
    frame = kit.frame
    shown: tuple[Marked, ...] = pictures.of(name)
    letter, bands = "", 0
    if name in frame.hub_index:
        says = _hub_says(frame, plan, frame.hub(name), seat_lines(kit, kit.by_id.get(part), name))
        shown = (*shown, dial(frame, name))
    else:
        strut = frame.strut(name)
        says = _strut_says(kit, plan, strut)
        letter = strut.strut_class
        bands = next(each.bands for each in frame.strut_classes if each.letter == letter)
    return PocketPlace(name, letter, bands, says, shown,
                       (*order_words(plan, name), *rests_words(plan, name),
                        *pegs_before_place(plan, kit.design.ground, name),
                        *pegs_of_foot(plan, kit.design.ground, name)),
                       limit_words(plan, name), _listed(kit, part), before, after)


def _listed(kit: Kit, part_id: str) -> str:
    """An ID, and what the part carried before."""
    return beside(part_id, kit.by_id[part_id].alias) if part_id in kit.by_id else part_id


def _hub_says(frame: Frame, plan: Plan, hub: HubPlace, seat: tuple[str, ...]) -> Says:
    meets = tuple(Meeting(arm.strut, arm_says(frame, arm), arm.strut in plan.step_of) for arm in hub.arms)
    return Says(sentence(hub_where(frame, hub)), facing_words(frame, seat), meets)


def _strut_says(kit: Kit, plan: Plan, strut: StrutPlace) -> Says:
    frame, how = kit.frame, kit.design.hub.held_by.assembly
    hubs = ((strut.end(end).hub, end_says(frame, strut, end)) for end in (1, 2))
    meets = tuple(Meeting(hub, words, hub in plan.step_of) for hub, words in hubs)
    return Says(end_goes(frame, strut, 1, how), (end_goes(frame, strut, 2, how), *pushing_words(plan, strut.name, how)),
                meets)


def place_lists(frame: Frame, order: Sequence[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Heading and places: the hubs ring by ring, then all struts; each in the order of the plan."""
    for number in range(1, frame.level_count + 1):
        hubs = tuple(name for name in order if name in frame.hub_index and frame.hub(name).level == number)
        if hubs:
            yield sentence(_("{ring}: hubs").format(ring=level_words(frame, number))), hubs
    yield _("Struts, in the order of the plan"), tuple(name for name in order if name in frame.strut_index)


def pocket_spares(kit: Kit, plan: Plan, allocation: Mapping[str, str], kept_out: Mapping[str, str]
                  ) -> tuple[PocketSpare, ...]:
    """Parts that are meant for no place, with the places of their class."""
    used, order = set(allocation.values()), plan_order(plan)
    classes = {place: part.part_class for place, part in kit.by_place.items()}
    return tuple(PocketSpare(part.id, carries_words(part.alias), part.part_class, () if part.id in kept_out else tuple(
        name for name in order if classes.get(name) == part.part_class and kit.by_place[name].kind == part.kind),
        kept_out.get(part.id, "")) for part in kit.parts if part.id not in used)


def id_index(kit: Kit, allocation: Mapping[str, str]) -> dict[str, object]:
    """Which place, or spare, a typed ID leads to: whole without prefix, and by letter and number alone."""
    prefix = kit.design.frame.prefix
    at = {part: place for place, part in allocation.items()}
    bodies = {compact(part.id)[len(prefix):]: (part, at.get(part.id, part.id)) for part in kit.parts}
    numbers = {f"{body[0]}{part.number}": leads for body, (part, leads) in bodies.items()}
    return {"prefix": prefix, "whole": {body: leads for body, (_part, leads) in bodies.items()}, "numbers": numbers,
            "marks": _marks(kit, at)}


def _marks(kit: Kit, at: Mapping[str, str]) -> dict[str, list[str]]:
    """Places or spares that an old mark or paint leads to, as typed without blanks and in capitals."""
    found: dict[str, list[str]] = {}
    for part in kit.parts:
        for text in filter(None, part.alias.split(",")):
            found.setdefault(code_key(text), []).append(at.get(part.id, part.id))
    return found
