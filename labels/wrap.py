"""Strips to wrap round a tube: whatever side faces whoever looks shows the ID, the arrow and a symbol.

The strip's width lies along the tube and its height goes round it. The rows are repeated every quarter turn (every
third where they find no room, more often round thick tubes), so the nearest stands at most 45° (60°) off the line of
sight and keeps 71 % (50 %) of its height. The last stretch is blank: it is stuck on first, and the printed edge closes
over it. Where symbols stand in several columns, a corner of that edge is cut off in steps: the symbols below it come
through from the other layer, and close the seam.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from labels.around import Around, TubeStrip, around, edge, marks_around
from labels.drawing import Point
from labels.fonts import CAP_HEIGHT
from labels.label import Label
from labels.layout import broken, strange_warnings
from labels.pieces import Composition, Piece, ThinLine, Warned, Words, box
from labels.room import PADDING_MM
from labels.symbol import Level, Symbol, make_symbol
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM, TextRow, band_widths, draw_rows, row_heights_mm

LEAST_ROUND: Final = (4, 3)
"""How often the rows are repeated round the tube at least, first choice first."""

REPEAT_MM: Final = 40.0
"""Round thick tubes they are repeated about every so much [mm]."""

BAR_MM: Final = 2.4
BAR_GAP_MM: Final = 1.4
"""A class band that goes round the tube, and the gap behind it [mm]."""

BARS_SHARE: Final = 0.16
"""Widest part of the strip's width for the bands."""

GAP_MM: Final = 1.5
"""Between neighbouring blocks [mm]."""

PANEL_GAP_MM: Final = 3.5
"""Between the rows and their next repetition [mm]."""

GLUE_CAP_MM: Final = 1.8

LONGEST_OVERLAP_MM: Final = 60.0
"""Tried where the seam would need more to close over (in no formula)."""


@dataclass(frozen=True, slots=True)
class _Block:
    """The rows that find room, and how often they come."""

    rows: tuple[TextRow, ...]
    caps_mm: tuple[float, ...]
    repeats: int


def compose_wrap(label: Label, size_mm: tuple[float, float], *, level: Level = "M", printer_dpi: int | None = None
                 ) -> Composition:
    """Lay out one strip; `label.tube_mm` is the tube's diameter. Other arguments and errors as `layout.compose`."""
    strip = TubeStrip(*size_mm, label.tube_mm)
    bars = _bars(label.bands, strip)
    left = PADDING_MM + sum(width + BAR_GAP_MM for _, width in bars) + (GAP_MM if bars else 0.0)
    symbol = make_symbol(label.symbol_text, level) if label.symbol_text else None
    found = around(symbol, strip, printer_dpi) if symbol else None
    marks = tuple(marks_around(found, symbol, strip.width, printer_dpi)) if symbol and found else ()
    corners = edge(found, symbol, strip.width) if symbol and found else ()
    right = min((mark.x_mm for mark in marks), default=strip.width - PADDING_MM)
    block = _block(label, strip, right - left)
    pieces = (*(box(x, 0.0, width, strip.printed) for x, width in bars), *_rows(block, strip, left=left, right=right),
              *_glue(strip, label.glue_words, right), *_cut(label.cut_words, corners), *marks)
    warnings = (*_warnings(label, strip, block), *(_unread(label, strip, symbol, found) if symbol else ()),
                *strange_warnings(label))
    return Composition(*size_mm, pieces, warnings)


def _bars(bands: int, strip: TubeStrip) -> tuple[tuple[float, float], ...]:
    """Left edge and width of each class band; a broad one stands for five [mm]."""
    widths = [BAR_MM * width / min(band_widths(1)) for width in band_widths(bands)] if bands else []
    scale = min(1.0, BARS_SHARE * strip.width / (sum(widths) + BAR_GAP_MM * len(widths))) if widths else 1.0
    lefts = [PADDING_MM + sum(w * scale + BAR_GAP_MM for w in widths[:index]) for index in range(len(widths))]
    return tuple((left, width * scale) for left, width in zip(lefts, widths, strict=True))


def _block(label: Label, strip: TubeStrip, width_mm: float) -> _Block:
    """As many rows as find room, ID and arrow first, as often round the tube as they do."""
    for rows in _choices(label):
        for a_turn in LEAST_ROUND:
            repeats = _repeats(strip, a_turn)
            least = [CLEAR_CAP_MM if row.kind == "headline" else LEAST_CAP_MM for row in rows]
            caps = row_heights_mm(rows, least, (max(width_mm, 1.0), strip.printed / repeats - PANEL_GAP_MM))
            if caps:
                return _Block(rows, caps, repeats)
    rows, repeats = (TextRow("headline", label.headline),), _repeats(strip, LEAST_ROUND[-1])
    caps = row_heights_mm(rows, (0.0,), (max(width_mm, 1.0), max(1.0, strip.printed / repeats - GAP_MM)))
    return _Block(rows, caps or (1.0,), repeats)


