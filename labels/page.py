"""Pages of a document as plain records in millimetres, y downward from the upper left corner.

What stands on a page, where it can be jumped to, and what jumps elsewhere. Writers know only these.
"""

from dataclasses import dataclass

from labels.drawing import Drawing
from labels.pieces import Piece, Words


@dataclass(frozen=True, slots=True)
class Outline:
    """An empty rectangle: a box to tick, a field to write in."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    line_mm: float = 0.3


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with its upper left corner at (x, y)."""

    drawing: Drawing
    x_mm: float
    y_mm: float
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Link:
    """A rectangle that leads to a mark, on this page or another."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    target: str
    """Key of the mark."""
    words: str = ""
    """Where it leads, for screen readers."""


PageItem = Piece | Outline | Picture | Link


@dataclass(frozen=True, slots=True)
class Mark:
    """A place that links lead to; with a title it is a bookmark too."""

    key: str
    title: str = ""
    level: int = 0
    """Depth among the bookmarks: 0 for a chapter; at most one deeper than the one before."""
    y_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Page:
    """One page; items later in the tuple lie above earlier ones."""

    items: tuple[PageItem, ...]
    marks: tuple[Mark, ...] = ()


def page_texts(page: Page) -> tuple[str, ...]:
    """All texts of a page, those of its pictures too, in the order in which they are drawn."""
    found: list[str] = []
    for item in page.items:
        if isinstance(item, Words):
            found.append(item.text)
        elif isinstance(item, Picture):
            found += [part.text for part in item.drawing.items if hasattr(part, "text")]
    return tuple(found)
