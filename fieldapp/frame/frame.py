"""The frame as designed: places for hubs and struts, their arms and classes. No parts, no loads."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fieldapp.base.errors import FrameError
from fieldapp.base.words import marked

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Arm:
    """One connection of a hub; numbered clockwise seen from outside, starting at straight up.

    At a hub whose outside faces straight up (the crown), "up" points away from the front mark.
    """

    number: int
    strut: str
    end: int
    """Which end of `strut` sits on this arm: 1 or 2."""
    azimuth_deg: float
    """Clockwise from straight up, as seen from outside, 0 ≤ a < 360 [deg]."""
    dip_deg: float
    """Below the hub's tangent plane, positive inward [deg]."""


@dataclass(frozen=True, slots=True)
class HubPlace:
    """One hub position, e.g. `H22`."""

    name: str
    level: int
    """1 on the ground, counted in struts from there."""
    number_in_level: int
    """From 1, clockwise seen from above, starting at the front mark."""
    hub_class: str
    arms: tuple[Arm, ...]
    on_ground: bool

    def arm_at(self, strut: str) -> Arm:
        """The arm that carries `strut`; KeyError if none does."""
        for arm in self.arms:
            if arm.strut == strut:
                return arm
        raise KeyError(strut)


@dataclass(frozen=True, slots=True)
class StrutEnd:
    """Where one end of a strut goes: the hub place and its arm number."""

    hub: str
    arm: int


@dataclass(frozen=True, slots=True)
class StrutPlace:
    """One strut position, e.g. `S073`; end 1 is the lower one (tie: first met going clockwise)."""

    name: str
    end_1: StrutEnd
    end_2: StrutEnd
    strut_class: str
    centre_length_mm: float

    def end(self, number: int) -> StrutEnd:
        """End 1 or 2."""
        return self.end_1 if number == 1 else self.end_2

    def end_at(self, hub: str) -> int:
        """1 or 2: the end that sits at `hub`; KeyError if neither does."""
        if self.end_1.hub == hub:
            return 1
        if self.end_2.hub == hub:
            return 2
        raise KeyError(hub)


@dataclass(frozen=True, slots=True)
class StrutClass:
    """Struts that are interchangeable within the tolerance; lettered by length, shortest first."""

    letter: str
    centre_length_mm: float
    count: int
    bands: int
    """A one band, B two …"""
    section: str = ""
    """Name of its [struts.NAME] in the design; "" is [strut]."""
    drawn_as: str = ""
    """What the file of the frame calls it; "" where it calls it nothing."""


@dataclass(frozen=True, slots=True)
class HubClass:
    """Congruent arm patterns. A mirror pair shares its number: `5L` and `5R`."""

    name: str
    mirror: str | None
    """Name of the mirror-image class if the pattern differs from its mirror image (handed)."""
    gaps_deg: tuple[float, ...]
    """Angles between neighbouring arms, clockwise seen from outside, from the pattern's own arm 1 [deg]."""
    dips_deg: tuple[float, ...]
    symmetry: int
    """In how many turned positions the pattern fits on itself (1 = only one)."""
    count: int

    @property
    def handed(self) -> str | None:
        """"left", "right" or None."""
        return {"L": "left", "R": "right"}.get(self.name[-1]) if self.mirror else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapeWords:
    """What people call the levels and the top of one shape: English as written, to be filled and translated."""

    ground: str
    """The lowest level."""
    level: str
    """Any other, counted in words; gap ordinal."""
    numbered: str
    """Any other, by its number; gap n."""
    top: str
    """The level of the single hub at the top."""
    topmost: str
    """That hub."""
    number: str
    """Which of its level a hub is; gap n."""
    whole: str
    """A link to all of a level."""
    walk: str
    """The heading over a list of all levels."""
    bag: str
    """The headline on the label of a bag or bundle; gap n."""
    chart: str
    """The poster with a box for every step."""
    parts: str
    """The chapter of the booklet that lists all parts."""
    stack: str
    """What to do with a part that was taken down."""
    gaps: str
    """What matching struts by their lengths brings; gaps now, before."""


DRAWN_WORDS = ShapeWords(
    ground=marked("ground level"), level=marked("{ordinal} level"), numbered=marked("level {n}"), top=marked("top"),
    topmost=marked("the topmost hub"), number=marked("Number {n} on its level"), whole=marked("The whole level"),
    walk=marked("Walk through the levels"), bag=marked("LEVEL {n}"), chart=marked("Chart of steps"),
    parts=marked("Parts by level"),
    stack=marked("Look at each part, wipe it, tick it, stack it by level. Damage goes on a form and into the log."),
    gaps=marked("Struts are matched by their measured lengths: levels close with gaps of {now} mm instead of {before} "
                "mm."))
