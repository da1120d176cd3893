"""The plan: laid open from above, front mark at the bottom, crown in the middle, ground ring outermost.

A true view from above would draw the first rings on top of each other, since the frame bulges above the ground.
So the distance from the middle grows with the angle from the crown: every ring lies clear of the next, sides and
order stay true.
"""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.prints.camera import side_deg
from fieldapp.prints.people import you_are_here
from fieldapp.prints.showing import Showing
from fieldapp.prints.skeleton import Layout, skeleton, this_marker
from labels.drawing import Box, Circle, Drawing, Item, Point, Polygon
from labels.lettering import Lettering, Wish, line_boxes, point_box

_RIM_MM: Final = 15.0
"""Room round the ground ring for front mark and you-are-here. [mm]"""


def plan_view(frame: Frame, showing: Showing, *, size_mm: float = 100.0) -> Drawing:
    """The frame laid open from above.

    Parameters
    ----------
    showing
        States, the place in question and further labels.
    size_mm
        Width and height of the picture. [mm]

    Raises
    ------
    FrameError
        If `showing.this` is no place of the frame.
    """
    middle, radius = (size_mm / 2, size_mm / 2 - 1.0), size_mm / 2 - _RIM_MM
    ones = np.ones(len(frame.struts))
    layout = Layout(frame, showing, laid_open(frame) * radius + middle, ones, heaviest_mm=0.6)
    here = _here(frame, showing, middle, radius)
    items = (Circle(middle, radius + 3.0, "ground", width_mm=0.35), *_front_mark(middle, radius), *skeleton(layout),
             *this_marker(layout), *here, *_labels(layout, middle, radius, size_mm))
    return Drawing(size_mm, size_mm, items, _title(showing))


def laid_open(frame: Frame) -> FloatArray:
    """(n, 2) hubs seen from above, front mark downward, the outermost at distance 1 from the crown."""
    seen = frame.nodes_mm - np.asarray(frame.centre_mm)
    level = np.linalg.norm(seen[:, :2], axis=1)
    angle = np.arctan2(level, seen[:, 2])
    share = angle / angle.max()
    unit = seen[:, :2] / np.maximum(level, 1e-9)[:, None]
    flat: FloatArray = np.column_stack((share * unit[:, 0], -share * unit[:, 1]))
    return flat


def _round(middle: Point, radius_mm: float, azimuth_deg: float) -> Point:
    """A point on the plan, clockwise from the front mark at the bottom."""
    a = math.radians(azimuth_deg)
    return middle[0] - radius_mm * math.sin(a), middle[1] + radius_mm * math.cos(a)


def _front_mark(middle: Point, radius_mm: float) -> tuple[Item, ...]:
    """An arrowhead outside the ground ring that points at the frame."""
    tip = _round(middle, radius_mm + 3.6, 0.0)
    return (Polygon((tip, (tip[0] - 3.0, tip[1] + 5.0), (tip[0] + 3.0, tip[1] + 5.0)), "mark", filled=True),)


def _here_deg(frame: Frame, showing: Showing) -> float | None:
    """Where to stand; None if the picture is about no place or one without a side."""
    return None if showing.this is None else side_deg(frame, showing.this)


def _here(frame: Frame, showing: Showing, middle: Point, radius_mm: float) -> tuple[Item, ...]:
    """The viewer, outside the ground ring at the part's side."""
    side = _here_deg(frame, showing)
    if side is None:
        return ()
    at = _round(middle, radius_mm + (9.5 if abs((side + 180) % 360 - 180) > 12 else 13.0), side)
    return you_are_here(at, math.degrees(math.atan2(middle[1] - at[1], middle[0] - at[0])), 9.0)


def _labels(layout: Layout, middle: Point, radius_mm: float, size_mm: float) -> tuple[Item, ...]:
    """Flag of the part, front mark, where to stand, ring numbers, further labels."""
    letters = Lettering(Box(0.3, 0.3, size_mm - 0.3, size_mm - 0.3))
    letters.keep_clear(_clear(layout, middle, radius_mm))
    return letters.place_all((*_this_wish(layout, middle), _front_wish(middle, radius_mm),
                              *_ring_wishes(layout, middle), *_more_wishes(layout, middle)))


def _clear(layout: Layout, middle: Point, radius_mm: float) -> Iterator[Box]:
    """What labels must not cover."""
    yield point_box(_round(middle, radius_mm + 6.5, 0.0), 3.0)
    side = _here_deg(layout.frame, layout.showing)
    if side is not None:
        yield point_box(_round(middle, radius_mm + 9.5, side), 5.0)
    this = layout.showing.this
    if this in layout.frame.strut_index:
        yield from line_boxes(*layout.ends(this), 1.4)
    elif this:
        yield point_box(layout.point(this), 3.6)


def _this_wish(layout: Layout, middle: Point) -> Iterator[Wish]:
    """The flag, toward the middle of the plan so that the way in stays free."""
    this = layout.showing.this
    if this:
        at = layout.middle(this)
        inward = (middle[0] - at[0], middle[1] - at[1] - 0.1)
        yield Wish(at, this, 6.5, inward, bold=True, flag="this", distances_mm=(5.0, 7.0, 10.0, 15.0, 20.0))


def _front_wish(middle: Point, radius_mm: float) -> Wish:
    """Words beside the front mark."""
    return Wish(_round(middle, radius_mm + 7.0, 0.0), "front mark", 4.5, (-1.0, 0.35), distances_mm=(4.0, 8.0, 14.0))


def _ring_wishes(layout: Layout, middle: Point) -> Iterator[Wish]:
    """Ring numbers up the line from the front mark to the crown, in a gap between struts."""
    frame = layout.frame
    for number in range(1, frame.ring_count + 1):
        names = [hub.name for hub in frame.ring(number)]
        spans = [math.dist(layout.point(name), middle) for name in names]
        at = _round(middle, sum(spans) / len(spans), 0.0)
        yield Wish(at, f"ring {number}" if number == 1 else str(number), 3.8, (1.0, 0.0), distances_mm=(-1.0, 1.5, 4.0))


def _more_wishes(layout: Layout, middle: Point) -> Iterator[Wish]:
    """New places, hubs to hold and what the caller asks for."""
    showing = layout.showing
    wanted = dict.fromkeys((*sorted(showing.new | showing.hold), *showing.labels))
    for place in wanted:
        if place != showing.this:
            at = layout.middle(place)
            size = 3.6 if place in showing.new or place in showing.hold else 2.4
            yield Wish(at, place, size, (at[0] - middle[0], at[1] - middle[1] - 0.1), bold=place in showing.new)


def _title(showing: Showing) -> str:
    """Words for screen readers."""
    return f"Plan from above, front mark at the bottom, {showing.this} marked" if showing.this else (
        "Plan from above, front mark at the bottom")
