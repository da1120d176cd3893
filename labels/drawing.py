"""Plain drawing records, in millimetres, y downward. Writers (SVG, PDF) know only these.

An item says what it *means* by its role; `ROLES` says once how each role looks on paper, and the
style sheet of the pages says it for screens. So page, booklet and label show the same picture.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

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


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle; top is the smaller y [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """True if the two share more than an edge."""
        return (self.left < other.right and other.left < self.right
                and self.top < other.bottom and other.top < self.bottom)

    def inside(self, other: "Box") -> bool:
        """True if no part of it lies outside `other`."""
        return (other.left <= self.left and self.right <= other.right
                and other.top <= self.top and self.bottom <= other.bottom)

    def grown(self, margin_mm: float) -> "Box":
        """The same box, wider by a margin on all four sides [mm]."""
        return Box(self.left - margin_mm, self.top - margin_mm, self.right + margin_mm, self.bottom + margin_mm)


PAPER_GREY: Final[dict[Role, float]] = {
    "standing": 0.0, "later": 0.45, "far": 0.4, "this": 0.0, "new": 0.0, "ground": 0.45, "mark": 0.0, "person": 0.3,
    "note": 0.35, "text": 0.0, "halo": 1.0, "damaged": 0.0, "hold": 0.0,
}
"""How each role looks in black print: 0 black, 1 the paper. Weight and dashes carry the meaning, not the grey."""

DASH_MM: Final = (0.8, 1.0)
"""Dash and gap of dashed lines [mm]."""

_NARROW: Final = frozenset(" .,:;'!|ijlIft()[]/-·")
_WIDE: Final = frozenset("MWmw@%—…→←")
ASCENT_EM: Final = 0.76
DESCENT_EM: Final = 0.24


def reserved_width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width to reserve for one line of text [mm].

    Notes
    -----
    The font of a phone is not known, so the rule is that of a broad sans serif: narrow signs 0.42 of the size,
    M, W and the like 1.0, capitals 0.74, everything else 0.65; wide East Asian signs 1.0; bold a tenth more.

    Examples
    --------
    >>> round(reserved_width_mm("S073", 5.0), 2)
    13.45
    """
    return _width_em(text) * size_mm * (1.1 if bold else 1.0)


@lru_cache(maxsize=4096)
def _width_em(text: str) -> float:
    """Width of a line in units of the text size; kept, since the search for room asks again and again for one name."""
    return sum(_sign_width_em(sign) for sign in text)


def _sign_width_em(sign: str) -> float:
    """Width of one sign in units of the text size."""
    if sign in _NARROW:
        return 0.42
    if sign in _WIDE or ord(sign) >= 0x2E80:
        return 1.0
    return 0.74 if sign.isupper() else 0.65


def from_middle(middle: Point, distance_mm: float, azimuth_deg: float, *, across_mm: float = 0.0) -> Point:
    """The point at a distance from a middle along an azimuth, clockwise from the top, and so far to the right of it.

    Examples
    --------
    >>> from_middle((50.0, 50.0), 10.0, 0.0), from_middle((50.0, 50.0), 10.0, 0.0, across_mm=3.0)
    ((50.0, 40.0), (53.0, 40.0))
    """
    a = math.radians(azimuth_deg)
    return (middle[0] + distance_mm * math.sin(a) + across_mm * math.cos(a),
            middle[1] - distance_mm * math.cos(a) + across_mm * math.sin(a))


def text_box(text: Text) -> Box:
    """The box that a text reserves [mm]."""
    width = reserved_width_mm(text.text, text.size_mm, bold=text.bold)
    shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    left = text.at[0] - shift * width
    return Box(left, text.at[1] - ASCENT_EM * text.size_mm, left + width, text.at[1] + DESCENT_EM * text.size_mm)
