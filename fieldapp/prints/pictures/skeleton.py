"""Struts and hubs of a picture as lines and dots, by state; the frame view and the plan share it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame
from labels.drawing import Box, Circle, Item, Line, Point, Polygon, Role
from labels.lettering import line_boxes, point_box

BIG_FRAME_STRUTS: Final = 500
"""From here on a frame is so dense that far lines of later parts only blur the picture."""
_BUCKETS: Final = 4
_LATER_MM: Final = 0.25
_FAR_LATER_MM: Final = 0.1
_FAR_MM: Final = 0.2
_LAYERS: Final[Sequence[Role]] = ("later", "far", "standing", "new", "damaged", "this")


@dataclass(frozen=True, slots=True)
class Showing:
    """The states of places (hubs and struts alike) in a picture."""

    standing: frozenset[str] = frozenset()
    """Filled places."""
    this: str | None = None
    """The place in question: bold, marked and labelled."""
    new: frozenset[str] = frozenset()
    """Places filled by the step shown."""
    damaged: frozenset[str] = frozenset()
    hold: frozenset[str] = frozenset()
    """Hub places that somebody or a prop must hold."""
    left_out: frozenset[str] = frozenset()
    """Places that are not filled in this frame (a doorway): not drawn."""
    labels: tuple[str, ...] = ()
    """Further places to label if there is room, most important first."""

    def is_seen(self, place: str) -> bool:
        """False for a place that is left out, unless the picture is about it."""
        return place not in self.left_out or place == self.this

    def role(self, place: str) -> Role:
        """How a place is drawn; the most urgent state wins."""
        if place == self.this:
            return "this"
        if place in self.damaged:
            return "damaged"
        if place in self.new:
            return "new"
        return "standing" if place in self.standing else "later"


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything lies on the paper."""

    frame: Frame
    showing: Showing
    at_mm: FloatArray
    """(n, 2) hub centres on the paper [mm]."""
    ends_mm: FloatArray
    """(m, 2, 2) end 1 and end 2 of each strut on the paper [mm]."""
    near: FloatArray
    """(m,) 1 for the strut nearest to the viewer, 0 on the outline, negative on the far side."""
    heaviest_mm: float = 0.9
    lightest_mm: float = 0.35

    @property
    def is_dense(self) -> bool:
        """True for a frame of so many struts that the picture must be thinned."""
        return len(self.frame.struts) > BIG_FRAME_STRUTS

    @property
    def label_room_mm(self) -> float:
        """Room to leave round labels of lesser importance [mm]."""
        return 4.0 if self.is_dense else 0.0

    def point(self, hub: str) -> Point:
        """A hub's place on the paper [mm]."""
        x, y = self.at_mm[self.frame.hub_index[hub]]
        return float(x), float(y)

    def ends(self, strut: str) -> tuple[Point, Point]:
        """A strut's ends on the paper [mm]."""
        (ax, ay), (bx, by) = self.ends_mm[self.frame.strut_index[strut]]
        return (float(ax), float(ay)), (float(bx), float(by))

    def middle(self, place: str) -> Point:
        """Where a place's marker sits [mm]."""
        if place in self.frame.hub_index:
            return self.point(place)
        (ax, ay), (bx, by) = self.ends(place)
        return (ax + bx) / 2, (ay + by) / 2

    def is_near(self, place: str) -> bool:
        """True unless the place lies on the far side."""
        if place in self.frame.strut_index:
            return bool(self.near[self.frame.strut_index[place]] >= 0)
        struts = [self.frame.strut_index[arm.strut] for arm in self.frame.hub(place).arms]
        return bool(self.near[struts].mean() >= 0)


def skeleton(layout: Layout) -> tuple[Item, ...]:
    """All struts and the hubs that stand, what matters most on top."""
    lines = sorted(_lines(layout), key=lambda line: (_LAYERS.index(line.role), line.dashed, line.width_mm))
    return (*lines, *_dots(layout))


def _lines(layout: Layout) -> Iterator[Line]:
    """A line for each strut that is to be seen."""
    for strut, near in zip(layout.frame.struts, layout.near, strict=True):
        role = layout.showing.role(strut.name)
        if not layout.showing.is_seen(strut.name) or (role == "later" and near < 0 and layout.is_dense):
            continue
        start, end = layout.ends(strut.name)
        yield _line(start, end, role, _weight(layout, float(near)))


def _line(start: Point, end: Point, role: Role, near_mm: float | None) -> Line:
    """One strut: solid if it stands, dashed if it comes later, thin on the far side."""
    if role == "later":
        return Line(start, end, role, _LATER_MM if near_mm else _FAR_LATER_MM, dashed=True)
    if role == "standing":
        return Line(start, end, role, near_mm) if near_mm else Line(start, end, "far", _FAR_MM)
    width = {"this": 2.0, "new": 1.4}.get(role, 0.9)
    return Line(start, end, role, width, dashed=role == "damaged")