def _repeats(strip: TubeStrip, least_a_turn: int) -> int:
    """How often the rows come on this strip, if they come so many times a turn or more."""
    a_turn = max(least_a_turn, round(strip.once_round / REPEAT_MM))
    return max(1, round(a_turn * strip.printed / strip.once_round))


def _choices(label: Label) -> Iterator[tuple[TextRow, ...]]:
    """Sets of rows, the fullest first; an arrow may stand in one line or in two."""
    head = TextRow("headline", label.headline)
    arrow = TextRow("post", label.arrow)
    arrows = (arrow, *broken(arrow)) if label.arrow and not label.arrow_up else ()
    more = tuple(TextRow("class" if text == label.band_letter else "line", text)
                 for text in (label.band_letter, *label.lines) if text)
    for count in range(len(more), -1, -1):
        yield from ((head, post, *more[:count]) for post in arrows)
        if not arrows:
            yield (head, *more[:count])
    yield (head,)


def _rows(block: _Block, strip: TubeStrip, *, left: float, right: float) -> Iterator[Piece]:
    """The block as often as it comes."""
    pitch = strip.printed / block.repeats
    for index in range(block.repeats):
        corner_size = (left, index * pitch + PANEL_GAP_MM / 2, right - left, pitch - PANEL_GAP_MM)
        yield from draw_rows(block.rows, block.caps_mm, corner_size)


def _glue(strip: TubeStrip, words: str, right: float) -> Iterator[Piece]:
    """The blank stretch that the printed edge closes over; its line stays out of the quiet zones of symbols."""
    blank = strip.height - strip.printed
    if blank < 1.0:
        return
    yield ThinLine((0.0, strip.printed), (right, strip.printed), dashed=True)
    if blank > 2 * GLUE_CAP_MM:
        yield Words(words, right / 2, strip.printed + (blank + GLUE_CAP_MM) / 2, GLUE_CAP_MM / CAP_HEIGHT,
                    anchor="middle")


def _cut(words: str, corners: tuple[Point, ...]) -> Iterator[Piece]:
    """Where the corner is cut off, in steps."""
    yield from (ThinLine(*ends, dashed=True) for ends in pairwise(corners))
    if corners:
        (left, _), (right, bottom) = corners[-2:]
        yield Words(words, (left + right) / 2, (bottom + GLUE_CAP_MM) / 2, GLUE_CAP_MM / CAP_HEIGHT, anchor="middle")


def _warnings(label: Label, strip: TubeStrip, block: _Block) -> Iterator[Warned]:
    """Texts that found no room; the address is not printed on strips, so it is not missed."""
    size = _size(strip)
    said = [row.text.replace("\n", " ") for row in block.rows]
    for text in (label.arrow, label.band_letter, *label.lines):
        if text and text not in said:
            yield Warned(label.title, text, f'"{text}" does not fit on a strip of {size} and is left out; '
                                            f"choose a larger labels.wrap_width_mm")
    if block.caps_mm[0] < CLEAR_CAP_MM:
        yield Warned(label.title, label.headline, f'"{label.headline}" is printed smaller than can be read at arm\'s '
                                                  f"length on a strip of {size}; hang a tag on the tube")


def _unread(label: Label, strip: TubeStrip, symbol: Symbol, found: Around | None) -> Iterator[Warned]:
    """From where no symbol is surely read, and what would help."""
    size = _size(strip)
    if found is None:
        yield Warned(label.title, "QR symbol", f"a tube of {strip.tube:g} mm is too thin for a symbol that can be read "
                                               f"round the curve on a strip of {size}; hang a tag on it")
    elif not found.faces_sides:
        yield Warned(label.title, "QR symbol", f"from some sides of a tube of {strip.tube:g} mm the nearest symbol on "
                                               f"a strip of {size} faces too far away to be surely read: turn the tube "
                                               f"a little, take its photo inside the page, or choose a larger "
                                               f"labels.wrap_width_mm")
    elif not found.faces_all:
        longer = around(symbol, replace(strip, height=strip.once_round + LONGEST_OVERLAP_MM))
        what = (f"labels.wrap_overlap_mm = {math.ceil(longer.overlap_mm)}" if longer and longer.faces_all
                else "a larger labels.wrap_width_mm")
        yield Warned(label.title, "QR symbol", f"at the seam of a strip of {size} round a tube of {strip.tube:g} mm no "
                                               f"symbol is surely read: turn the tube a little, or choose {what}")


def _size(strip: TubeStrip) -> str:
    return f"{strip.width:.0f} × {strip.height:.0f} mm"
