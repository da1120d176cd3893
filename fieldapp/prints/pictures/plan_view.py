"""The plan: laid open from above, front mark at the bottom, crown in the middle, ground ring outermost.

A true view from above would draw the first rings on top of each other, since the frame bulges above the ground.
So the distance from the middle grows with the angle from the crown: every ring lies clear of the next, sides and
order stay true.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from fieldapp.base.words import _
from fieldapp.frame.frame import BoolArray, FloatArray, Frame
from fieldapp.prints.pictures.camera import side_deg
from fieldapp.prints.pictures.signs import you_are_here
from fieldapp.prints.pictures.skeleton import Layout, Showing, across, busy_boxes, skeleton, this_marker
from labels.drawing import Box, Circle, Drawing, Item, Point, Polygon
from labels.lettering import Lettering, Wish, point_box

_RIM_MM: Final = 15.0
"""Room round the ground ring for front mark and you-are-here. [mm]"""
_RING_GAP_MM: Final = 4.4
_CLEAR_IN_PLAN: Final = 0.2
"""Hubs this share of the shortest strut apart in plan do not cover each other."""
_MARK_DEG: Final = 15.0
"""Half the angle that belongs to the front mark. [deg]"""


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
    middle, radius = (size_mm / 2, size_mm / 2), size_mm / 2 - _RIM_MM
    flat = laid_open(frame)
    layout = Layout(frame, showing, flat * radius + middle, strut_ends(frame, flat) * radius + middle,
                    np.ones(len(frame.struts)), heaviest_mm=0.6)
    here = _here_at(layout, middle, radius)
    items = (Circle(middle, radius + 3.0, "ground", width_mm=0.35), *_front_mark(middle, radius), *skeleton(layout),
             *this_marker(layout), *_here(layout, here), *_labels(layout, _Room(middle, radius, size_mm, here)))
    return Drawing(size_mm, size_mm, items, _title(showing))


def plan_sheet(frame: Frame, showing: Showing, *, size_mm: float = 100.0) -> tuple[Layout, Drawing]:
    """The plan without any place in question, and where everything lies on it, to lay marks over."""
    middle, radius = (size_mm / 2, size_mm / 2), size_mm / 2 - _RIM_MM
    flat = laid_open(frame)
    layout = Layout(frame, showing, flat * radius + middle, strut_ends(frame, flat) * radius + middle,
                    np.ones(len(frame.struts)), heaviest_mm=0.6)
    letters = Lettering(Box(0.3, 0.3, size_mm - 0.3, size_mm - 0.3))
    front = letters.place_all((_front_wish(middle, radius),))
    items = (Circle(middle, radius + 3.0, "ground", width_mm=0.35), *_front_mark(middle, radius), *skeleton(layout),
             *front)
    return layout, Drawing(size_mm, size_mm, items, _title(showing))


def laid_open(frame: Frame) -> FloatArray:
    """(n, 2) hubs seen from above, front mark downward, the outermost at distance 1 from the crown.

    A hub straight below the crown has no side; it is put at the front mark. A drawn frame whose hubs all lie clear of
    each other in plan is shown as it stands, its outermost hub at distance 1 from its middle.

    Source: (D2). Test: tests/prints/pictures/test_pictures.py
    """
    seen = frame.nodes_mm - np.asarray(frame.centre_mm)
    level = np.linalg.norm(seen[:, :2], axis=1)
    if as_it_stands(frame):
        return np.asarray(seen[:, :2] * (1.0, -1.0) / level.max())
    angle = np.arctan2(level, seen[:, 2])
    share = angle / angle.max()
    unit = np.where(_below_top(frame)[:, None], (0.0, -1.0), seen[:, :2] / np.maximum(level, 1e-9)[:, None])
    flat: FloatArray = np.column_stack((share * unit[:, 0], -share * unit[:, 1]))
    return flat


def as_it_stands(frame: Frame) -> bool:
    """Whether the plan is a true view from above: of a drawn frame without hubs above each other."""
    if not frame.drawn:
        return False
    from scipy.spatial import cKDTree  # only for frames from files

    shortest_mm = min(strut.centre_length_mm for strut in frame.struts)
    return not cKDTree(frame.nodes_mm[:, :2]).query_pairs(_CLEAR_IN_PLAN * shortest_mm)


def _below_top(frame: Frame) -> BoolArray:
    """(n,) hubs straight below the crown."""
    seen = frame.nodes_mm - np.asarray(frame.centre_mm)
    lone: BoolArray = (np.linalg.norm(seen[:, :2], axis=1) < 1e-3 * frame.radius_mm) & (seen[:, 2] < 0)
    return lone


def strut_ends(frame: Frame, flat: FloatArray) -> FloatArray:
    """(m, 2, 2) strut ends on the plan; a strut to a hub straight below the crown runs straight outward."""
    ends = flat[frame.ends]
    if as_it_stands(frame):
        return ends
    lone = _below_top(frame)[frame.ends]
    for strut, end in np.argwhere(lone):
        other = ends[strut, 1 - end]
        ends[strut, end] = other / np.linalg.norm(other)
    return ends


def _round(middle: Point, radius_mm: float, azimuth_deg: float) -> Point:
    """A point on the plan, clockwise from the front mark at the bottom."""
    a = math.radians(azimuth_deg)
    return middle[0] - radius_mm * math.sin(a), middle[1] + radius_mm * math.cos(a)


def _front_mark(middle: Point, radius_mm: float) -> tuple[Item, ...]:
    """An arrowhead outside the ground ring that points at the frame."""
    tip = _round(middle, radius_mm + 3.6, 0.0)
    return (Polygon((tip, (tip[0] - 3.0, tip[1] + 5.0), (tip[0] + 3.0, tip[1] + 5.0)), "mark", filled=True),)


def _here_at(layout: Layout, middle: Point, radius_mm: float) -> Point | None:
    """The viewer's place outside the ground ring, beside the front mark rather than on it."""
    this = layout.showing.this
    side = None if this is None else side_deg(layout.frame, this)
    if side is None:
        return None
    turn = (side + 180.0) % 360.0 - 180.0
    if abs(turn) < _MARK_DEG:
        side = math.copysign(_MARK_DEG, turn)
    return _round(middle, radius_mm + 7.6, side)