def _weight(layout: Layout, near: float) -> float | None:
    """Line width by nearness in a few steps; None on the far side. [mm]"""
    if near < 0:
        return None
    step = min(int(near * _BUCKETS), _BUCKETS - 1) / (_BUCKETS - 1)
    finer = 0.55 if layout.is_dense else 1.0
    return round(finer * (layout.lightest_mm + step * (layout.heaviest_mm - layout.lightest_mm)), 2)


def _dots(layout: Layout) -> Iterator[Item]:
    """Hubs: a disc for each that stands or is new on the near side, marks for damage and holds."""
    frame, showing = layout.frame, layout.showing
    radius = 0.4 if layout.is_dense else 0.9
    roles = [(hub.name, showing.role(hub.name)) for hub in frame.hubs]
    yield from (Circle(layout.point(name), radius, role, filled=True) for name, role in roles
                if role == "standing" and layout.is_near(name))
    yield from (Circle(layout.point(name), 1.6, role, filled=True) for name, role in roles if role == "new")
    for name in sorted(showing.damaged):
        yield from _cross(layout.middle(name))
    for name in sorted(showing.hold):
        yield hold_sign(layout.point(name))


def _cross(at: Point, arm_mm: float = 1.8) -> tuple[Item, ...]:
    """A cross: damaged."""
    x, y = at
    return (Line((x - arm_mm, y - arm_mm), (x + arm_mm, y + arm_mm), "damaged", 0.8),
            Line((x - arm_mm, y + arm_mm), (x + arm_mm, y - arm_mm), "damaged", 0.8))


def hold_sign(at: Point, half_mm: float = 2.2) -> Polygon:
    """An open square: to be held."""
    x, y = at
    return Polygon(((x - half_mm, y - half_mm), (x + half_mm, y - half_mm), (x + half_mm, y + half_mm),
                    (x - half_mm, y + half_mm)), "hold", width_mm=0.7)


def this_marker(layout: Layout) -> tuple[Item, ...]:
    """The mark on the part in question: rings at both ends of a strut, a target round a hub."""
    place = layout.showing.this
    if place is None:
        return ()
    if place in layout.frame.hub_index:
        return hub_sign(layout.point(place))
    start, end = layout.ends(place)
    rings = tuple(item for at in (start, end) for item in
                  (Circle(at, 1.8, "halo", filled=True), Circle(at, 1.8, "this", width_mm=0.8)))
    return Line(start, end, "halo", 3.2), Line(start, end, "this", 2.2), *rings


def hub_sign(at: Point) -> tuple[Item, ...]:
    """The target round a hub in question."""
    return (Circle(at, 3.6, "halo", filled=True), Circle(at, 3.6, "this", width_mm=0.9),
            Circle(at, 2.2, "this", filled=True))


def strut_sign(start: Point, end: Point, role: Role) -> Line:
    """How a strut of a role looks, for a legend."""
    return _line(start, end, "standing", None) if role == "far" else _line(start, end, role, 0.9)


def across(layout: Layout, place: str) -> Point:
    """Away from the part: square to a strut, upward from a hub; to the upper side."""
    if place in layout.frame.hub_index:
        return 0.0, -1.0
    (ax, ay), (bx, by) = layout.ends(place)
    length = math.hypot(bx - ax, by - ay) or 1.0
    x, y = (by - ay) / length, -(bx - ax) / length
    return (-x, -y) if y > 0 or (y == 0 and x < 0) else (x, y)


def busy_boxes(layout: Layout) -> Iterator[Box]:
    """Where no label may lie: the part in question, new parts, marks of damage and holds."""
    showing = layout.showing
    for place in sorted(showing.new | ({showing.this} if showing.this else set())):
        half = 1.4 if place == showing.this else 0.9
        if place in layout.frame.strut_index:
            yield from line_boxes(*layout.ends(place), half)
            yield from (point_box(end, half + 0.9) for end in layout.ends(place))
        else:
            yield point_box(layout.point(place), 3.6 if place == showing.this else 1.7)
    for place in sorted(showing.damaged | showing.hold):
        yield point_box(layout.middle(place), 2.4)


def nearness(frame: Frame, eye_mm: FloatArray) -> FloatArray:
    """(m,) for each strut how far its outside looks toward the eye: cosine, negative on the far side."""
    middles = frame.nodes_mm[frame.ends].mean(axis=1)
    outward = frame.outward[frame.ends].sum(axis=1)
    view = eye_mm - middles
    cosine = (outward * view).sum(axis=1) / (np.linalg.norm(outward, axis=1) * np.linalg.norm(view, axis=1))
    result: FloatArray = cosine
    return result
