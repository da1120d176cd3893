"""What a composed label or sheet consists of: words, boxes, shapes, rules and symbols.

Millimetres from the top left corner, y downward. Writers know only these.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from labels.drawing import Anchor, Drawing, Point
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
class FilledShape:
    """A filled polygon."""

    points: tuple[Point, ...]
    white: bool = False
    """True: hides what lies below."""


@dataclass(frozen=True, slots=True)
class ThinLine:
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


@dataclass(frozen=True, slots=True)
class PlacedDrawing:
    """A drawing with its upper left corner at (x, y)."""

    drawing: Drawing
    x_mm: float
    y_mm: float


Piece = Words | FilledShape | ThinLine | SymbolMark | PlacedDrawing


def moved(pieces: Iterable[Piece], right_mm: float, down_mm: float = 0.0) -> tuple[Piece, ...]:
    """The same pieces elsewhere."""
    def moved_point(point: Point) -> Point:
        return point[0] + right_mm, point[1] + down_mm

    def moved_piece(piece: Piece) -> Piece:
        match piece:
            case FilledShape():
                return replace(piece, points=tuple(map(moved_point, piece.points)))
            case ThinLine():
                return replace(piece, start=moved_point(piece.start), end=moved_point(piece.end))
            case _:
                return replace(piece, x_mm=piece.x_mm + right_mm, y_mm=piece.y_mm + down_mm)
    return tuple(map(moved_piece, pieces))


def box(x_mm: float, y_mm: float, width_mm: float, height_mm: float, *, white: bool = False) -> FilledShape:
    """A filled rectangle."""
    right, bottom = x_mm + width_mm, y_mm + height_mm
    return FilledShape(((x_mm, y_mm), (right, y_mm), (right, bottom), (x_mm, bottom)), white)


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