def _here(layout: Layout, here: Point | None) -> tuple[Item, ...]:
    """The viewer, who looks at the part."""
    if here is None or layout.showing.this is None:
        return ()
    x, y = layout.middle(layout.showing.this)
    return you_are_here(here, math.degrees(math.atan2(y - here[1], x - here[0])), 6.8)


@dataclass(frozen=True, slots=True)
class _Room:
    """The paper of the plan."""

    middle: Point
    radius_mm: float
    size_mm: float
    here: Point | None


def _labels(layout: Layout, room: _Room) -> tuple[Item, ...]:
    """Flag of the part, front mark, ring numbers, further labels, where to stand."""
    letters = Lettering(Box(0.3, 0.3, room.size_mm - 0.3, room.size_mm - 0.3))
    letters.keep_clear(_clear(layout, room))
    placed = letters.place_all((*_this_wish(layout, room.middle), _front_wish(room.middle, room.radius_mm),
                                *_ring_wishes(layout, room.middle), *_more_wishes(layout, room.middle)))
    if room.here is None:
        return placed
    letters.keep_clear(_disc_boxes(room.middle, room.radius_mm + 3.2))
    outward = (room.here[0] - room.middle[0], room.here[1] - room.middle[1])
    wishes = (Wish(room.here, words, 4.5, outward, leader=False, distances_mm=(3.0, 5.5, 7.0, 9.0))
              for words in (_("stand here"), _("you")))
    return (*placed, *next(filter(None, map(letters.place, wishes)), ()))


