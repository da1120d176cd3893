"""What each part can take and how long it is, by its own numbers: moisture, mended arms, measured length."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import get_args

from fieldapp.base.materials import Family
from fieldapp.base.moisture import moisture_factor
from fieldapp.kit.checklist import Checklist, Use
from fieldapp.kit.kit import Part
from fieldapp.log.state import PartState, State
from fieldapp.reports.parts.left import families, share_left

UNCERTAIN = 0.8
"""A watched part counts as this share of its strength when places are given out, so that it comes to sit
where little is asked. The statics of the stages take its strength as logged. Our choice."""


@dataclass(frozen=True, slots=True)
class Strength:
    """One part."""

    whole: float = 1.0
    """Part of the design's strength that its moisture, or damage of the whole part, leaves."""
    spots: tuple[tuple[int, float], ...] = ()
    """(arm or end as marked, share of a sound one), damaged or mended ones only; on top of `whole`."""
    trust: float = 1.0
    """Share that counts when places are given out."""
    off_mm: float = 0.0
    """Struts: how much longer than its cut length it was measured; 0 if it was not."""
    moisture_percent: float | None = None

    def at(self, spot: int) -> float:
        """What an arm or end can take, as a share of the design's."""
        return self.whole * dict(self.spots).get(spot, 1.0)

    @property
    def weakest(self) -> float:
        """The least of its arms or ends."""
        return self.whole * min((share for _, share in self.spots), default=1.0)

    @property
    def is_plain(self) -> bool:
        """True if all its arms or ends can take the same."""
        return not self.spots


SOUND = Strength()

USES: tuple[Use, ...] = get_args(Use)

WHOLE = 0
"""Stands for the whole part where a defect names no arm and no end."""


def part_strengths(state: State, checklist: Checklist, part_ids: Iterable[str] | None = None) -> dict[str, Strength]:
    """Of these parts, or all of them: their measured numbers, what open defects leave, what repairs state."""
    made_of, service_class = families(state.kit.design), state.kit.design.raising.service_class
    items = {(kind, use): checklist.item_of(kind, use) or "" for kind in made_of for use in USES}
    found = {}
    for part in state.all_parts() if part_ids is None else map(state.part, part_ids):
        past = state.parts[part.id]
        measured = {item: value for item, value, _ in past.measured}
        moisture_percent = measured.get(items[part.kind, "moisture"])
        dry = 1.0 if moisture_percent is None else moisture_factor(made_of[part.kind], moisture_percent, service_class)
        off_mm = _off_mm(part, measured.get(items[part.kind, "length"]))
        found[part.id] = replace(_by_log(past, dry, made_of[part.kind]), off_mm=off_mm,
                                 moisture_percent=moisture_percent)
    return found


def _off_mm(part: Part, length_mm: float | None) -> float:
    """Measured less designed length; 0 if it was not measured."""
    return 0.0 if length_mm is None or part.cut_length_mm is None else length_mm - part.cut_length_mm


def _by_log(past: PartState, dry: float, family: Family) -> Strength:
    """What defects, repairs and moisture leave; the worse of damage and damp counts for the whole part."""
    left = _defects_left(past, family)
    spots = {number: min(past.capacity_of(number), left.get(number, 1.0))
             for number in {*dict(past.capacity), *left} - {WHOLE}}
    reduced = tuple(sorted((number, share) for number, share in spots.items() if share < 1.0))
    return Strength(min(dry, left.get(WHOLE, 1.0)), reduced, UNCERTAIN if past.condition == "watch" else 1.0)


def _defects_left(past: PartState, family: Family) -> dict[int, float]:
    """Arm or end → the least share that its open defects leave."""
    left: dict[int, float] = {}
    for defect in past.defects:
        number = defect.arm or defect.end or WHOLE
        left[number] = min(left.get(number, 1.0), share_left(defect, family))
    return left
