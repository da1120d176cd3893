"""What a machine cuts or engraves, as plain records in true millimetres, y downward, any origin.

Writers (`dxf`, `true_size`) and the paper sheets know only these. A path is cut or engraved as it
is: no fonts, no line widths, no scale.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from labels.drawing import Box, Point

Work = Literal["cut", "mark", "note"]
"""What a layer is for: cut through, engrave or mark, or only for reading."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Things that are done in one go."""

    name: str
    """In plain words."""
    work: Work
    shown: bool = True
    """False: there to be switched on for some of the blanks."""


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner, and how the way to the next one is bent."""

    x_mm: float
    y_mm: float
    bulge: float = 0.0
    """Tangent of a quarter of the angle that the way to the next corner turns through, above zero for
    anticlockwise as seen on paper; 0 is straight. (The measure of bent polylines in DXF.)"""

    @property
    def point(self) -> Point:
        """Where it is [mm]."""
        return self.x_mm, self.y_mm


@dataclass(frozen=True, slots=True)
class Path:
    """Lines and arcs one after the other."""

    layer: str
    vertices: tuple[Vertex, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle."""

    layer: str
    centre: Point
    radius_mm: float


@dataclass(frozen=True, slots=True)
class Note:
    """A line of text for reading, never cut; (x, y) is the left end of its baseline."""

    layer: str
    at: Point
    text: str
    height_mm: float
    """Height of capitals [mm]."""


CutShape = Path | Ring | Note


@dataclass(frozen=True, slots=True)
class CutDrawing:
    """One blank."""

    title: str
    layers: tuple[Layer, ...]
    shapes: tuple[CutShape, ...]


def line(layer: str, start: Point, end: Point) -> Path:
    """A straight line."""
    return Path(layer, (Vertex(*start), Vertex(*end)))


def cross(layer: str, centre: Point, arm_mm: float) -> Iterator[Path]:
    """Two short lines that cross where something is drilled or centred."""
    x, y = centre
    yield line(layer, (x - arm_mm, y), (x + arm_mm, y))
    yield line(layer, (x, y - arm_mm), (x, y + arm_mm))


def bulge_of(angle_rad: float) -> float:
    """Bulge of an arc that turns through an angle, above zero for anticlockwise as seen on paper [rad].

    Examples
    --------
    >>> round(bulge_of(math.pi), 6)
    1.0
    """
    return math.tan(angle_rad / 4.0)


def flattened(path: Path, step_deg: float = 3.0) -> tuple[Point, ...]:
    """The corners of a path with its arcs in short chords; a closed path ends where it began.

    Parameters
    ----------
    step_deg : float
        Greatest angle that one chord spans. [deg]

    Examples
    --------
    >>> half = Path("x", (Vertex(1.0, 0.0, 1.0), Vertex(-1.0, 0.0)))
    >>> [(round(x, 3), round(y, 3)) for x, y in flattened(half, 90.0)]
    [(1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)]
    """
    ends = (*path.vertices[1:], path.vertices[0]) if path.closed else path.vertices[1:]
    points = [path.vertices[0].point]
    for start, end in zip(path.vertices, ends, strict=False):
        points += _chords(start, end, step_deg)
    return tuple(points)


def _chords(start: Vertex, end: Vertex, step_deg: float) -> Iterator[Point]:
    """Points after `start` up to and with `end`."""
    if start.bulge:
        (x, y), angle = arc_centre(start, end), 4.0 * math.atan(start.bulge)
        count = math.ceil(abs(math.degrees(angle)) / step_deg - 1e-9)
        for number in range(1, count):
            c, s = math.cos(angle * number / count), math.sin(angle * number / count)
            dx, dy = start.x_mm - x, start.y_mm - y
            yield x + c * dx + s * dy, y - s * dx + c * dy
    yield end.point


def arc_centre(start: Vertex, end: Vertex) -> Point:
    """Centre of the arc from a bent corner to the next [mm].

    Source: (D3). Test: tests/prints/workshop/test_workshop.py

    Examples
    --------
    >>> arc_centre(Vertex(1.0, 0.0, 1.0), Vertex(-1.0, 0.0))
    (0.0, 0.0)
    """
    dx, dy = end.x_mm - start.x_mm, end.y_mm - start.y_mm
    off = (1.0 - start.bulge**2) / (4.0 * start.bulge)
    return start.x_mm + dx / 2 + off * dy, start.y_mm + dy / 2 - off * dx


def arc_radius_mm(start: Vertex, end: Vertex) -> float:
    """Radius of that arc [mm]."""
    chord = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return chord * (1.0 + start.bulge**2) / (4.0 * abs(start.bulge))


def bounds(shapes: Iterable[CutShape]) -> Box:
    """The upright box round paths and circles; notes do not count [mm].

    Raises
    ------
    ValueError
        If there is neither path nor circle.
    """
    points: list[Point] = []
    for shape in shapes:
        match shape:
            case Path():
                points += flattened(shape, 1.0)
            case Ring():
                (x, y), r = shape.centre, shape.radius_mm
                points += [(x - r, y - r), (x + r, y + r)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))
