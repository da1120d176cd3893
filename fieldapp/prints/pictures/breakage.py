"""Where parts broke, over how hard every place is used: the one picture a designer needs to make the hub better.

The plan laid open from above: the heavier a strut's line, the more of its strength the stages of the raise ask of
it; a ring with a number is that many breaks at the place, on the arm that broke if it was said.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fieldapp.base.words import _
from fieldapp.frame.frame import Frame
from fieldapp.prints.pictures.plan_view import plan_sheet
from fieldapp.prints.pictures.skeleton import Layout, Showing
from labels.drawing import Box, Circle, Drawing, Item, Line, Point, Text
from labels.lettering import Lettering, Wish, line_boxes, point_box

THINNEST_MM, HEAVIEST_MM = 0.12, 2.2
"""Line of a strut that is asked nothing, and of the one asked most [mm]."""

RING_MM = 2.3
ARM_SHARE = 0.22
"""How far along its strut, from the hub, a broken arm is marked."""

NAME_MM = 3.0
NAME_REACH_MM = (1.2, 2.5, 4.0, 6.0, 8.0, 11.0, 14.0, 18.0, 23.0, 29.0)
LABELLED = 3
"""Places with the highest use that are named in the picture."""


@dataclass(frozen=True, slots=True)
class Broken:
    """Breaks at one place."""

    place: str
    count: int
    arm: int | None = None
    """Arm of the place, if it was said."""


def breakage_picture(frame: Frame, uses: Mapping[str, float], broken: Sequence[Broken], *, size_mm: float = 100.0
                     ) -> Drawing:
    """The plan with use as weight of line and breaks as numbered rings.

    Parameters
    ----------
    frame : Frame
    uses : mapping
        Strut place → largest share of its strength, or of its arms', that any stage asks; others are drawn thinnest.
    broken : sequence of Broken
    size_mm : float
        Width and height. [mm]

    Raises
    ------
    FrameError
        If a place is none of the frame.
    """
    layout, sheet = plan_sheet(frame, Showing(), size_mm=size_mm)
    plain = tuple(item for item in sheet.items if not (isinstance(item, Line) and item.role == "later"))
    items = (*plain, *_weighted(layout, uses), *_names(layout, uses, broken, size_mm),
             *(item for one in broken if one.count for item in _ring(layout, one)))
    breaks = sum(one.count for one in broken)
    return replace(sheet, items=items, title=_("Plan from above: line weight is use, {n} breaks marked").format(
        n=breaks))


def _weighted(layout: Layout, uses: Mapping[str, float]) -> Iterator[Item]:
    """Every strut, the heaviest on top."""
    most = max(uses.values(), default=0.0) or 1.0
    for strut in sorted(layout.frame.struts, key=lambda place: uses.get(place.name, 0.0)):
        share = uses.get(strut.name, 0.0) / most
        width = THINNEST_MM + (HEAVIEST_MM - THINNEST_MM) * share
        yield Line(*layout.ends(strut.name), "far" if share < 0.5 else "standing", round(width, 2))


def _names(layout: Layout, uses: Mapping[str, float], broken: Sequence[Broken], size_mm: float) -> tuple[Item, ...]:
    """Where it broke, and the struts that are used most, by name, where no line runs."""
    letters = Lettering(Box(0.3, 0.3, size_mm - 0.3, size_mm - 0.3))
    for strut in layout.frame.struts:
        letters.keep_clear(line_boxes(*layout.ends(strut.name), 0.4))
    letters.keep_clear(point_box(_spot(layout, one), RING_MM) for one in broken)
    middle = size_mm / 2
    most = sorted(uses, key=lambda name: (-uses[name], name))[:LABELLED]
    spots = {one.place: _spot(layout, one) for one in broken if one.count}
    spots |= {name: layout.middle(name) for name in most}
    return letters.place_all(Wish(
        (x, y), place, NAME_MM, (x - middle, y - middle), bold=True, distances_mm=NAME_REACH_MM)
        for place, (x, y) in spots.items())


def _ring(layout: Layout, broken: Broken) -> Iterator[Item]:
    at = _spot(layout, broken)
    yield Circle(at, RING_MM, "halo", filled=True)
    yield Circle(at, RING_MM, "damaged", width_mm=0.7)
    yield Text((at[0], at[1] + 1.1), str(broken.count), "damaged", 3.2, bold=True)


def _spot(layout: Layout, broken: Broken) -> Point:
    """The place itself, or a little way along the strut of the arm that broke."""
    if broken.arm is None or broken.place not in layout.frame.hub_index:
        return layout.middle(broken.place)
    arm = next((arm for arm in layout.frame.hub(broken.place).arms if arm.number == broken.arm), None)
    if arm is None:
        return layout.point(broken.place)
    ends = layout.ends(arm.strut)
    (ax, ay), (bx, by) = ends if arm.end == 1 else (ends[1], ends[0])
    return ax + ARM_SHARE * (bx - ax), ay + ARM_SHARE * (by - ay)
