"""Which kit a log is of: a mark that it carries, the same on every laptop of that kit."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log.entry import Entry

IN_PLACE = "Put the log of this kit there; or move that one away, and raisebook begins a new log"
"""What to do about a kit folder's log that is another kit's."""
CHOOSE = "Choose the file of this kit"
"""What to do about a file that was named."""

SAME_LENGTH = 0.02
"""Cut lengths that differ by less, as a share, are those of one kit: a labelled kit's may drift within tolerance."""


@dataclass(frozen=True, slots=True)
class KitMark:
    """What tells a kit from others. Spares, crew and site do not count: they may change in a kit's life."""

    prefix: str
    name: str
    """For people; two kits may share it."""
    places: str
    """SHA-256 of the parts made for places: IDs and classes."""
    lengths_mm: Mapping[str, float]
    """Cut length of each class of strut."""


def mark_of(kit: Kit) -> KitMark:
    """The mark of a kit."""
    placed = [part for part in kit.parts if part.made_for is not None]
    said = "\n".join(f"{part.id} {part.made_for} {part.part_class}" for part in placed)
    lengths = {part.part_class: round(part.cut_length_mm, 2) for part in placed if part.cut_length_mm is not None}
    frame = kit.design.frame
    return KitMark(frame.prefix, frame.name, hashlib.sha256(said.encode()).hexdigest(), dict(sorted(lengths.items())))


def mark_text(mark: KitMark) -> str:
    """The mark as JSON; the same mark gives the same text."""
    return json.dumps(asdict(mark), ensure_ascii=False, separators=(",", ":"))


def mark_from(values: object) -> KitMark:
    """The mark of its plain values; ValueError if they are none."""
    if not isinstance(values, dict) or not isinstance(values.get("lengths_mm"), dict):
        raise ValueError(f"{values!r} is no mark of a kit")
    texts = [values.get(name) for name in ("prefix", "name", "places")]
    lengths = values["lengths_mm"]
    if not all(isinstance(text, str) for text in texts) or not all(isinstance(mm, int | float) and mm > 0
                                                                   for mm in lengths.values()):
        raise ValueError(f"{values!r} is no mark of a kit")
    prefix, name, places = map(str, texts)
    return KitMark(prefix, name, places, {str(part_class): float(mm) for part_class, mm in lengths.items()})


def refuse_other_kit(kit: Kit, mark: KitMark, what: str, then: str = CHOOSE) -> None:
    """StoreError if `what`, which carries the mark, is not of this kit; `then` says what to do."""
    own = mark_of(kit)
    if mark.prefix != own.prefix:
        raise StoreError(f"{what} is of kit {mark.prefix} ({mark.name}), this is kit {own.prefix} ({own.name}). {then}")
    difference = "its hubs and struts are others" if mark.places != own.places else _other_length(mark, own)
    if difference:
        raise StoreError(f"{what} is of another kit {mark.prefix} ({mark.name}): {difference}. {then}")


def refuse_strangers(kit: Kit, entries: Iterable[Entry], what: str, then: str = CHOOSE) -> None:
    """StoreError if entries that carry no mark are about parts that this kit has not."""
    log = tuple(entries)
    known = kit.by_id.keys() | {entry.part for entry in log if entry.kind in ("made", "borrowed")}
    strangers = sorted({entry.part for entry in log if entry.part is not None and entry.part not in known})
    if strangers:
        own = mark_of(kit)
        raise StoreError(f"{what} is of another kit: it tells of parts that kit {own.prefix} ({own.name}) has not, "
                         f"{len(strangers)} of them, first {strangers[0]}. {then}")


def _other_length(mark: KitMark, own: KitMark) -> str:
    for name, own_mm in own.lengths_mm.items():
        mm = mark.lengths_mm.get(name, own_mm)
        if abs(mm - own_mm) > SAME_LENGTH * own_mm:
            return f"its struts of class {name} are {mm:.0f} mm long, those of this kit {own_mm:.0f} mm"
    return ""
