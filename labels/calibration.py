"""A sheet on plain paper: does the printer keep the measure, which symbols do phones read, which labels stick."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from labels.fonts import CAP_HEIGHT
from labels.page_text import fitting_size_mm
from labels.pieces import Piece, SymbolMark, ThinLine, Words, box
from labels.sheet import cut_marks
from labels.stock import SheetStock
from labels.symbol import make_symbol

ACROSS_MM, DOWN_MM = 150.0, 200.0
"""Lengths of the two rulers [mm]."""

TICKS_MM = ((10, 5.0), (5, 3.5), (1, 2.0))
"""Every so many millimetres a tick of this length [mm]; the first that divides wins."""

TEXT_CAP_MM = 3.0
LINE_MM = 7.0
LINE_WIDTH_MM = 132.0
TRIAL_MODULES_MM = (0.5, 0.6, 0.8, 1.0)
SIZE_CAP_MM = 2.5
"""Height of the words below a trial symbol, clear of its quiet zone [mm]."""

HANGING_MM = 4.0
"""How far lines stand in that go on from the one above [mm]."""

STICKING_CAP_MM = 2.6
STICKING_LINE_MM = 6.0


@dataclass(frozen=True, slots=True)
class CheckWords:
    """What the sheet says; a line break in a paragraph is where its next line begins."""

    title: str
    steps: tuple[str, ...]
    """What to do, in order."""
    sticking_title: str
    sticking: tuple[str, ...]
    """Which label and glue for which part."""
    sizes: tuple[str, ...]
    """What stands below the trial symbols, one for each of `TRIAL_MODULES_MM`."""


def calibration_pieces(stock: SheetStock, trial_text: str, words: CheckWords) -> Iterator[Piece]:
    """Outlines of all labels, two rulers, what to do, and symbols of several sizes to try.

    Raises
    ------
    LabelError
        If `trial_text` is too long for a symbol.
    """
    yield from cut_marks(stock)
    yield from _outlines(stock)
    width, height = stock.paper_mm
    left, top = (width - ACROSS_MM) / 2, (height - DOWN_MM) / 2
    yield from _ruler(ACROSS_MM, left, top, down=False)
    yield from _ruler(DOWN_MM, left, top, down=True)
    yield box(left + 13.0, top + 16.0, ACROSS_MM - 13.0, 184.0, white=True)
    yield Words(words.title, left + 16.0, top + 26.0, 5.0 / CAP_HEIGHT, bold=True)
    yield from _lines(words.steps, (left + 16.0, top + 37.0), cap_mm=TEXT_CAP_MM, pitch_mm=LINE_MM)
    count = sum(len(paragraph.splitlines()) for paragraph in words.steps)
    yield from _trial_symbols(trial_text, (left + 16.0, top + 37.0 + LINE_MM * count), words.sizes)
    yield Words(words.sticking_title, left + 16.0, top + 144.0, 4.0 / CAP_HEIGHT, bold=True)
    yield from _lines(words.sticking, (left + 16.0, top + 152.0), cap_mm=STICKING_CAP_MM,
                      pitch_mm=STICKING_LINE_MM)


def _lines(paragraphs: Iterable[str], corner: tuple[float, float], *, cap_mm: float, pitch_mm: float
           ) -> Iterator[Piece]:
    """Lines of words, smaller where they would be too wide; those that go on from the one above stand in."""
    y = corner[1]
    for paragraph in paragraphs:
        for number, line in enumerate(paragraph.splitlines()):
            indent = HANGING_MM if number else 0.0
            size = fitting_size_mm(line, LINE_WIDTH_MM - indent, cap_mm / CAP_HEIGHT)
            yield Words(line, corner[0] + indent, y, size)
            y += pitch_mm


def _outlines(stock: SheetStock) -> Iterator[Piece]:
    """The edges of every label."""
    for index in range(stock.per_sheet):
        x, y = stock.position_mm(index)
        right, bottom = x + stock.label_width_mm, y + stock.label_height_mm
        corners = ((x, y), (right, y), (right, bottom), (x, bottom))
        for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
            yield ThinLine(start, end, dashed=True)


def _ruler(length_mm: float, x: float, y: float, *, down: bool) -> Iterator[Piece]:
    """A ruler from (x, y) to the right or downward, with figures in millimetres at every ten."""
    yield ThinLine((x, y), (x, y + length_mm) if down else (x + length_mm, y), 0.2)
    for at in range(int(length_mm) + 1):
        tick = next(size for step, size in TICKS_MM if at % step == 0)
        start = (x, y + at) if down else (x + at, y)
        yield ThinLine(start, (x + tick, y + at) if down else (x + at, y + tick), 0.15)
        if at % 10 == 0 and at:
            at_x, at_y = (x + 6.0, y + at + 1.0) if down else (x + at, y + 8.5)
            yield Words(str(at), at_x, at_y, 2.0 / CAP_HEIGHT, anchor="start" if down else "middle")


def _trial_symbols(text: str, corner: tuple[float, float], sizes: Iterable[str]) -> Iterator[Piece]:
    """The same symbol with modules from the smallest that is ever printed upward."""
    symbol = make_symbol(text)
    x, bottom = corner[0], corner[1] + symbol.full_size * TRIAL_MODULES_MM[-1]
    for module, words in zip(TRIAL_MODULES_MM, sizes, strict=True):
        side = symbol.full_size * module
        yield SymbolMark(symbol, x, bottom - side, module)
        yield Words(words, x + side / 2, bottom + SIZE_CAP_MM + 0.5, SIZE_CAP_MM / CAP_HEIGHT, anchor="middle")
        x += side
