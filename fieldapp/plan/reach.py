"""Who reaches what: standing on the ground, on the step ladder or on the platform of the design."""

from dataclasses import dataclass

from fieldapp.base.constants import GRIP_REACH_WOMEN_5TH_MM, SHOES_MM
from fieldapp.base.said import Number, Said, say
from fieldapp.base.units import mm_from_m
from fieldapp.frame.design import CrewSection

GROUND = say("the ground")
PUBLISHED_GRIP_MM = GRIP_REACH_WOMEN_5TH_MM + SHOES_MM
"""Hubs up to here are in reach from the ground [mm]: the shorter published figure, since crews are mixed."""


@dataclass(frozen=True, slots=True)
class Aid:
    """Something to stand on."""

    name: Said
    standing_mm: float


@dataclass(frozen=True, slots=True)
class Reach:
    """How one height is reached."""

    reachable: bool
    stand_on: Said
    """What to stand on, or that nothing is high enough."""
    needed_mm: float
    """Standing height needed above the ground [mm]; 0 if the ground does."""


def aids(crew: CrewSection) -> tuple[Aid, ...]:
    """What the crew can stand on, lowest first; the ground is always among them."""
    found = [Aid(GROUND, 0.0)]
    if crew.ladder_m is not None:
        found.append(Aid(say("the step ladder"), mm_from_m(crew.ladder_m)))
    if crew.platform_m is not None:
        found.append(Aid(say("the platform"), mm_from_m(crew.platform_m)))
    return tuple(sorted(found, key=lambda aid: aid.standing_mm))


def grip_reach_mm(crew: CrewSection) -> float:
    """Reach from the ground: the crew's own figure, or the published one [mm]."""
    return PUBLISHED_GRIP_MM if crew.grip_m is None else mm_from_m(crew.grip_m)


def highest_grip_mm(crew: CrewSection) -> float:
    """The highest hub that everybody in the crew can work at [mm]."""
    return aids(crew)[-1].standing_mm + grip_reach_mm(crew)


def reach(height_mm: float, crew: CrewSection) -> Reach:
    """How a hub at `height_mm` is reached: by the lowest aid that is high enough.

    Source: (P14): DIN 33402-2:2005. Test: tests/plan/test_reach.py

    Notes
    -----
    Upward grip reach of the 5th percentile with shoes, so that nineteen of twenty reach as far; standing
    height is the height of the feet, already without the steps of a ladder that must not be stood on.

    Examples
    --------
    >>> in_words(reach(3300.0, CrewSection(ladder_m=1.2)).stand_on)
    'out of reach: needs a platform of 1.44 m or more'
    """
    needed_mm = max(0.0, height_mm - grip_reach_mm(crew))
    for aid in aids(crew):
        if aid.standing_mm >= needed_mm:
            stand_on = aid.name if aid.standing_mm == 0.0 else say(
                "{aid}, feet at {height} m or higher", aid=aid.name, height=_metres_up(needed_mm))
            return Reach(True, stand_on, needed_mm)
    return Reach(False, say("out of reach: needs a platform of {height} m or more", height=_metres_up(needed_mm)),
                 needed_mm)


def _metres_up(height_mm: float) -> Number:
    """Height in metres, rounded up to the next centimetre: never promise too low a platform."""
    return Number(-(-round(height_mm, 3) // 10) / 100, 2)
