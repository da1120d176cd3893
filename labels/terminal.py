"""Drawing → lines of text: dots of braille characters for lines, letters where the drawing has letters."""

import math
from collections.abc import Iterator

from PIL import Image, ImageDraw

from labels.drawing import Circle, Drawing, Item, Line, Point, Polygon, Role, Text

DOTS_X, DOTS_Y = 2, 4
"""Dots of one braille character. Source: ISO/IEC 10646, block 2800. Test: tests/labels/test_terminal.py"""
BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bit of each dot, row by row."""
FAINT: frozenset[Role] = frozenset({"later", "far", "note"})
"""Drawn with every third dot only."""
BOLD: frozenset[Role] = frozenset({"this", "new", "damaged"})
"""Drawn three dots wide."""


def terminal_lines(drawing: Drawing, *, columns: int = 72) -> tuple[str, ...]:
    """The drawing as text for a terminal of that many columns; the same drawing gives the same text.

    Examples
    --------
    >>> from labels.drawing import Drawing, Line
    >>> terminal_lines(Drawing(20.0, 4.0, (Line((0.0, 2.0), (20.0, 2.0), "standing"),), "a line"), columns=10)
    ('⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤',)
    """
    scale = DOTS_X * columns / drawing.width_mm
    rows = max(1, math.ceil(drawing.height_mm * scale / DOTS_Y))
    size = (DOTS_X * columns, DOTS_Y * rows)
    faint, full = Image.new("1", size), Image.new("1", size)
    for item in drawing.items:
        _draw(ImageDraw.Draw(faint if item.role in FAINT else full), item, scale)
    cells = [[_cell(full, faint, column, row) for column in range(columns)] for row in range(rows)]
    for item in drawing.items:
        if isinstance(item, Text):
            _write(cells, item, scale)
    return tuple("".join(row).replace("\u2800", " ").rstrip() for row in cells)


def _draw(pen: ImageDraw.ImageDraw, item: Item, scale: float) -> None:
    """One item; light grounds behind text are left out, since letters replace what is under them."""
    if item.role == "halo" or isinstance(item, Text):
        return
    width = 3 if item.role in BOLD else 1
    if isinstance(item, Line):
        pen.line([_at(item.start, scale), _at(item.end, scale)], fill=1, width=width)
    elif isinstance(item, Polygon):
        points = [_at(point, scale) for point in item.points]
        pen.line([*points, points[0]], fill=1, width=1)
    elif isinstance(item, Circle):
        (x, y), radius = _at(item.centre, scale), item.radius_mm * scale
        pen.ellipse([x - radius, y - radius, x + radius, y + radius], outline=1, fill=1 if item.filled else None)


def _at(point: Point, scale: float) -> Point:
    return point[0] * scale, point[1] * scale


def _cell(full: Image.Image, faint: Image.Image, column: int, row: int) -> str:
    """The braille character of one cell."""
    left, top = DOTS_X * column, DOTS_Y * row
    return chr(0x2800 + sum(BITS[y][x] for x, y in _dots() if _is_on(full, faint, left + x, top + y)))


def _dots() -> Iterator[tuple[int, int]]:
    return ((x, y) for y in range(DOTS_Y) for x in range(DOTS_X))


def _is_on(full: Image.Image, faint: Image.Image, x: int, y: int) -> bool:
    return bool(full.getpixel((x, y))) or (bool(faint.getpixel((x, y))) and (x + y) % 3 == 0)


def _write(cells: list[list[str]], text: Text, scale: float) -> None:
    """Letters over the dots, kept inside the picture."""
    column, row = int(text.at[0] * scale / DOTS_X), int(text.at[1] * scale / DOTS_Y)
    column -= {"start": 0, "middle": len(text.text) // 2, "end": len(text.text)}[text.anchor]
    if not 0 <= row < len(cells):
        return
    column = max(0, min(column, len(cells[row]) - len(text.text)))
    for shift, letter in enumerate(text.text):
        if column + shift < len(cells[row]):
            cells[row][column + shift] = letter
