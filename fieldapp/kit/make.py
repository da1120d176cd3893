"""What a design makes of a folder's kit: a new one, or the labelled one with parts added."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from fieldapp.frame.build import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.build import build_kit, check_stock, kit_of
from fieldapp.kit.file import KitRecord, has_kit, read_record
from fieldapp.kit.frozen import PartRecord, changed_answers, changed_parts, part_records, refuse_changes
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.parts import class_names, new_part, place_parts, spare_parts


@dataclass(frozen=True, slots=True)
class Made:
    """A kit as made, and what is new about it."""

    kit: Kit
    was_labelled: bool
    """True if the folder held a kit already."""
    added: tuple[Part, ...]
    """Parts added to a labelled kit."""
    answers: tuple[str, ...]
    """Answers that differ from those of the labelled kit and change no part."""


def made_kit(folder: Path, design: Design, made_on_site: Iterable[Part] = ()) -> Made:
    """The kit of a design, with the folder's labelled parts as they are; nothing is written.

    Parameters
    ----------
    folder : Path
        The kit's folder.
    design : Design
        Its design as it reads now.
    made_on_site : parts
        Parts that the log knows and `kit.json` does not: their numbers are taken.

    Raises
    ------
    DesignError
        If the design cannot be built.
    KitFrozenError
        If a labelled part would change.
    KitError
        If `kit.json` cannot be read.
    """
    if has_kit(folder):
        return _grown(read_record(folder), design, tuple(made_on_site))
    return Made(build_kit(design), was_labelled=False, added=(), answers=())


def _grown(labelled: KitRecord, design: Design, made_on_site: tuple[Part, ...]) -> Made:
    """The labelled kit with the spares that the design asks for now."""
    frame = build_frame(design)
    check_stock(design, frame)
    kept = kit_of(design, frame, _kept(labelled.parts, design, frame))
    answers = changed_answers(labelled.design, design)
    changes = changed_parts(labelled.parts, part_records(kept), labelled.design)
    refuse_changes(changes, len(labelled.parts), answers)
    added = spare_parts(design, frame, kept.parts, taken=made_on_site)
    return Made(kit_of(design, frame, (*kept.parts, *added)), was_labelled=True, added=added, answers=answers)


def _kept(labelled: Iterable[PartRecord], design: Design, frame: Frame) -> Iterable[Part]:
    """The labelled parts as this design builds them; a place beats a spare that has its number."""
    spares = (new_part(design, frame, part.kind, number=part.number, part_class=part.part_class)
              for part in labelled if part.made_for is None and part.part_class in class_names(frame, part.kind))
    by_id = {part.id: part for part in (*spares, *place_parts(design, frame))}
    return by_id.values()
