"""What `kit.json` keeps of each part: all that its labels say, so that later makes can be held to it."""

from dataclasses import asdict, dataclass
from typing import Any

from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit, Part, PartKind


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
    arms: tuple[ArmRecord, ...]
    """Empty for struts and for spare hubs, whose class says it."""

    def as_json(self) -> dict[str, Any]:
        """The record as plain values, empty ones left out."""
        return {key: value for key, value in asdict(self).items() if value not in (None, ())}


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
        arms=tuple(ArmRecord(**arm) for arm in values.get("arms", ())),
    )


def _record(part: Part, frame: Frame) -> PartRecord:
    """The record of one part."""
    arms: tuple[ArmRecord, ...] = ()
    if part.kind == "hub" and part.made_for is not None:
        arms = tuple(ArmRecord(arm.strut, arm.end, round(arm.azimuth_deg, 4), round(arm.dip_deg, 4))
                     for arm in frame.hub(part.made_for).arms)
    cut_mm = None if part.cut_length_mm is None else round(part.cut_length_mm, 4)
    return PartRecord(part.id, part.kind, part.number, part.part_class, part.made_for, cut_mm, arms)
