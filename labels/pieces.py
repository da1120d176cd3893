"""What a composed label or sheet consists of: words, boxes, shapes, rules and symbols.

Millimetres from the top left corner, y downward. Writers know only these.
"""

from dataclasses import dataclass

from labels.drawing import Anchor, Point
from labels.symbol import Symbol


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; (x, y) is on its baseline."""

    text: str
    x_mm: float
    y_mm: float
    size_mm: float
    """Type size; capitals are `fonts.CAP_HEIGHT` of it [mm]."""
    bold: bool = False
    anchor: Anchor = "start"
    turned: bool = False
    """True: reads upward."""
    white: bool = False


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled polygon."""

    points: tuple[Point, ...]
    white: bool = False
    """True: hides what lies below."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin straight line."""

    start: Point
    end: Point
    width_mm: float = 0.15
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class SymbolMark:
    """A symbol; (x, y) is the corner of its quiet zone."""

    symbol: Symbol
    x_mm: float
    y_mm: float
    module_mm: float


Piece = Words | Shape | Rule | SymbolMark


def box(x_mm: float, y_mm: float, width_mm: float, height_mm: float, *, white: bool = False) -> Shape:
    """A filled rectangle."""
    right, bottom = x_mm + width_mm, y_mm + height_mm
    return Shape(((x_mm, y_mm), (right, y_mm), (right, bottom), (x_mm, bottom)), white)


@dataclass(frozen=True, slots=True)
class Warned:
    """Something that a label could not hold as asked."""

    label: str
    """Name of the label."""
    text: str
    """The words in question."""
    message: str

    def __str__(self) -> str:
        return f"{self.label}: {self.message}"


@dataclass(frozen=True, slots=True)
class Composition:
    """A composed label."""

    width_mm: float
    height_mm: float
    pieces: tuple[Piece, ...]
    warnings: tuple[Warned, ...] = ()
