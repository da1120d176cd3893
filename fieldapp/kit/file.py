"""`kit.json`: the design and every labelled part; and what a design makes of it, new or with parts added."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fieldapp.base.errors import DesignError, KitError
from fieldapp.base.json_text import from_json
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.design_file import design_of, read_design
from fieldapp.frame.frame import Frame
from fieldapp.kit import build_kit, check_stock, kit_of
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.frozen import (
    PartRecord,
    changed_answers,
    changed_parts,
    part_records,
    record_of,
    refuse_changes,
    with_marks,
)
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.parts import class_names, new_part, place_parts, spare_parts

FORMAT = 1
"""Version of the format (in no formula)."""
KIT_FILE = "kit.json"
DESIGN_FILE = "design.toml"

RESTORE = "Restore the file from a backup; it was not touched."


@dataclass(frozen=True, slots=True)
class KitRecord:
    """What the file says."""

    design: Design
    parts: tuple[PartRecord, ...]


def kit_text(kit: Kit) -> str:
    """The text of `kit.json`: the same kit gives the same text."""
    parts = ",\n".join(f"  {json.dumps(record.as_json(), ensure_ascii=False)}" for record in part_records(kit))
    design = json.dumps(kit.design.model_dump(mode="json", exclude=_unsaid(kit.design)), ensure_ascii=False, indent=1)
    return f'{{"format": {FORMAT},\n"design": {design},\n"parts": [\n{parts}\n]}}\n'


def _unsaid(design: Design) -> dict[str, Any]:
    """What a design leaves out that says nothing of it: an older program reads the rest."""
    given = design.given
    empty = {} if given is None else {key: True for key in ("sections", "classes") if not getattr(given, key)}
    return {**({} if design.struts else {"struts": True}), **({"given": True} if given is None else {}),
            **({"given": empty} if empty else {})}


def write_kit(folder: Path, kit: Kit) -> None:
    """Write `kit.json` whole or not at all."""
    write_atomic(folder / KIT_FILE, kit_text(kit).encode())


def read_kit(folder: Path) -> Kit:
    """The kit of a folder: frame and parts built anew from its design, and held against its parts.

    Raises
    ------
    KitError
        If the folder holds no kit, or `kit.json` is unreadable, damaged, newer than this program or
        does not agree with its own design.
    """
    record = read_record(folder)
    try:
        kit = _kit(record)
    except (DesignError, KitError) as error:
        raise KitError(f"{KIT_FILE} does not hold together: {error} {RESTORE}") from error
    changes = changed_parts(record.parts, part_records(kit), record.design)
    for part_id, words in changes.items():
        raise KitError(f"{KIT_FILE} does not agree with its own design in {len(changes)} parts, first {part_id} "
                       f"({words}). {RESTORE}")
    return kit


def kit_folders(given: Iterable[Path]) -> tuple[Path, ...]:
    """The folders of kits among those given, and those that lie in one of them; each once, in this order.

    Raises
    ------
    KitError
        If one of them is no kit and holds none.
    """
    found: dict[Path, None] = {}
    for folder in given:
        inside = [folder] if (folder / KIT_FILE).is_file() else \
            sorted(path.parent for path in folder.glob(f"*/{KIT_FILE}"))
        if not inside:
            raise KitError(f"{folder} holds no kit, and neither do the folders in it. Name folders that raisebook make "
                           f"has written, or the folder that they lie in.")
        found.update(dict.fromkeys(path.resolve() for path in inside))
    return tuple(found)


def has_kit(folder: Path) -> bool:
    """True if the folder holds a `kit.json`."""
    return (folder / KIT_FILE).exists()


UP_WAS = "z"
"""The axis that pointed upward in kits made before it was asked of every file of a frame (in no formula)."""


def folder_design(folder: Path) -> Design:
    """The design in a folder, as it is answered now; DesignError as `read_design`."""
    return read_design(folder / DESIGN_FILE, up_was=UP_WAS if has_kit(folder) else None)


def read_record(folder: Path) -> KitRecord:
    """What `kit.json` says, before anything is built of it.

    Raises
    ------
    KitError
        As `read_kit`.
    """
    values = _values(_text(folder))
    try:
        parts = tuple(record_of(item) for item in values["parts"])
        return KitRecord(design_of(values["design"], source=KIT_FILE), parts)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise KitError(f"{KIT_FILE} is not a kit: {_reason(error)}. {RESTORE}") from error
    except DesignError as error:
        raise KitError(f"{error} {RESTORE}") from error


def _text(folder: Path) -> str:
    """The file's text."""
    path = folder / KIT_FILE
    if not path.exists():
        designed = (folder / DESIGN_FILE).is_file()
        what_next = f"run: raisebook make {folder}" if designed else f"begin one with: raisebook new {folder}"
        raise KitError(f"{folder} is not a kit folder: it has no {KIT_FILE}. Check the path, or {what_next}")
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise KitError(f"{path} cannot be read: {error.strerror}. Check the permissions of the file.") from error
    except UnicodeDecodeError as error:
        raise KitError(f"{KIT_FILE} is not text (byte {error.start}). {RESTORE}") from error


def _values(text: str) -> dict[str, Any]:
    """The file's values, if this program knows the format."""
    try:
        values = from_json(text)
    except json.JSONDecodeError as error:
        ends = "ends too early" if error.pos >= len(text.rstrip()) or "Unterminated" in error.msg else "is damaged"
        raise KitError(f"{KIT_FILE} {ends} (line {error.lineno}: {error.msg}). {RESTORE}") from error
    except ValueError as error:
        raise KitError(f"{KIT_FILE} is damaged ({error}). {RESTORE}") from error
    found = values.get("format") if isinstance(values, dict) else None
    if not isinstance(values, dict) or not isinstance(found, int):
        raise KitError(f"{KIT_FILE} is not a kit: it says no format number. {RESTORE}")
    if found > FORMAT:
        raise KitError(f"{KIT_FILE} has format {found}, but this raisebook reads formats up to {FORMAT}. "
                       f"Update raisebook on this computer; the file was not touched.")
    return values


def _kit(record: KitRecord) -> Kit:
    """Frame and parts built anew."""
    frame = build_frame(record.design)
    spares = [new_part(record.design, frame, part.kind, number=part.number, part_class=part.part_class)
              for part in record.parts if part.made_for is None]
    return kit_of(record.design, frame, with_marks((*place_parts(record.design, frame), *spares), record.parts))


def _reason(error: Exception) -> str:
    """A program's word on a wrong value, in short."""
    return f"{error} is missing" if isinstance(error, KeyError) else str(error)


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


def _kept(labelled: Sequence[PartRecord], design: Design, frame: Frame) -> Iterable[Part]:
    """The labelled parts as this design builds them; a place beats a spare that has its number."""
    spares = (new_part(design, frame, part.kind, number=part.number, part_class=part.part_class)
              for part in labelled if part.made_for is None and part.part_class in class_names(frame, part.kind))
    by_id = {part.id: part for part in (*spares, *place_parts(design, frame))}
    return tuple(with_marks(by_id.values(), labelled))