def _disc_boxes(middle: Point, radius_mm: float, strips: int = 12) -> Iterator[Box]:
    """A disc as strips, to keep labels out of it."""
    x, y = middle
    for number in range(strips):
        top, bottom = (y - radius_mm + 2 * radius_mm * k / strips for k in (number, number + 1))
        half = math.sqrt(max(0.0, radius_mm**2 - min(abs(top - y), abs(bottom - y)) ** 2))
        yield Box(x - half, top, x + half, bottom)


def _clear(layout: Layout, room: _Room) -> Iterator[Box]:
    """What labels must not cover."""
    yield point_box(_round(room.middle, room.radius_mm + 6.5, 0.0), 3.0)
    if room.here:
        yield point_box(room.here, 4.5)
        yield point_box(_beyond(room.here, room.middle, 5.5), 2.6)
    yield from busy_boxes(layout)


def _beyond(point: Point, middle: Point, distance_mm: float) -> Point:
    """The point farther from the middle."""
    length = math.dist(point, middle)
    share = 1.0 + distance_mm / length
    return middle[0] + share * (point[0] - middle[0]), middle[1] + share * (point[1] - middle[1])


def _this_wish(layout: Layout, middle: Point) -> Iterator[Wish]:
    """The flag, toward the middle of the plan so that the way in stays free."""
    this = layout.showing.this
    if this:
        at = layout.middle(this)
        inward = (middle[0] - at[0], middle[1] - at[1] - 0.1)
        yield Wish(at, this, 6.5, _flag_side(layout, this, inward), bold=True, flag="this",
                   distances_mm=(5.0, 7.0, 10.0, 15.0, 20.0))


def _flag_side(layout: Layout, place: str, inward: Point) -> Point:
    """Where the flag goes: inward of a hub, square to a strut on its inner side."""
    if place in layout.frame.hub_index:
        return inward
    x, y = across(layout, place)
    return (x, y) if x * inward[0] + y * inward[1] >= 0 else (-x, -y)


def _front_wish(middle: Point, radius_mm: float) -> Wish:
    """Words beside the front mark."""
    return Wish(_round(middle, radius_mm + 7.0, 0.0), _("front mark"), 4.5, (-1.0, 0.35), leader=False,
                distances_mm=(4.0, 8.0, 14.0))


def _ring_wishes(layout: Layout, middle: Point) -> Iterator[Wish]:
    """Ring numbers up the line from the front mark to the crown, leaving out those that would crowd."""
    frame, last = layout.frame, math.inf
    if as_it_stands(frame):
        return
    for number in range(1, frame.level_count + 1):
        spans = [math.dist(layout.point(hub.name), middle) for hub in frame.level(number)]
        radius = sum(spans) / len(spans)
        if last - radius > _RING_GAP_MM:
            last = radius
            words = _(frame.words.numbered).format(n=number) if number == 1 else str(number)
            yield Wish(_round(middle, radius, 0.0), words, 3.8, (1.0, 0.0), distances_mm=(-1.0, 1.5, 4.0))


def _more_wishes(layout: Layout, middle: Point) -> Iterator[Wish]:
    """New hubs, hubs to hold and what the caller asks for."""
    showing = layout.showing
    hubs = (place for place in sorted(showing.new | showing.hold) if place in layout.frame.hub_index)
    wanted = dict.fromkeys((*hubs, *showing.labels))
    for place in wanted:
        if place != showing.this:
            at = layout.middle(place)
            size = 3.6 if place in showing.new or place in showing.hold else 2.4
            yield Wish(at, place, size, (at[0] - middle[0], at[1] - middle[1] - 0.1), bold=place in showing.new,
                       clear_mm=layout.label_room_mm if size < 3.0 else 0.0)


def _title(showing: Showing) -> str:
    """Words for screen readers."""
    if showing.this:
        return _("Plan from above, front mark at the bottom, {place} marked").format(place=showing.this)
    return _("Plan from above, front mark at the bottom")
