"""The hub dial: a hub as seen from outside, up at the top, every arm at its true direction."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from fieldapp.base.words import _
from fieldapp.frame.arms import fanned_deg
from fieldapp.frame.frame import Arm, Frame, HubPlace
from fieldapp.wording.facing import facing
from labels.drawing import (
    Anchor,
    Box,
    Circle,
    Drawing,
    Item,
    Line,
    Point,
    Polygon,
    Role,
    Text,
    from_middle,
    reserved_width_mm,
    text_box,
)
from labels.lettering import Lettering, Wish, line_boxes, point_box

_STRAIGHT_UP: Final = 0.999
"""Vertical part of the outside direction from which on a hub has no "up" of its own (see `Arm`)."""
_HUB_MM: Final = 9.5
_NUMBER_MM: Final = 18.2
_ARM_MM: Final = 23.0
_END_MM: Final = 32.0
_HALF_ARM_MM: Final = 3.6
_LABEL_MM: Final = 5.0
_SMALL_MM: Final = 4.2
_STEEP_DEG: Final = 40.0
"""Arms that lean further than this out of the plane of the dial get a sign; plates have hardly any."""
_SIGN_MM: Final = 12.6
_SIGN_HALF_MM: Final = 1.9
_LONG_NAME: Final = 6
"""Signs in a label from which on it is set smaller, to fit beside a level arm."""


_SIZE_MM: Final = (100.0, 82.0)


def dial_spots(frame: Frame, hub: str, size_mm: tuple[float, float] = _SIZE_MM) -> dict[int, Point]:
    """Arm → where its number stands in the dial [mm]: what a finger taps."""
    return _spots(frame, hub, _NUMBER_MM, size_mm)


def end_spots(frame: Frame, hub: str, size_mm: tuple[float, float] = _SIZE_MM) -> dict[int, Point]:
    """Arm → where the end of its strut lies in the dial [mm], beyond the arm: what a finger taps."""
    return _spots(frame, hub, _END_MM, size_mm)


def _spots(frame: Frame, hub: str, from_middle_mm: float, size_mm: tuple[float, float]) -> dict[int, Point]:
    middle = _middle(size_mm)
    return {number: from_middle(middle, from_middle_mm, azimuth_deg, across_mm=0.0)
            for number, azimuth_deg in _shown_deg(frame.hub(hub)).items()}


def _shown_deg(hub: HubPlace) -> dict[int, float]:
    """Arm → the direction in which it is drawn [deg]."""
    return dict(zip((arm.number for arm in hub.arms), fanned_deg([arm.azimuth_deg for arm in hub.arms]), strict=True))


def _middle(size_mm: tuple[float, float]) -> Point:
    """Where the hub's middle comes to lie, room above it for the arrow [mm]."""
    return size_mm[0] / 2, size_mm[1] / 2 + 1.5


@dataclass(frozen=True, slots=True)
class _Dial:
    """One hub on the paper."""

    frame: Frame
    hub: HubPlace
    arm: int | None
    standing: frozenset[str]
    middle: Point
    size_mm: tuple[float, float]
    shown_deg: Mapping[int, float]
    """Arm → the direction in which it is drawn."""

    def at(self, distance_mm: float, azimuth_deg: float, across_mm: float = 0.0) -> Point:
        """A point at a distance along an azimuth, clockwise from the top."""
        return from_middle(self.middle, distance_mm, azimuth_deg, across_mm=across_mm)

    def role(self, arm: Arm) -> Role:
        """How an arm is drawn."""
        if arm.number == self.arm:
            return "this"
        return "standing" if arm.strut in self.standing else "later"


