"""Plain drawing records, in millimetres, y downward. Writers (SVG, PDF) know only these.

An item says what it *means* by its role; `ROLES` says once how each role looks on paper, and the
style sheet of the pages says it for screens. So page, booklet and label show the same picture.
"""

from dataclasses import dataclass
from typing import Literal

Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]

Role = Literal[
    "standing",  # fitted: solid
    "later",     # comes later: faint
    "far",       # standing, on the far side
    "this",      # the part in question: unmistakable
    "new",       # goes in with this step
    "ground",    # ground ring
    "mark",      # front mark, you-are-here
    "person",    # standing person for scale
    "note",      # thin helper lines
    "text",
    "halo",      # light ground behind text
    "damaged",
    "hold",
]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    role: Role
    width_mm: float = 0.3
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed shape, filled and/or outlined."""

    points: tuple[Point, ...]
    role: Role
    filled: bool = False
    width_mm: float = 0.3


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, filled and/or outlined."""

    centre: Point
    radius_mm: float
    role: Role
    filled: bool = False
    width_mm: float = 0.3


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; `at` is on its baseline."""

    at: Point
    text: str
    role: Role
    size_mm: float = 3.0
    anchor: Anchor = "middle"
    bold: bool = False


Item = Line | Polygon | Circle | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture of given size; items later in the tuple lie above earlier ones."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    title: str
    """What it shows, for screen readers and document outlines."""
