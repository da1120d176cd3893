"""Whether a part made for one place fits another: how a hub must be turned, or what is in the way."""

import math
from dataclasses import dataclass

from fieldapp.base.said import Number, Said, say
from fieldapp.base.units import deg_from_rad, rad_from_deg
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.sections import section_words


@dataclass(frozen=True, slots=True)
class Turn:
    """One way to sit: which arm of the part comes where which arm of the place belongs."""

    arms: tuple[tuple[int, int], ...]
    """(part's arm, place's arm), by the part's arm numbers."""
    off_deg: float
    """Largest angle by which an arm then misses its direction [deg]."""

    def place_arm(self, part_arm: int) -> int:
        """The place's arm at which an arm of the part comes to lie; KeyError if the part has no such arm."""
        return dict(self.arms)[part_arm]

    @property
    def keeps_numbers(self) -> bool:
        """True if every arm comes to lie at the arm with its own number."""
        return all(part_arm == place_arm for part_arm, place_arm in self.arms)


Directions = tuple[tuple[float, float], ...]
"""(azimuth, dip) of each arm, clockwise [deg]."""


def hub_turns(kit: Kit, part: Part, place: str) -> tuple[Turn, ...]:
    """All ways in which a hub of the right class sits at a hub place, the closest fit first.

    Parameters
    ----------
    kit : Kit
    part : Part
        A hub. Its arms are numbered as at the place that it was made for; those of a spare as its
        class's pattern.
    place : str
        A hub place.

    Returns
    -------
    tuple of Turn
        As many as the class has symmetry; empty if the part is of another class.

    Raises
    ------
    FrameError
        If there is no such hub place.
    """
    hub = kit.frame.hub(place)
    if part.kind != "hub" or part.part_class != hub.hub_class:
        return ()
    symmetry = next(c.symmetry for c in kit.frame.hub_classes if c.name == hub.hub_class)
    found = _all_turns(arm_directions(kit, part), _directions_at(kit, place))
    return tuple(sorted(found, key=lambda turn: (round(turn.off_deg, 6), turn.arms))[:symmetry])


def difference(kit: Kit, part: Part, place: str) -> Said | None:
    """What is in the way of a part at a place; None if it is of the right class.

    "35 mm too long", "mirror image of this hub", "arm 3 points 4.2° elsewhere", "5 arms where 6 belong".

    Raises
    ------
    FrameError
        If there is no such place.
    """
    wanted_kind = "hub" if place.startswith("H") else "strut"
    if part.kind != wanted_kind:
        return say("a hub where a strut belongs") if part.kind == "hub" else say("a strut where a hub belongs")
    return _strut_difference(kit, part, place) if part.kind == "strut" else _hub_difference(kit, part, place)


def _strut_difference(kit: Kit, part: Part, place: str) -> Said | None:
    """A strut that is too long or too short."""
    if part.part_class == kit.frame.strut(place).strut_class:
        return None
    if other_section(kit, part, place):
        belongs = kit.section_of(kit.frame.strut(place).strut_class)
        return say("a strut of another section: {is_now} where {belongs} belongs",
                   is_now=section_words(kit.strut_of(part)), belongs=section_words(belongs))
    over_mm = longer_by_mm(kit, part, place)
    size = Number(abs(over_mm), 0 if abs(over_mm) >= 10.0 else 1)
    return say("{mm} mm too long", mm=size) if over_mm > 0.0 else say("{mm} mm too short", mm=size)


def other_section(kit: Kit, part: Part, place: str) -> bool:
    """Whether a strut is of another section than belongs at a strut place: it never stands in, however long it is."""
    return kit.frame.strut_class(part.part_class).section != kit.frame.class_of(place).section


def longer_by_mm(kit: Kit, part: Part, place: str) -> float:
    """By how much a strut's class is longer than the one that belongs at a place. [mm]"""
    return kit.frame.strut_class(part.part_class).centre_length_mm - kit.frame.class_of(place).centre_length_mm


def _hub_difference(kit: Kit, part: Part, place: str) -> Said | None:
    """A hub whose arms are too many or too few, point elsewhere, or point the other way round."""
    wanted = kit.frame.hub(place).hub_class
    if part.part_class == wanted:
        return None
    mirrors = {c.name: c.mirror for c in kit.frame.hub_classes}
    if mirrors[wanted] == part.part_class:
        return say("mirror image of this hub")
    has, needs = arm_directions(kit, part), _directions_at(kit, place)
    if len(has) != len(needs):
        return say("{has} arms where {needed} belong", has=len(has), needed=len(needs))
    best = min(_all_turns(has, needs), key=lambda turn: turn.off_deg)
    return say("arm {arm} points {deg}° elsewhere", arm=_worst_arm(has, needs, best), deg=Number(best.off_deg, 1))


def arm_directions(kit: Kit, part: Part) -> Directions:
    """Arms of a part as numbered on it."""
    if part.arms:
        return part.arms
    if part.made_for is not None:
        return _directions_at(kit, part.made_for)
    pattern = next(c for c in kit.frame.hub_classes if c.name == part.part_class)
    azimuths_deg = [sum(pattern.gaps_deg[:i]) for i in range(len(pattern.gaps_deg))]
    return tuple(zip(azimuths_deg, pattern.dips_deg, strict=True))


def _directions_at(kit: Kit, place: str) -> Directions:
    """Arms of a hub place."""
    return tuple((arm.azimuth_deg, arm.dip_deg) for arm in kit.frame.hub(place).arms)


def _all_turns(has: Directions, needs: Directions) -> list[Turn]:
    """Every assignment of arms that keeps their order round the hub."""
    count = len(needs)
    turns = []
    for shift in range(count):
        at = [(i + shift) % count for i in range(count)]
        off_deg = max(_misses_deg(has, tuple(needs[k] for k in at)))
        turns.append(Turn(tuple((i + 1, k + 1) for i, k in enumerate(at)), off_deg))
    return turns


def _worst_arm(has: Directions, needs: Directions, turn: Turn) -> int:
    """The part's arm that misses its direction most."""
    misses = _misses_deg(has, tuple(needs[place_arm - 1] for _, place_arm in turn.arms))
    return misses.index(max(misses)) + 1


def _misses_deg(has: Directions, needs: Directions) -> list[float]:
    """Angle between each arm and where it belongs, the hub turned for the least of the largest azimuth error."""
    errors = [(b[0] - a[0] + 180.0) % 360.0 - 180.0 for a, b in zip(has, needs, strict=True)]
    errors = [errors[0] + (error - errors[0] + 180.0) % 360.0 - 180.0 for error in errors]
    middle = (max(errors) + min(errors)) / 2.0
    return [round(_angle_deg(error - middle, a[1], b[1]), 6) for error, a, b in zip(errors, has, needs, strict=True)]


def _angle_deg(turn_deg: float, dip_1_deg: float, dip_2_deg: float) -> float:
    """Angle between two directions that differ by `turn_deg` in azimuth (haversine form, exact for small angles)."""
    turn, dip_1, dip_2 = (rad_from_deg(value) for value in (turn_deg, dip_1_deg, dip_2_deg))
    h = math.sin((dip_2 - dip_1) / 2.0) ** 2 + math.cos(dip_1) * math.cos(dip_2) * math.sin(turn / 2.0) ** 2
    return deg_from_rad(2.0 * math.asin(min(1.0, math.sqrt(h))))
