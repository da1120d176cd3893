"""Where the blocks of a label go: the largest symbol that leaves the words legible.

Knows sizes, not contents: labels whose texts have the same widths share one answer, so a thousand labels cost
little more than one.
"""

import math
import re
from dataclasses import dataclass, replace
from functools import lru_cache

from labels.textblock import (
    CLEAR_CAP_MM,
    LEAST_CAP_MM,
    POST_BODY,
    SMALL_CAP_MM,
    RowKind,
    TextRow,
    row_heights_mm,
    up_post_cap_mm,
)

LEAST_MODULE_MM = 0.5
"""No symbol is printed with smaller modules [mm].
Source: our choice, above the 0.396 mm of the GS1 General Specifications 5.12.3.1. Test: tests/labels/test_wrap.py"""

PADDING_MM = 1.5
"""Kept clear along the edge of a label [mm]."""

ASIDE_CAP_MM = 1.9
"""Capitals of the ID in small print along the symbol, for a torn label [mm]."""

ASIDE_MM = ASIDE_CAP_MM + 0.3
"""Room for it [mm]."""

GAP_MM = 1.2
"""Between the arrow that points up and the words [mm]."""

Rect = tuple[float, float, float, float]
"""x, y, width, height [mm]."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """What a try insists on: capitals of ID and words, and modules [mm]."""

    headline_mm: float
    words_mm: float
    module_mm: float
    air: float
    """Height that the rows get, in heights that they need."""

    def least_mm(self, kind: RowKind) -> float:
        """Least height of capitals for a kind of row."""
        if kind == "small":
            return SMALL_CAP_MM
        return self.headline_mm if kind == "headline" else self.words_mm


TRIES = (Sizes(1.5 * CLEAR_CAP_MM, (CLEAR_CAP_MM + LEAST_CAP_MM) / 2, 0.8, 1.08),
         Sizes(CLEAR_CAP_MM, (CLEAR_CAP_MM + LEAST_CAP_MM) / 2, 0.65, 1.04),
         Sizes(CLEAR_CAP_MM, LEAST_CAP_MM, LEAST_MODULE_MM, 1.0))
"""From comfortable to just legible."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a label should hold, and the space for it."""

    rows: tuple[TextRow, ...]
    post: str
    """Words of the arrow that points up; empty for none."""
    modules: int
    """Of the symbol with its quiet zone; 0 for no symbol."""
    width_mm: float
    height_mm: float
    printer_dpi: int | None = None
    post_short: str = ""
    """The same arrow in a word, for want of room."""
    most_module_mm: float = math.inf
    """Largest module that can be read on what the label is stuck on [mm]."""

    @property
    def left_mm(self) -> float:
        """Where the words begin: right of the arrow that points up."""
        return PADDING_MM + (POST_BODY * self.post_cap_mm + GAP_MM if self.post else 0.0)

    @property
    def post_cap_mm(self) -> float:
        """Height of the capitals in the arrow that points up."""
        fitting = up_post_cap_mm(self.post, self.height_mm - 2 * PADDING_MM)
        return min(fitting, LEAST_CAP_MM) if self.post == self.post_short else fitting


@dataclass(frozen=True, slots=True)
class Room:
    """Where the blocks of a label are [mm]."""

    block: Rect
    symbol_x_mm: float
    symbol_y_mm: float
    module_mm: float
    caps_mm: tuple[float, ...]
    """Height of the capitals of each row."""


@lru_cache(maxsize=8)
def find_room(wanted: Wanted) -> Room | None:
    """The first try that fits, in the arrangement with the larger symbol; None if nothing fits."""
    rows = tuple(replace(row, text=_figures_alike(row.text)) for row in wanted.rows)
    return _find_room(replace(wanted, rows=rows))


@lru_cache(maxsize=4096)
def _figures_alike(text: str) -> str:
    """The text with all figures 0: they are equally wide."""
    return re.sub(r"[1-9]", "0", text)


