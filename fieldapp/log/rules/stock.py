"""Rules for the kit as a heap of parts: missing, found, made, stored, labelled."""

from fieldapp.base.errors import KitError
from fieldapp.base.said import Said, say
from fieldapp.kit.kit import Part, kind_said
from fieldapp.kit.parts import next_part
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import FoundData, LabelData, MadeData, MissingData, StoredData
from fieldapp.log.rules.terms import Admitted, Asked


def missing(asked: Asked, data: MissingData) -> Admitted | Refusal:
    """What sits in the frame is not missing."""
    name = asked.called(asked.part.id)
    if asked.past.fitted_at is not None:
        return refuse("still_fitted", "{part} sits at place {place} ({said}), so it is not missing.",
                      "If it is not there, take it down first.", part=name, place=asked.past.fitted_at,
                      said=asked.when_and_who(asked.past.fitted_by))
    if asked.past.missing:
        return refuse("missing_already", "{part} is logged as missing already.", "Nothing more to do.", part=name)
    return Admitted(asked.part.id, None, data)


def found(asked: Asked, data: FoundData) -> Admitted | Refusal:
    """Only what was missing is found."""
    if not asked.past.missing:
        return refuse("not_missing", "{part} was not missing.", "Nothing more to do.", part=asked.called(asked.part.id))
    return Admitted(asked.part.id, None, data, _told(asked, "missing"))


def label_reprinted(asked: Asked, data: LabelData) -> Admitted | Refusal:
    """Any part may have a new label."""
    return Admitted(asked.part.id, asked.past.fitted_at, data, _told(asked, "label_gone"))


def _told(asked: Asked, what: str) -> tuple[str, ...]:
    """The entries that told so, as far as the sender has seen them."""
    return asked.seen(asked.past.told_of(what))


def made(asked: Asked, data: MadeData) -> Admitted | Refusal:
    """A free number of its kind that no other laptop gives; for a place only if the class is right."""
    kit, place = asked.site.kit, asked.request.place
    if place is not None:
        needed = kit.by_place.get(place)
        if needed is None or (needed.kind, needed.part_class) != (data.kind, data.part_class):
            takes = _takes(needed)
            return refuse("other_class", "place {place} {takes}, not a {kind} of class {part_class}.",
                          "Choose the right class, or make it for no place.", place=place, takes=takes,
                          kind=kind_said(data.kind), part_class=data.part_class)
    try:
        part = next_part(kit, data.kind, data.part_class, asked.state.made.values(),
                         laptop=asked.site.laptop)
    except KitError as error:
        return Refusal(error.message, code="no_such_class")
    return Admitted(part.id, place, MadeData(kind=part.kind, part_class=part.part_class, number=part.number,
                                             mass_kg=part.mass_kg, cut_length_mm=part.cut_length_mm))


def _takes(needed: Part | None) -> Said:
    """What a place takes."""
    if needed is None:
        return say("is not in this frame")
    return say("takes a hub of class {name}", name=needed.part_class) if needed.kind == "hub" else \
        say("takes a strut of class {name}", name=needed.part_class)


def stored(asked: Asked, data: StoredData) -> Admitted | Refusal:
    """Into a bundle; at the strike a part still logged in the frame comes out of it by that."""
    if asked.past.fitted_at is not None and asked.state.phase == "raising":
        return refuse("still_fitted", "{part} sits at place {place} and the frame is being raised.",
                      "Take it down first, or ask the chief to start the strike.", part=asked.called(asked.part.id),
                      place=asked.past.fitted_at)
    if "dry" in data.came_in and "wet" in data.came_in:
        return refuse("wet_or_dry", "{part} came in dry and wet at once.", "Choose one of the two.",
                      part=asked.called(asked.part.id))
    return Admitted(asked.part.id, asked.past.fitted_at, data)
