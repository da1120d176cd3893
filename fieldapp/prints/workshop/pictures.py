"""Hub blanks as pictures on paper: whole and scaled with their angles, or in true size cut off at the paper's edge."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise

from fieldapp.base.numbers import decimal
from fieldapp.base.words import _
from fieldapp.frame.arms import fanned_deg
from fieldapp.frame.design import Design
from fieldapp.kit.hub_outline import at
from fieldapp.kit.hub_sizes import HubSizes
from fieldapp.kit.kit import Kit
from fieldapp.prints.workshop.blank import (
    CENTRE,
    CLASS,
    DIRECTIONS,
    ENDS,
    OUTLINE,
    PINS,
    blank_drawing,
    layer_of,
    outline,
)
from fieldapp.prints.workshop.drawn import drawn_sizes, has_outline
from fieldapp.prints.workshop.turns import Blank, turn_names
from labels.cut_drawing import CutDrawing, Path, Ring, Vertex, bounds, flattened
from labels.drawing import Anchor, Box, Circle, Drawing, Item, Line, Point, Polygon, Role, Text

ANGLE_MM, NUMBER_MM = 3.3, 5.2
BESIDE_MM, ABOVE_MM = 14.0, 7.5
"""Room for directions beside the hub, above and below it [mm]."""

WIDTHS: dict[str, tuple[Role, float]] = {
    OUTLINE: ("standing", 0.5), ENDS: ("note", 0.3), PINS: ("note", 0.3), CENTRE: ("standing", 0.3),
    CLASS: ("text", 0.5), DIRECTIONS: ("standing", 0.3)}
"""How each layer looks on paper; all others as marks."""

TEMPLATE_LAYERS = (OUTLINE, DIRECTIONS, ENDS, PINS, CENTRE, CLASS)


def hub_picture(blank: Blank, design: Design, size_mm: tuple[float, float]) -> Drawing:
    """A class seen from outside with directions, angles between arms, numbers and the struts' letters.

    `size_mm` is the width, and the greatest height; the drawing is as high as the hub needs.
    """
    sizes = drawn_sizes(blank, design)
    corners = [at(sizes.length_mm(dip), side * sizes.width_mm / 2, angle)
               for angle, dip in zip(blank.arms_deg, blank.dips_deg, strict=True) for side in (-1, 1)]
    core = sizes.core_mm
    left, right = (side(core * sign, *(x for x, _y in corners)) for side, sign in ((min, -1), (max, 1)))
    top, bottom = (side(core * sign, *(y for _x, y in corners)) for side, sign in ((min, -1), (max, 1)))
    scale = min((size_mm[0] - 2 * BESIDE_MM) / (right - left), (size_mm[1] - 2 * ABOVE_MM) / (bottom - top))
    items = (*_body(blank, design, sizes, scale=scale), *_up(core * scale),
             *_arm_words(blank, sizes, scale), *_gap_words(blank, sizes, scale),
             Text((0.0, 2.2), blank.hub_class.name, "text", 6.2, bold=True))
    middle = (size_mm[0] / 2 - (left + right) / 2 * scale, ABOVE_MM - top * scale)
    return Drawing(size_mm[0], (bottom - top) * scale + 2 * ABOVE_MM, tuple(shifted(items, middle)),
                   _("Hub class {name} seen from outside").format(name=blank.hub_class.name))


def _body(blank: Blank, design: Design, sizes: HubSizes, *, scale: float) -> Iterator[Item]:
    """The outline, or directions only; where the struts end."""
    if not has_outline(blank, design):
        yield Circle((0.0, 0.0), sizes.core_mm * scale, "standing", width_mm=0.5)
    else:
        yield Polygon(tuple(_scaled(flattened(outline(blank, sizes)), scale)), "standing", width_mm=0.5)
    for angle, dip in zip(fanned_deg(blank.arms_deg), blank.dips_deg, strict=True):
        end = sizes.mouth_mm(dip)
        if not has_outline(blank, design):
            start, stop = _scaled([at(sizes.core_mm, 0.0, angle), at(end, 0.0, angle)], scale)
            yield Line(start, stop, "standing", 0.5)
            continue
        left, right = _scaled([at(end, -sizes.width_mm / 2, angle), at(end, sizes.width_mm / 2, angle)], scale)
        yield Line(left, right, "note", 0.3, dashed=True)


def _scaled(points: Iterable[Point], scale: float) -> Iterator[Point]:
    """Points drawn smaller."""
    return ((x * scale, y * scale) for x, y in points)


def _up(core_mm: float) -> Iterator[Item]:
    """The arrow that points up."""
    top = -max(core_mm, 6.0) * 0.97
    yield Polygon(((0.0, top), (1.7, top + 3.0), (-1.7, top + 3.0)), "mark", filled=True)


def _arm_words(blank: Blank, sizes: HubSizes, scale: float) -> Iterator[Item]:
    """Number and letter on each arm, its direction beyond it."""
    arms = zip(blank.arms_deg, fanned_deg(blank.arms_deg), blank.dips_deg, blank.strut_classes, strict=True)
    for number, (true_deg, angle, dip, letter) in enumerate(arms, start=1):
        mouth, tip = sizes.mouth_mm(dip) * scale, sizes.length_mm(dip) * scale
        x, y = at(max(sizes.core_mm * scale + 3.0, mouth - 4.0), 0.0, angle)
        yield Circle((x, y), 0.55 * NUMBER_MM, "halo", filled=True)
        yield Text((x, y + 1.8), str(number), "text", NUMBER_MM, bold=True)
        x, y = at((mouth + max(tip, mouth + 6.0)) / 2, 0.0, angle)
        yield Text((x, y + 1.4), letter, "text", 4.0)
        side = math.sin(math.radians(angle))
        anchor: Anchor = "start" if side > 0.5 else "end" if side < -0.5 else "middle"
        x, y = at(max(tip, mouth + 6.0) + (1.6 if anchor != "middle" else 4.4), 0.0, angle)
        yield Text((x, y + 1.2), decimal(true_deg, 2, "°"), "text", ANGLE_MM, anchor)


def _gap_words(blank: Blank, sizes: HubSizes, scale: float) -> Iterator[Item]:
    """The angle between every two neighbours."""
    half = sizes.width_mm * scale / 2
    if fanned_deg(blank.arms_deg) != blank.arms_deg:
        return                                          # drawn side by side: the angle between them is none to see
    for angle, gap in zip(blank.arms_deg, blank.gaps_deg, strict=True):
        room = (half + 6.6) / math.sin(math.radians(min(gap, 180.0)) / 2)
        x, y = at(max(room, sizes.core_mm * scale + 4.2), 0.0, angle + gap / 2)
        yield Text((x, y + 1.1), decimal(gap, 2, "°"), "text", ANGLE_MM)


def shifted(items: Iterable[Item], by: Point) -> Iterator[Item]:
    """Items of a drawing moved to another place."""
    def moved(point: Point) -> Point:
        return point[0] + by[0], point[1] + by[1]

    for item in items:
        match item:
            case Line():
                yield replace(item, start=moved(item.start), end=moved(item.end))
            case Polygon():
                yield replace(item, points=tuple(map(moved, item.points)))
            case Circle():
                yield replace(item, centre=moved(item.centre))
            case Text():
                yield replace(item, at=moved(item.at))


def true_size(kit: Kit, blank: Blank, size_mm: tuple[float, float]) -> tuple[Drawing, bool]:
    """The blank in true size, with the lines that its arms follow; and whether all of it is on the paper.

    Notes
    -----
    The blank is laid upright or on its side, whichever way more of it is on the paper; what does not fit is
    cut off at the edge of the paper.
    """
    cut = blank_drawing(kit, blank)
    wanted = (*TEMPLATE_LAYERS, layer_of(next(name for name, _turn in turn_names(blank))))
    cut = replace(cut, shapes=tuple(shape for shape in cut.shapes if shape.layer in wanted))
    turn = min((0.0, 90.0), key=lambda turn: _share(turned(cut, turn), size_mm))
    laid = turned(cut, turn)
    box = bounds(laid.shapes)
    corner = ((box.left + box.right) - size_mm[0]) / 2, ((box.top + box.bottom) - size_mm[1]) / 2
    window = Box(corner[0], corner[1], corner[0] + size_mm[0], corner[1] + size_mm[1])
    lines = [*_axes(blank, turn, math.hypot(*size_mm)), *_cut_lines(laid)]
    shown = (clipped(each, window) for each in lines)
    items = shifted((each for each in shown if each), (-window.left, -window.top))
    title = _("Hub class {name}, true size").format(name=blank.hub_class.name)
    return Drawing(*size_mm, tuple(items), title), _share(laid, size_mm) <= 1.0


def _share(cut: CutDrawing, size_mm: tuple[float, float]) -> float:
    """How much of a rectangle a drawing takes, the worse way; above 1 it does not fit."""
    box = bounds(cut.shapes)
    return max((box.right - box.left) / size_mm[0], (box.bottom - box.top) / size_mm[1])


def turned(cut: CutDrawing, turn_deg: float) -> CutDrawing:
    """Paths and circles turned clockwise about the hub's centre; notes are left out."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def about(x: float, y: float) -> Point:
        return c * x - s * y, s * x + c * y

    shapes: list[Path | Ring] = []
    for shape in cut.shapes:
        if isinstance(shape, Path):
            shapes.append(replace(shape, vertices=tuple(Vertex(*about(*v.point), v.bulge) for v in shape.vertices)))
        elif isinstance(shape, Ring):
            shapes.append(replace(shape, centre=about(*shape.centre)))
    return replace(cut, shapes=tuple(shapes))


