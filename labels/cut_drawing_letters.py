"""Letters and figures as single strokes, so that a machine engraves them without any font.

Every sign is drawn on a grid 4 wide and 6 high, y upward from the baseline; straight strokes only.
"""

import math
from collections.abc import Iterator
from typing import Final

from labels.cut_drawing import Path, Vertex
from labels.drawing import Point

GRID_HEIGHT: Final = 6
ADVANCE: Final = 6.0
"""From sign to sign, in units of the grid."""

STROKES: Final[dict[str, tuple[str, ...]]] = {
    "0": ("10 30 41 45 36 16 05 01 10",),
    "1": ("05 26 20", "00 40"),
    "2": ("05 16 36 45 44 00 40",),
    "3": ("05 16 36 45 44 33 13", "33 42 41 30 10 01"),
    "4": ("30 36 02 42",),
    "5": ("46 06 04 34 43 41 30 10 01",),
    "6": ("45 36 16 05 01 10 30 41 42 33 13 02",),
    "7": ("06 46 10",),
    "8": ("13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",),
    "9": ("01 10 30 41 45 36 16 05 04 13 33 44",),
    "A": ("00 26 40", "12 32"),
    "H": ("00 06", "40 46", "03 43"),
    "L": ("06 00 40",),
    "P": ("00 06 36 45 44 33 03",),
    "R": ("00 06 36 45 44 33 03", "23 40"),
    "U": ("06 01 10 30 41 46",),
    "-": ("13 33",),
    " ": (),
}
"""Strokes of each sign: corners as pairs of figures, column and row."""


def stroke_width_mm(text: str, height_mm: float) -> float:
    """Width of a text of a height of capitals [mm]."""
    return max(0.0, len(text) * ADVANCE - 2.0) * height_mm / GRID_HEIGHT


def stroked(layer: str, text: str, middle: Point, *, height_mm: float, turn_deg: float = 0.0) -> Iterator[Path]:
    """The strokes of a text round its middle.

    Parameters
    ----------
    text : str
        Signs of `STROKES`.
    middle : (x, y)
        Middle of the text. [mm]
    height_mm : float
        Height of capitals. [mm]
    turn_deg : float
        Clockwise, as seen on paper. [deg]

    Raises
    ------
    KeyError
        For a sign that has no strokes.
    """
    unit = height_mm / GRID_HEIGHT
    start = -stroke_width_mm(text, height_mm) / 2
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    for place, sign in enumerate(text):
        for stroke in STROKES[sign]:
            yield Path(layer, tuple(
                Vertex(middle[0] + c * x - s * y, middle[1] + s * x + c * y)
                for x, y in _corners(stroke, start + place * ADVANCE * unit, unit)))


def _corners(stroke: str, left_mm: float, unit_mm: float) -> Iterator[Point]:
    """The corners of a stroke, y downward from the middle of the line [mm]."""
    for corner in stroke.split():
        column, row = int(corner[0]), int(corner[1])
        yield left_mm + column * unit_mm, (GRID_HEIGHT / 2 - row) * unit_mm