def hub_dial(frame: Frame, hub: str, *, arm: int | None = None, standing: frozenset[str] = frozenset(),
             labels: bool = True, size_mm: tuple[float, float] = _SIZE_MM) -> Drawing:
    """One hub with its arms.

    Parameters
    ----------
    arm
        Number of the arm in question: filled.
    standing
        Filled places: arms with a strut are drawn as a grey tube, the others as dashed outlines.
    labels
        Strut place and class letter at every arm.
    size_mm
        Width and height of the picture. [mm]

    Raises
    ------
    FrameError
        If there is no such hub place.
    """
    dial = _Dial(frame, frame.hub(hub), arm, standing, _middle(size_mm), size_mm,
                 _shown_deg(frame.hub(hub)))
    items = (*_arms(dial), *_hub(dial), *_up_arrow(dial), *_labels(dial, labels=labels))
    return Drawing(*size_mm, items, _title(dial))


def _arms(dial: _Dial) -> Iterator[Item]:
    """Every arm with its number, the one in question last."""
    for arm in sorted(dial.hub.arms, key=lambda arm: (arm.number == dial.arm, arm.number)):
        yield from _arm(dial, arm)


def _arm(dial: _Dial, arm: Arm) -> Iterator[Item]:
    """One arm: filled if in question, with a tube on it if fitted, else dashed."""
    role = dial.role(arm)
    outline = _tube(dial, arm, 6.0, _ARM_MM, _HALF_ARM_MM)
    if role == "this":
        yield Polygon(outline, role, filled=True)
    else:
        yield Polygon(outline, "halo", filled=True)
        yield from _edges(outline, role)
    number = dial.at(_NUMBER_MM, dial.shown_deg[arm.number])
    yield Text((number[0], number[1] + 2.1), str(arm.number), "halo" if role == "this" else "text", 6.0, bold=True)
    if abs(arm.dip_deg) > _STEEP_DEG:
        yield from _steep(dial.at(_SIGN_MM, dial.shown_deg[arm.number]), toward=arm.dip_deg < 0.0)


def _steep(at: Point, *, toward: bool) -> Iterator[Item]:
    """The head of an arrow, seen from the front, or its tail."""
    yield Circle(at, _SIGN_HALF_MM, "halo", filled=True)
    yield Circle(at, _SIGN_HALF_MM, "text", width_mm=0.4)
    if toward:
        yield Circle(at, 0.6, "text", filled=True)
        return
    reach = _SIGN_HALF_MM * 0.7
    for slope in (1.0, -1.0):
        yield Line((at[0] - reach, at[1] - slope * reach), (at[0] + reach, at[1] + slope * reach), "text", 0.4)


def _tube(dial: _Dial, arm: Arm, start_mm: float, end_mm: float, half_mm: float) -> tuple[Point, ...]:
    """A bar along an arm."""
    corners = ((start_mm, -half_mm), (end_mm, -half_mm), (end_mm, half_mm), (start_mm, half_mm))
    return tuple(dial.at(along, dial.shown_deg[arm.number], across) for along, across in corners)


def _edges(outline: tuple[Point, ...], role: Role) -> Iterator[Item]:
    """Both long sides and the end of an arm: thick if a strut sits on it, thin and dashed if not yet."""
    width, dashed = (1.1, False) if role == "standing" else (0.35, True)
    for start, end in pairwise(outline):
        yield Line(start, end, role, width, dashed=dashed)


def _hub(dial: _Dial) -> Iterator[Item]:
    """The hub's middle with its name."""
    stands = dial.hub.name in dial.standing
    yield Circle(dial.middle, _HUB_MM, "halo", filled=True)
    yield Circle(dial.middle, _HUB_MM, "standing" if stands else "later", width_mm=1.1 if stands else 0.5)
    yield Text((dial.middle[0], dial.middle[1] + 2.0), dial.hub.name, "text", 5.6, bold=True)


def _has_up(dial: _Dial) -> bool:
    """False for a hub that lies flat, like the crown."""
    return abs(float(dial.frame.outward[dial.frame.hub_index[dial.hub.name]][2])) < _STRAIGHT_UP


