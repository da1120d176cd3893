"""A labelled kit is never renumbered: a new build is held against the parts that carry labels.

What may change is what labels do not say: names, crew, raising, labels, the site's address, values
of materials and masses. Spares may be added; none is ever taken away.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from textwrap import wrap
from typing import Any

from fieldapp.base.errors import KitFrozenError
from fieldapp.frame.design import Design
from fieldapp.frame.design_file import SECTIONS
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import table_of
from fieldapp.kit.kit import Kit, Part, PartKind

LINE_WIDTH = 110
"""Characters of a line (in no formula)."""
GO_ON = ("To go on: put the old answers back; or, to add parts, raise the counts in [spares]; or begin a new kit in "
         "another folder with another prefix (raisebook new). If no label was printed and no part made yet, delete "
         "kit.json and run the command again.")


@dataclass(frozen=True, slots=True)
class ArmRecord:
    """One arm of a hub made for a place."""

    strut: str
    end: int
    azimuth_deg: float
    dip_deg: float


@dataclass(frozen=True, slots=True)
class PartRecord:
    """One part as labelled. Angles are kept to 0.0001°, lengths to 0.0001 mm."""

    id: str
    kind: PartKind
    number: int
    part_class: str
    made_for: str | None
    cut_length_mm: float | None
    section: str
    """Name of a strut's own [struts.NAME]; "" is [strut]."""
    arms: tuple[ArmRecord, ...]
    """Empty for struts and for spare hubs, whose class says it."""
    alias: str = ""
    own_mark: bool = False

    def as_json(self) -> dict[str, Any]:
        """The record as plain values, empty ones left out."""
        return {key: value for key, value in asdict(self).items() if value not in (None, (), "") and value is not False}


def part_records(kit: Kit) -> tuple[PartRecord, ...]:
    """The records of all parts, in the kit's order."""
    return tuple(_record(part, kit.frame) for part in kit.parts)


def record_of(values: dict[str, Any]) -> PartRecord:
    """The record of plain values.

    Raises
    ------
    KeyError, TypeError, ValueError
        If they are not those of a part.
    """
    cut_mm = values.get("cut_length_mm")
    kind = values["kind"]
    if kind not in ("hub", "strut") or (kind == "strut") != (cut_mm is not None):
        raise ValueError(f"{values['id']} is no hub and no strut")
    return PartRecord(
        id=str(values["id"]), kind=kind, number=int(values["number"]), part_class=str(values["part_class"]),
        made_for=values.get("made_for"), cut_length_mm=None if cut_mm is None else float(cut_mm),
        section=str(values.get("section", "")),
        arms=tuple(ArmRecord(**arm) for arm in values.get("arms", ())),
        alias=str(values.get("alias", "")), own_mark=values.get("own_mark") is True,
    )


def with_marks(parts: Iterable[Part], records: Iterable[PartRecord]) -> Iterator[Part]:
    """The parts with what the records say that they carried before."""
    said = {record.id: record for record in records if record.alias or record.own_mark}
    for part in parts:
        record = said.get(part.id)
        yield replace(part, alias=record.alias, own_mark=record.own_mark) if record else part


def _record(part: Part, frame: Frame) -> PartRecord:
    """The record of one part."""
    arms: tuple[ArmRecord, ...] = ()
    if part.kind == "hub" and part.made_for is not None:
        arms = tuple(ArmRecord(arm.strut, arm.end, round(arm.azimuth_deg, 4), round(arm.dip_deg, 4))
                     for arm in frame.hub(part.made_for).arms)
    cut_mm = None if part.cut_length_mm is None else round(part.cut_length_mm, 4)
    section = frame.strut_class(part.part_class).section if part.kind == "strut" else ""
    return PartRecord(part.id, part.kind, part.number, part.part_class, part.made_for, cut_mm, section, arms,
                      part.alias, part.own_mark)


def changed_parts(labelled: Iterable[PartRecord], built: Iterable[PartRecord], design: Design
                  ) -> dict[str, str]:
    """What would change of each labelled part, by its ID: "cut length 925.57 → 905.57 mm".

    Parameters
    ----------
    labelled, built : PartRecord
        As they stand in the file, and as they come out now.
    design : Design
        The labelled one; its tolerances say what counts as the same.
    """
    now = {record.id: record for record in built}
    changes = {record.id: ", ".join(_changes(record, now.get(record.id), design)) for record in labelled}
    return {part_id: words for part_id, words in changes.items() if words}


