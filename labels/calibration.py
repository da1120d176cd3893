"""A sheet on plain paper: does the printer keep the measure, which symbols do phones read, which labels stick."""

from collections.abc import Iterable, Iterator

from labels.fonts import CAP_HEIGHT
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
TRIAL_MODULES_MM = (0.5, 0.6, 0.8, 1.0)

WORDS = (
    "Print this sheet on plain paper at 100 %, not fitted to the page.",
    "1. Lay a steel rule against both rulers: they must measure true.",
    "   If they do not, switch off every scaling in the print window.",
    "2. Hold the sheet and a label sheet against the light, edge on edge:",
    "   the outlines must lie on the edges of the labels.",
    "   Measure what is off and change [labels] in design.toml.",
    "3. Scan the symbols below with the oldest phone of the crew.",
    "   Labels must not be smaller than what it reads at once.",
)

STICKING = (
    "Everywhere: matt film rather than paper, printed by laser or resin ribbon;",
    "   stick on dry, clean and not cold, press hard, leave a day before rain.",
    "Cardboard: film with strong permanent acrylic glue, right round the tube so that",
    "   it sticks to itself. Waxed or dusty tube: tie a tag on.",
    "Wood: sand and dust one spot; film with rubber glue, which fills a rough face.",
    "   Oily, wet or sawn faces: staple or tie a tag.",
    "Aluminium: wipe with spirit and let dry; film with permanent acrylic glue,",
    "   away from edges and from where clamps rub.",
)
"""Which label and glue for which part. Source: common practice, no source. Test: tests/labels/test_sheet.py"""

STICKING_CAP_MM = 2.6
STICKING_LINE_MM = 6.0


def calibration_pieces(stock: SheetStock, trial_text: str) -> Iterator[Piece]:
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
    yield Words("Printer check", left + 16.0, top + 26.0, 5.0 / CAP_HEIGHT, bold=True)
    yield from _lines(WORDS, (left + 16.0, top + 37.0), cap_mm=TEXT_CAP_MM, pitch_mm=LINE_MM)
    yield from _trial_symbols(trial_text, (left + 16.0, top + 37.0 + LINE_MM * len(WORDS)))
    yield Words("Which label sticks", left + 16.0, top + 144.0, 4.0 / CAP_HEIGHT, bold=True)
    yield from _lines(STICKING, (left + 16.0, top + 152.0), cap_mm=STICKING_CAP_MM,
                      pitch_mm=STICKING_LINE_MM)


def _lines(lines: Iterable[str], corner: tuple[float, float], *, cap_mm: float, pitch_mm: float) -> Iterator[Piece]:
    """Lines of words; those that go on from the one above stand in."""
    for number, line in enumerate(lines):
        indent = 4.0 if line.startswith(" ") else 0.0
        yield Words(line.strip(), corner[0] + indent, corner[1] + number * pitch_mm, cap_mm / CAP_HEIGHT)


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


def _trial_symbols(text: str, corner: tuple[float, float]) -> Iterator[Piece]:
    """The same symbol with modules from the smallest that is ever printed upward."""
    symbol = make_symbol(text)
    x, bottom = corner[0], corner[1] + symbol.full_size * TRIAL_MODULES_MM[-1]
    for module in TRIAL_MODULES_MM:
        side = symbol.full_size * module
        yield SymbolMark(symbol, x, bottom - side, module)
        yield Words(f"{module:g} mm", x + side / 2, bottom + 1.0, 2.5 / CAP_HEIGHT, anchor="middle")
        x += side