DOME_WORDS = ShapeWords(
    ground=marked("ground ring"), level=marked("{ordinal} ring"), numbered=marked("ring {n}"), top=marked("crown"),
    topmost=marked("crown, the topmost hub"), number=marked("Number {n} in its ring"), whole=marked("The whole ring"),
    walk=marked("Walk through the rings"), bag=marked("RING {n}"), chart=marked("Ring chart"),
    parts=marked("Parts by ring"),
    stack=marked("Look at each part, wipe it, tick it, stack it by ring. Damage goes on a form and into the log."),
    gaps=marked("Struts are matched by their measured lengths: rings close with gaps of {now} mm instead of {before} "
                "mm."))


@dataclass(frozen=True, slots=True)
class Frame:
    """The whole shape. Arrays follow the order of `hubs` and `struts` and are read-only.

    x to the right and y away from the person who stands at the front mark looking in, z upward,
    lowest hub at z = 0; the front mark lies in the direction −y. "Clockwise seen from above" from
    the front mark goes by −x.
    """

    hubs: tuple[HubPlace, ...]
    struts: tuple[StrutPlace, ...]
    hub_classes: tuple[HubClass, ...]
    strut_classes: tuple[StrutClass, ...]
    nodes_mm: FloatArray
    """(n, 3) hub centres [mm]."""
    outward: FloatArray
    """(n, 3) unit vectors, outside of each hub."""
    ends: IntArray
    """(m, 2) hub indices of end 1 and end 2 of each strut."""
    faces: IntArray
    """(k, 3) hub indices of each triangle, anticlockwise seen from outside."""
    centre_mm: tuple[float, float, float]
    """Centre of the sphere; of a drawn frame, of the ball round it [mm]."""
    radius_mm: float
    """Of that sphere or ball [mm]."""
    hub_index: dict[str, int] = field(repr=False, compare=False)
    strut_index: dict[str, int] = field(repr=False, compare=False)
    words: ShapeWords = DOME_WORDS
    drawn: bool = False
    """True for a vault and for a frame from a file: it need not be round, and its plan is a plan as it stands."""
    seen_from: str = "outside"
    """From where hubs are looked at: "outside", "above" or "front"."""

    def hub(self, name: str) -> HubPlace:
        """The hub place called `name`; FrameError if there is none."""
        try:
            return self.hubs[self.hub_index[name]]
        except KeyError:
            raise FrameError(f"there is no hub place {name}; places run from {self.hubs[0].name} to "
                             f"{self.hubs[-1].name}") from None

    def strut(self, name: str) -> StrutPlace:
        """The strut place called `name`; FrameError if there is none."""
        try:
            return self.struts[self.strut_index[name]]
        except KeyError:
            raise FrameError(f"there is no strut place {name}; places run from {self.struts[0].name} to "
                             f"{self.struts[-1].name}") from None

    def class_of(self, strut: str) -> StrutClass:
        """The class of a strut place."""
        return self.strut_class(self.strut(strut).strut_class)

    def strut_class(self, letter: str) -> StrutClass:
        """The class of this letter; FrameError if there is none."""
        for found in self.strut_classes:
            if found.letter == letter:
                return found
        raise FrameError(f"there is no strut class {letter}; classes are "
                         f"{', '.join(each.letter for each in self.strut_classes)}")

    @property
    def section_of(self) -> tuple[str, ...]:
        """(m,) name of the section of every strut, in their order; "" is that of [strut]."""
        of = {each.letter: each.section for each in self.strut_classes}
        return tuple(of[strut.strut_class] for strut in self.struts)

    @property
    def sections(self) -> tuple[str, ...]:
        """Names of the sections that some strut has, in the order of the classes."""
        return tuple(dict.fromkeys(each.section for each in self.strut_classes))

    @property
    def height_mm(self) -> float:
        """Top hub centre above the lowest hub centre [mm]."""
        return float(self.nodes_mm[:, 2].max())

    @property
    def level_count(self) -> int:
        """Number of levels, those on the ground being 1."""
        return max(hub.level for hub in self.hubs)

    def level(self, number: int) -> tuple[HubPlace, ...]:
        """Hub places of a level, clockwise from the front mark."""
        return tuple(hub for hub in self.hubs if hub.level == number)

    @property
    def top(self) -> HubPlace | None:
        """The single hub at the top; None where several are highest, or nothing is above the ground."""
        highest = self.level(self.level_count)
        return highest[0] if len(highest) == 1 and self.level_count > 1 else None

    def level_of(self, place: str) -> int:
        """The level that a place counts for: a strut counts for the higher of its hubs, with which it goes in."""
        if place in self.hub_index:
            return self.hub(place).level
        strut = self.strut(place)
        return max(self.hub(strut.end_1.hub).level, self.hub(strut.end_2.hub).level)

    def struts_between(self, hubs: Iterable[str]) -> tuple[StrutPlace, ...]:
        """Strut places whose two hubs are both among `hubs`."""
        chosen = set(hubs)
        return tuple(s for s in self.struts if s.end_1.hub in chosen and s.end_2.hub in chosen)

    def position_mm(self, hub: str) -> FloatArray:
        """(3,) centre of one hub [mm]."""
        row: FloatArray = self.nodes_mm[self.hub_index[hub]]
        return row