def _up_arrow(dial: _Dial) -> Iterator[Item]:
    """The arrow at the top edge."""
    words = _("up") if _has_up(dial) else _("away from front mark")
    x = dial.middle[0] - (0.0 if _has_up(dial) else reserved_width_mm(words, _LABEL_MM, bold=True) / 2 + 4.6)
    yield Polygon(((x, 0.8), (x - 3.2, 5.8), (x + 3.2, 5.8)), "mark", filled=True)
    yield Text((x + 4.6, 5.6), words, "text", _LABEL_MM, "start", bold=True)


def _labels(dial: _Dial, *, labels: bool) -> tuple[Item, ...]:
    """Strut names round the dial, and the words that say which side is seen."""
    width, height = dial.size_mm
    letters = Lettering(Box(0.3, 6.8, width - 0.3, height - 0.3))
    letters.keep_clear(box for arm in dial.hub.arms for box in _arm_boxes(dial, arm))
    fixed = (*_corner((1.0, height - 1.6), "start", _side_words(dial)),
             *_corner((width - 1.0, height - 1.6), "end", _class_words(dial)))
    letters.keep_clear(text_box(text) for text in fixed)
    return (*fixed, *letters.place_all(_strut_wishes(dial))) if labels else fixed


def _corner(at: Point, anchor: Anchor, words: Iterator[str]) -> Iterator[Text]:
    """Lines of words in a lower corner, the first one lowest."""
    for row, line in enumerate(words):
        yield Text((at[0], at[1] - 5.4 * row), line, "text", _SMALL_MM, anchor, bold=row > 0)


def _side_words(dial: _Dial) -> Iterator[str]:
    """Which side is seen, and which end of the strut in question sits here."""
    yield _(facing(dial.frame).seen)
    if any(abs(arm.dip_deg) > _STEEP_DEG for arm in dial.hub.arms):
        yield _("dot: toward you, cross: away")
    yield from (_("arm {arm} takes end {end}").format(arm=arm.number, end=arm.end)
                for arm in dial.hub.arms if arm.number == dial.arm)


def _class_words(dial: _Dial) -> Iterator[str]:
    """The hub's class, and its hand if it differs from its mirror image."""
    yield _("class {name}").format(name=dial.hub.hub_class)
    yield from (_("left-handed") if each.handed == "left" else _("right-handed") for each in dial.frame.hub_classes
                if each.name == dial.hub.hub_class and each.handed)


def _arm_boxes(dial: _Dial, arm: Arm) -> Iterator[Box]:
    """Keep labels off an arm."""
    yield from line_boxes(dial.middle, dial.at(_ARM_MM - 1.8, dial.shown_deg[arm.number]), 3.4)
    yield point_box(dial.middle, _HUB_MM)


def _strut_wishes(dial: _Dial) -> Iterator[Wish]:
    """Strut and class letter beyond each arm, the one in question first."""
    for arm in sorted(dial.hub.arms, key=lambda arm: (arm.number != dial.arm, arm.number)):
        this = arm.number == dial.arm
        at = dial.at(_ARM_MM - (0.5 if this else 0.0), dial.shown_deg[arm.number])
        toward = (at[0] - dial.middle[0], at[1] - dial.middle[1])
        text = f"{arm.strut} {dial.frame.strut(arm.strut).strut_class}"
        size = _LABEL_MM if len(text) <= _LONG_NAME else _SMALL_MM
        yield Wish(at, text, size, toward, bold=True, flag="this" if this else None,
                   distances_mm=(2.6 if this else 1.4, 3.5, 5.0, 7.0))


def _title(dial: _Dial) -> str:
    """Words for screen readers."""
    if dial.arm is None:
        return _("Hub {hub} {seen}").format(hub=dial.hub.name, seen=_(facing(dial.frame).seen))
    return _("Hub {hub} {seen}, arm {arm} marked").format(
        hub=dial.hub.name, seen=_(facing(dial.frame).seen), arm=dial.arm)
