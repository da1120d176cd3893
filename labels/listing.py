"""Labels of boxes, bundles and bags: what it is, the symbol, and every part inside with a box to tick."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label
from labels.layout import strange_warnings
from labels.pieces import Composition, Piece, SymbolMark, ThinLine, Warned, Words, box
from labels.room import LEAST_MODULE_MM, whole_dots_mm
from labels.symbol import Level, Symbol, make_symbol
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM, TextRow, draw_rows, row_heights_mm

MARGIN_MM: Final = 4.0
ITEM_CAPS_MM: Final = (1.2 * CLEAR_CAP_MM, CLEAR_CAP_MM, 3.5, LEAST_CAP_MM)
"""Heights of the capitals of the contents to try [mm]."""

PITCH: Final = 2.0
"""From entry to entry, in heights of capitals."""

TICK: Final = 1.25
"""Side of the box to tick, in heights of capitals."""

COLUMN_GAP_MM: Final = 4.0
TICK_GAP_MM: Final = 1.6

HEAD_SHARE: Final = 0.36
"""Height of the head, with the symbol in it, as a share of the label's."""

RULE_GAP_MM: Final = 2.0
"""Above and below the rule under the head [mm]."""

LARGEST_MODULE_MM: Final = 1.6


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the contents go."""

    columns: int
    rows: int
    column_mm: float
    cap: float
    """Height of capitals [mm]."""


def capacity(contents: tuple[str, ...], size_mm: tuple[float, float]) -> int:
    """How many of these fit on a label, at least one."""
    grid = _grid(contents, size_mm)
    return max(1, grid.columns * grid.rows)


def compose_list(label: Label, size_mm: tuple[float, float], *, level: Level = "M", printer_dpi: int | None = None
                 ) -> Composition:
    """Lay out one label; arguments and errors as `layout.compose`."""
    width, _ = size_mm
    symbol = make_symbol(label.symbol_text, level) if label.symbol_text else None
    marks = tuple(_mark(symbol, size_mm, printer_dpi)) if symbol else ()
    right = marks[0].x_mm if marks else width - MARGIN_MM
    rows, caps = _head_rows(label, right - MARGIN_MM, size_mm)
    head = draw_rows(rows, caps, (MARGIN_MM, MARGIN_MM, right - MARGIN_MM, _head_mm(size_mm) - MARGIN_MM - RULE_GAP_MM))
    shown = label.contents[:capacity(label.contents, size_mm)]
    pieces = (*head, *marks, ThinLine((MARGIN_MM, _head_mm(size_mm)), (width - MARGIN_MM, _head_mm(size_mm)), 0.3),
              *_items(shown, _grid(label.contents, size_mm), size_mm))
    return Composition(*size_mm, pieces, (*_warnings(label, rows, caps, fate=(size_mm, len(shown), bool(marks))),
                                          *strange_warnings(label)))


def _head_mm(size_mm: tuple[float, float]) -> float:
    """Height of the head."""
    return HEAD_SHARE * size_mm[1]


def _rows_mm(size_mm: tuple[float, float]) -> float:
    """Height of the words in the head."""
    return _head_mm(size_mm) - MARGIN_MM - RULE_GAP_MM


def _grid(contents: tuple[str, ...], size_mm: tuple[float, float]) -> _Grid:
    """The largest print that holds all of it, columns as wide as the longest entry needs."""
    grids = [_grid_at(cap, contents, size_mm) for cap in ITEM_CAPS_MM]
    return next((grid for grid in grids if grid.columns * grid.rows >= len(contents)), grids[-1])


def _grid_at(cap: float, contents: tuple[str, ...], size_mm: tuple[float, float]) -> _Grid:
    """What fits at one height of capitals."""
    need = TICK * cap + TICK_GAP_MM + max((unit_width(text) for text in contents), default=1.0) * cap / CAP_HEIGHT
    width, height = size_mm[0] - 2 * MARGIN_MM, size_mm[1] - _head_mm(size_mm) - MARGIN_MM - RULE_GAP_MM
    columns = max(1, int((width + COLUMN_GAP_MM) // (need + COLUMN_GAP_MM)))
    return _Grid(columns, max(0, int(height // (PITCH * cap))), width / columns, cap)


def _mark(symbol: Symbol, size_mm: tuple[float, float], dpi: int | None) -> Iterator[SymbolMark]:
    """The symbol in the upper right corner, as large as the head lets it."""
    most = min(LARGEST_MODULE_MM, (_head_mm(size_mm) - 2.0) / symbol.full_size, 0.45 * size_mm[0] / symbol.full_size)
    module = whole_dots_mm(most, dpi)
    if module >= LEAST_MODULE_MM:
        side = module * symbol.full_size
        yield SymbolMark(symbol, whole_dots_mm(size_mm[0] - 1.0 - side, dpi),
                         whole_dots_mm((_head_mm(size_mm) - side) / 2, dpi), module)


def _head_rows(label: Label, width_mm: float, size_mm: tuple[float, float]) -> tuple[list[TextRow], tuple[float, ...]]:
    """As many rows as the head holds, and the heights of their capitals."""
    rows = [TextRow("headline", label.headline)]
    rows += [TextRow("class", label.band_letter, label.bands)] if label.band_letter else []
    rows += [TextRow("line", line) for line in label.lines]
    rows += [TextRow("small", label.footnote)] if label.footnote else []
    for count in range(len(rows), 0, -1):
        least = [CLEAR_CAP_MM, *(1.5 if row.kind == "small" else LEAST_CAP_MM for row in rows[1:count])]
        caps = row_heights_mm(rows[:count], least, (max(width_mm, 1.0), _rows_mm(size_mm)))
        if caps:
            return rows[:count], caps
    caps = row_heights_mm(rows[:1], (0.0,), (max(width_mm, 1.0), _head_mm(size_mm)))
    return rows[:1], caps or (1.0,)


def _items(contents: tuple[str, ...], grid: _Grid, size_mm: tuple[float, float]) -> Iterator[Piece]:
    """Every entry with its box, column by column, columns equally long."""
    top, cap = _head_mm(size_mm) + RULE_GAP_MM, grid.cap
    rows = math.ceil(len(contents) / math.ceil(len(contents) / max(grid.rows, 1))) if contents else 1
    for index, text in enumerate(contents):
        column, row = divmod(index, rows)
        x, middle = MARGIN_MM + column * grid.column_mm, top + (row + 0.5) * PITCH * cap
        yield from _tick_box(x, middle - TICK * cap / 2, TICK * cap)
        yield Words(text, x + TICK * cap + TICK_GAP_MM, middle + cap / 2, cap / CAP_HEIGHT)


def _tick_box(x: float, y: float, side: float) -> Iterator[Piece]:
    """An empty square."""
    yield box(x, y, side, side)
    yield box(x + 0.25, y + 0.25, side - 0.5, side - 0.5, white=True)


def _warnings(label: Label, rows: list[TextRow], caps: tuple[float, ...], *,
              fate: tuple[tuple[float, float], int, bool]) -> Iterator[Warned]:
    """Texts that found no room."""
    (width, height), shown, has_mark = fate
    said = {row.text for row in rows}
    missing = [text for text in (label.band_letter, *label.lines, label.footnote, *label.contents[shown:])
               if text and text not in said and text not in label.contents[:shown]]
    missing += [] if has_mark or not label.symbol_text else ["QR symbol"]
    for text in missing:
        yield Warned(label.title, text, f'"{text}" does not fit on a label of {width:g} × {height:g} mm and is left '
                                        f"out; choose larger labels.box_width_mm and labels.box_height_mm")
    if caps[0] < CLEAR_CAP_MM:
        yield Warned(label.title, label.headline, f'"{label.headline}" is printed smaller than can be read at arm\'s '
                                                  f"length on a label of {width:g} × {height:g} mm")