def _axes(blank: Blank, turn_deg: float, length_mm: float) -> Iterator[Line]:
    """The lines in which the arms lie."""
    for angle in blank.arms_deg:
        yield Line(at(6.0, 0.0, angle + turn_deg), at(length_mm, 0.0, angle + turn_deg), "later", 0.15, dashed=True)


def _cut_lines(cut: CutDrawing) -> Iterator[Line]:
    """All paths and circles as short lines."""
    for shape in cut.shapes:
        if isinstance(shape, Ring):
            (x, y), r = shape.centre, shape.radius_mm
            shape = Path(shape.layer, (Vertex(x - r, y, 1.0), Vertex(x + r, y, 1.0)), closed=True)
        if isinstance(shape, Path):
            role, width = WIDTHS.get(shape.layer, ("mark", 0.4))
            yield from (Line(start, end, role, width) for start, end in pairwise(flattened(shape)))


def clipped(line: Line, window: Box) -> Line | None:
    """The part of a line inside a box, or None.

    Examples
    --------
    >>> clipped(Line((-5.0, 1.0), (5.0, 1.0), "note"), Box(0.0, 0.0, 2.0, 2.0)).start
    (0.0, 1.0)
    """
    (x, y), (dx, dy) = line.start, (line.end[0] - line.start[0], line.end[1] - line.start[1])
    first, last = 0.0, 1.0
    for step, room in ((-dx, x - window.left), (dx, window.right - x), (-dy, y - window.top), (dy, window.bottom - y)):
        if step == 0.0:
            if room < 0.0:
                return None
        elif step < 0.0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first >= last:
        return None
    return replace(line, start=(x + first * dx, y + first * dy), end=(x + last * dx, y + last * dy))