def refuse_changes(changes: Mapping[str, str], count: int, answers: tuple[str, ...]) -> None:
    """KitFrozenError if there are any changes.

    Parameters
    ----------
    changes
        From `changed_parts`.
    count : int
        Number of labelled parts.
    answers
        From `changed_answers`.
    """
    if not changes:
        return
    listed = "\n".join(_listed(changes))
    answers = tuple(text for text in answers if text.startswith(("frame.", "strut.", "struts.", "hub.", "strength.")))
    said = f"Answers that changed: {'; '.join(answers)}.\n" if answers else ""
    raise KitFrozenError(f"kit.json: {len(changes)} of {count} labelled parts would change; allowed is none, so "
                         f"nothing was written.\n{listed}\n{said}{GO_ON}")


def _listed(changes: Mapping[str, str]) -> Iterator[str]:
    """Every part by what would change of it; parts that change alike share their lines."""
    alike: dict[str, list[str]] = {}
    for part_id, words in changes.items():
        alike.setdefault(words, []).append(part_id)
    for words, part_ids in alike.items():
        yield f"  {words}:"
        yield from wrap(", ".join(part_ids), LINE_WIDTH, initial_indent="    ", subsequent_indent="    ",
                        break_on_hyphens=False)


def changed_answers(old: Design, new: Design) -> tuple[str, ...]:
    """Answers that differ: "hub.reach_mm was 95, is 75"."""
    found = []
    for section in SECTIONS:
        before, after = getattr(old, section), getattr(new, section)
        for key in type(before).model_fields:
            was, now = getattr(before, key), getattr(after, key)
            if was != now:
                found.append(f"{section}.{key} was {_shown(was)}, is {_shown(now)}")
    return (*found, *_changed_sections(old, new))


def _changed_sections(old: Design, new: Design) -> Iterator[str]:
    """The same of [struts.NAME], in the order of the new ones."""
    before, after = ({of.name: of for of in design.struts} for design in (old, new))
    for name in dict.fromkeys((*after, *before)):
        table = table_of(name)
        if name not in before or name not in after:
            was_given, is_given = ("given" if name in of else "not given" for of in (before, after))
            yield f"{table} was {was_given}, is {is_given}"
            continue
        for key in type(after[name]).model_fields:
            was, now = getattr(before[name], key), getattr(after[name], key)
            if was != now:
                yield f"{table}.{key} was {_shown(was)}, is {_shown(now)}"


def _changes(old: PartRecord, new: PartRecord | None, design: Design) -> Iterator[str]:
    """What differs between a labelled part and the same ID now."""
    if new is None:
        yield "would be gone"
        return
    if old.made_for != new.made_for:
        yield f"made for {old.made_for or 'no place'} → {new.made_for or 'no place'}"
    if old.part_class != new.part_class:
        yield f"class {old.part_class} → {new.part_class}"
    if old.section != new.section:
        yield f"section {table_of(old.section)} → {table_of(new.section)}"
    was_mm, is_mm = old.cut_length_mm or 0.0, new.cut_length_mm or 0.0
    if abs(was_mm - is_mm) > design.frame.tolerance_mm:
        yield f"cut length {was_mm:.2f} → {is_mm:.2f} mm"
    if old.made_for == new.made_for:
        yield from _arm_changes(old.arms, new.arms, design.frame.tolerance_deg)


def _arm_changes(old: tuple[ArmRecord, ...], new: tuple[ArmRecord, ...], tolerance_deg: float) -> Iterator[str]:
    """What differs between the arms of a hub; the first that does."""
    if len(old) != len(new):
        yield f"{len(old)} → {len(new)} arms"
        return
    for number, (was, now) in enumerate(zip(old, new, strict=True), start=1):
        turn_deg = abs((was.azimuth_deg - now.azimuth_deg + 180.0) % 360.0 - 180.0)
        if (was.strut, was.end) != (now.strut, now.end):
            yield f"arm {number} holds {was.strut} → {now.strut}"
            return
        if turn_deg > tolerance_deg or abs(was.dip_deg - now.dip_deg) > tolerance_deg:
            yield f"arm {number} points elsewhere"
            return


def _shown(value: object) -> str:
    """An answer in short."""
    if value is None:
        return "not given"
    return f"{value:g}" if isinstance(value, float) else str(value)