@lru_cache(maxsize=4096)
def _find_room(wanted: Wanted) -> Room | None:
    """`find_room` for texts whose figures are all alike."""
    if wanted.post and wanted.post_cap_mm < LEAST_CAP_MM:
        return None
    for sizes in TRIES:
        rooms = [room for stacked in (False, True) if (room := _largest(wanted, sizes, stacked=stacked))]
        if rooms:
            return max(rooms, key=lambda room: room.module_mm)
    return None


def squeezed(wanted: Wanted) -> Room:
    """Words as large as the label holds them, however small."""
    x, y, width, height = _boxes(wanted, 0.0, stacked=False)[0]
    caps = row_heights_mm(wanted.rows, (0.0,) * len(wanted.rows), (max(width, 1.0), max(height, 1.0)))
    return Room((x, y, width, height), 0.0, 0.0, 0.0, caps or ())


def _largest(wanted: Wanted, sizes: Sizes, *, stacked: bool) -> Room | None:
    """The arrangement with the largest modules that leaves the words their sizes."""
    if not wanted.modules:
        return None if stacked else _arranged(wanted, sizes, 0.0, stacked=stacked)
    width, height = wanted.width_mm - PADDING_MM - wanted.left_mm - ASIDE_MM, wanted.height_mm - 2 * PADDING_MM
    low = min(sizes.module_mm, wanted.most_module_mm)
    high = min(width / wanted.modules, height / wanted.modules, wanted.most_module_mm)
    if high < low:
        return None
    best = _arranged(wanted, sizes, high, stacked=stacked)
    if best:
        return best
    best = _arranged(wanted, sizes, low, stacked=stacked)
    for _ in range(8 if best else 0):
        middle = (low + high) / 2
        room = _arranged(wanted, sizes, middle, stacked=stacked)
        best, low, high = (room, middle, high) if room else (best, low, middle)
    return best


def _arranged(wanted: Wanted, sizes: Sizes, module_mm: float, *, stacked: bool) -> Room | None:
    """One arrangement at one module size; None if a row falls below its least height."""
    module_mm = whole_dots_mm(module_mm, wanted.printer_dpi)
    if wanted.modules and module_mm < LEAST_MODULE_MM:
        return None
    block, x, y = _boxes(wanted, module_mm, stacked=stacked)
    least = [sizes.least_mm(row.kind) for row in wanted.rows]
    caps = row_heights_mm(wanted.rows, least, (block[2], block[3] / sizes.air))
    return Room(block, x, y, module_mm, caps) if caps else None


def _boxes(wanted: Wanted, module_mm: float, *, stacked: bool) -> tuple[Rect, float, float]:
    """Text block and corner of the symbol: on the right, or below the words in the middle."""
    left, top = wanted.left_mm, PADDING_MM
    right, bottom = wanted.width_mm - PADDING_MM, wanted.height_mm - PADDING_MM
    if not wanted.modules:
        return (left, top, right - left, bottom - top), 0.0, 0.0
    side, dpi = wanted.modules * module_mm, wanted.printer_dpi
    x = whole_dots_mm(right - ASIDE_MM - side, dpi)
    if stacked:
        y = whole_dots_mm(bottom - side, dpi)
        return (left, top, right - left, y - top), whole_dots_mm((left + x) / 2, dpi), y
    return (left, top, x - left, bottom - top), x, whole_dots_mm((top + bottom - side) / 2, dpi)


def whole_dots_mm(length_mm: float, printer_dpi: int | None) -> float:
    """A length rounded down to whole printer dots; unchanged without a printer resolution.

    Examples
    --------
    >>> round(whole_dots_mm(0.7, 203) * 203 / 25.4, 6)
    5.0
    """
    if not printer_dpi:
        return length_mm
    return math.floor(length_mm * printer_dpi / 25.4 + 1e-6) * 25.4 / printer_dpi
