"""Where the symbols of a strip stand, so that one of them faces whoever looks at the tube, wherever they stand (L6).

Symbols stand in columns side by side along the tube, each column turned against its neighbour, so that their middles
follow each other more closely round the tube than symbols are high. Neighbours share a quiet zone. The edge that
closes the strip goes down by one step from column to column, so that where one column has its seam, the others have
a symbol.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from labels.curve import module_on_tube_mm, reading_deg
from labels.drawing import Point
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
LEAST_GLUE_MM: Final = 1.5
"""Left to be stuck on below the lowest step of the edge; elsewhere it is all of the overlap [mm].
Source: our choice. Test: tests/labels/test_wrap.py"""


@dataclass(frozen=True, slots=True)
class TubeStrip:
    """Sizes of a strip and its tube [mm]."""

    width: float
    """Along the tube."""
    height: float
    """Round it, with the blank stretch that the edge closes over."""
    tube: float
    """Outer diameter."""

    @property
    def once_round(self) -> float:
        """Circumference of the tube."""
        return math.pi * self.tube

    @property
    def printed(self) -> float:
        """Height without the blank stretch."""
        return min(self.once_round, self.height)

    @property
    def overlap(self) -> float:
        """The blank stretch; below 0 where the strip goes only part of the way round."""
        return self.height - self.once_round


@dataclass(frozen=True, slots=True)
class Around:
    """Symbols round a tube: their modules, columns, and middles in turn."""

    module_mm: float
    columns: int
    middles_mm: tuple[float, ...]
    """Round the tube from the strip's printed edge; they take the columns in turn."""
    step_mm: float
    """By which the edge goes down from column to column; 0: it is straight."""
    half_gap_deg: float
    """Farthest that the line of sight can be from the nearest middle, but for the seam, on a phone held near."""
    seam_deg: float
    """The same at the seam."""
    reading_deg: float

    @property
    def faces_sides(self) -> bool:
        """Whether a symbol is within reading angle from everywhere but the seam."""
        return self.half_gap_deg <= self.reading_deg

    @property
    def faces_all(self) -> bool:
        """Whether a symbol is within reading angle from everywhere."""
        return max(self.half_gap_deg, self.seam_deg) <= self.reading_deg

    @property
    def overlap_mm(self) -> float:
        """What the edge closes over, at least."""
        return (self.columns - 1) * self.step_mm + LEAST_GLUE_MM


def around(symbol: Symbol, strip: TubeStrip, printer_dpi: int | None = None) -> Around | None:
    """The fewest columns that face everywhere, with the largest modules; else those that come nearest to it.

    Parameters
    ----------
    symbol : Symbol
    strip : TubeStrip
    printer_dpi : int, optional
        Modules are whole dots then.

    Returns
    -------
    Around or None
        None if the tube is too thin for any.
    """
    tries = [tried for columns in range(1, MOST_COLUMNS + 1) for module in _modules_mm(symbol, strip.tube, printer_dpi)
             if (tried := _in_columns(symbol, strip, columns=columns, module_mm=module))]
    if not tries:
        return None
    for tried in tries:
        if tried.faces_all:
            return tried
    facing = [tried for tried in tries if tried.faces_sides]
    return (min(facing, key=lambda tried: tried.seam_deg - tried.reading_deg) if facing
            else min(tries, key=lambda tried: tried.half_gap_deg - tried.reading_deg))


def edge(found: Around, symbol: Symbol, width_mm: float) -> tuple[Point, ...]:
    """Corners of the printed edge right of the first column: across, down, across to the strip's right; or none."""
    if not found.step_mm:
        return ()
    apart = (symbol.size + QUIET_ZONE) * found.module_mm
    quiet = QUIET_ZONE / 2 * found.module_mm
    lefts = [width_mm - PADDING_MM - quiet - (found.columns - column) * apart for column in range(1, found.columns)]
    corners = [(x, at * found.step_mm) for column, x in enumerate(lefts) for at in (column, column + 1)]
    return (*corners, (width_mm, corners[-1][1]))


def _modules_mm(symbol: Symbol, tube_mm: float, printer_dpi: int | None) -> tuple[float, ...]:
    """Sizes that can be read round this tube, the largest first."""
    most = module_on_tube_mm(tube_mm, symbol.size)
    if not most:
        return ()
    if not printer_dpi:
        return tuple(np.linspace(most, LEAST_MODULE_MM, STEPS).tolist()) if most > LEAST_MODULE_MM else (most,)
    dot = 25.4 / printer_dpi
    return tuple(dots * dot for dots in range(int(most / dot + 1e-6), math.ceil(LEAST_MODULE_MM / dot - 1e-6) - 1, -1))


def _in_columns(symbol: Symbol, strip: TubeStrip, *, columns: int, module_mm: float) -> Around | None:
    """As many symbols as find room in so many columns; None where not one does (L6)."""
    apart = (symbol.size + QUIET_ZONE) * module_mm
    wide = columns * apart + QUIET_ZONE * module_mm
    if wide > SHARE * strip.width or strip.printed < apart:
        return None
    closing = _closing_mm(strip, columns, apart)
    middles = closing or _straight_mm(strip, columns, apart)
    pitch_mm = middles[1] - middles[0] if len(middles) > 1 else strip.once_round
    gap_deg, seam_deg = (math.degrees(mm / strip.tube) * (1 + strip.tube / 2 / HELD_MM)
                         for mm in (pitch_mm, pitch_mm if closing else apart))
    return Around(module_mm, columns, middles, pitch_mm if closing and columns > 1 else 0.0, gap_deg, seam_deg,
                  reading_deg(strip.tube, module_mm, symbol.size))


def _closing_mm(strip: TubeStrip, columns: int, apart_mm: float) -> tuple[float, ...]:
    """Middles all the way round, the seam not felt; none where the strip or what it closes over is too short."""
    count = columns * int(strip.printed / apart_mm + 1e-6)
    pitch_mm = strip.once_round / count
    if strip.overlap < ((columns - 1) * pitch_mm + LEAST_GLUE_MM if columns > 1 else -1e-6):
        return ()
    return tuple(apart_mm / 2 + pitch_mm * index for index in range(count))


def _straight_mm(strip: TubeStrip, columns: int, apart_mm: float) -> tuple[float, ...]:
    """Middles from a straight edge to the other."""
    gaps = int((strip.printed - apart_mm) * columns / apart_mm + 1e-6)
    first = apart_mm / 2
    return tuple(np.linspace(first, strip.printed - first, gaps + 1).tolist()) if gaps else (strip.printed / 2,)


def marks_around(found: Around, symbol: Symbol, width_mm: float, printer_dpi: int | None = None
                 ) -> Iterator[SymbolMark]:
    """At the right edge of the strip, the quiet zone of the first and last reaching over the seam."""
    side, apart = symbol.full_size * found.module_mm, (symbol.size + QUIET_ZONE) * found.module_mm
    right = width_mm - PADDING_MM - side
    for index, middle in enumerate(found.middles_mm):
        x = right - (found.columns - 1 - index % found.columns) * apart
        y = middle - side / 2
        yield SymbolMark(symbol, whole_dots_mm(x, printer_dpi), whole_dots_mm(y, printer_dpi), found.module_mm)
