"""Where the symbols of a strip stand, so that one of them faces whoever looks at the tube, wherever they stand (L6).

Symbols stand in columns side by side along the tube, each column turned against its neighbour, so that their middles
follow each other more closely round the tube than symbols are high. Neighbours share a quiet zone.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from labels.curve import module_on_tube_mm, reading_deg
from labels.pieces import SymbolMark
from labels.room import LEAST_MODULE_MM, PADDING_MM, whole_dots_mm
from labels.symbol import QUIET_ZONE, Symbol

MOST_COLUMNS: Final = 4
"""More would leave no room for words (in no formula)."""
SHARE: Final = 0.45
"""Widest part of the strip's width for symbols; our choice."""
HELD_MM: Final = 250.0
"""A phone is held no nearer: what is off the middle of a thick tube is seen under a larger angle [mm].
Source: common practice, no source. Test: tests/labels/test_wrap.py"""
STEPS: Final = 8
"""Sizes of modules that are tried without a printer's resolution (in no formula)."""


@dataclass(frozen=True, slots=True)
class Around:
    """Symbols round a tube: their modules, columns, and middles in turn."""

    module_mm: float
    columns: int
    middles_mm: tuple[float, ...]
    """Round the tube from the strip's printed edge; they take the columns in turn."""
    half_gap_deg: float
    """Farthest that the line of sight can be from the nearest middle, but for the seam, on a phone held near."""
    reading_deg: float

    @property
    def faces_all(self) -> bool:
        """Whether a symbol is within reading angle from everywhere but the seam."""
        return self.half_gap_deg <= self.reading_deg


def symbols_around(symbol: Symbol, tube_mm: float, size_mm: tuple[float, float], printer_dpi: int | None = None
                   ) -> tuple[SymbolMark, ...]:
    """The symbols of a strip, column by column from its right edge; none if the tube is too thin for one.

    Parameters
    ----------
    symbol : Symbol
    tube_mm : float
        Outer diameter [mm].
    size_mm : (float, float)
        Width along the tube and printed length round it [mm].
    printer_dpi : int, optional
        Corners and modules are whole dots then.
    """
    found = around(symbol, tube_mm, size_mm, printer_dpi)
    return tuple(_marks(symbol, found, size_mm[0], printer_dpi)) if found else ()


def around(symbol: Symbol, tube_mm: float, size_mm: tuple[float, float], printer_dpi: int | None = None
           ) -> Around | None:
    """The fewest columns that face everywhere, with the largest modules; else those that come nearest to it."""
    tries = [tried for columns in range(1, MOST_COLUMNS + 1) for module in _modules_mm(symbol, tube_mm, printer_dpi)
             if (tried := _in_columns(symbol, tube_mm, size_mm, columns=columns, module_mm=module))]
    if not tries:
        return None
    facing = [tried for tried in tries if tried.faces_all]
    return facing[0] if facing else min(tries, key=lambda tried: tried.half_gap_deg - tried.reading_deg)


def _modules_mm(symbol: Symbol, tube_mm: float, printer_dpi: int | None) -> tuple[float, ...]:
    """Sizes that can be read round this tube, the largest first."""
    most = module_on_tube_mm(tube_mm, symbol.size)
    if not most:
        return ()
    if not printer_dpi:
        return tuple(np.linspace(most, LEAST_MODULE_MM, STEPS).tolist()) if most > LEAST_MODULE_MM else (most,)
    dot = 25.4 / printer_dpi
    return tuple(dots * dot for dots in range(int(most / dot + 1e-6), math.ceil(LEAST_MODULE_MM / dot - 1e-6) - 1, -1))


def _in_columns(symbol: Symbol, tube_mm: float, size_mm: tuple[float, float], *, columns: int, module_mm: float
                ) -> Around | None:
    """As many symbols as find room in so many columns; None where not one does (L6)."""
    apart = (symbol.size + QUIET_ZONE) * module_mm
    width, round_mm = size_mm
    wide = columns * apart + QUIET_ZONE * module_mm
    if wide > SHARE * width or round_mm < apart:
        return None
    gaps = int((round_mm - apart) * columns / apart + 1e-6)
    first = apart / 2
    middles = np.linspace(first, round_mm - first, gaps + 1) if gaps else np.array([round_mm / 2])
    gap_mm = middles[1] - middles[0] if gaps else round_mm
    half_gap_deg = math.degrees(gap_mm / tube_mm) * (1 + tube_mm / 2 / HELD_MM)
    return Around(module_mm, columns, tuple(middles.tolist()), half_gap_deg,
                  reading_deg(tube_mm, module_mm, symbol.size))


def _marks(symbol: Symbol, found: Around, width_mm: float, printer_dpi: int | None) -> Iterator[SymbolMark]:
    """At the right edge of the strip, the quiet zone of the first and last reaching over the seam."""
    side, apart = symbol.full_size * found.module_mm, (symbol.size + QUIET_ZONE) * found.module_mm
    right = width_mm - PADDING_MM - side
    for index, middle in enumerate(found.middles_mm):
        x = right - (found.columns - 1 - index % found.columns) * apart
        y = middle - side / 2
        yield SymbolMark(symbol, whole_dots_mm(x, printer_dpi), whole_dots_mm(y, printer_dpi), found.module_mm)
