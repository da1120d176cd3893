"""Labels on sheets: how each form is laid out, which position each takes, cut marks, what stands in the margin."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from labels import StartError
from labels.drawing import Circle, Drawing, Line
from labels.face import compose_face
from labels.fonts import CAP_HEIGHT
from labels.label import Form, Label
from labels.layout import compose
from labels.listing import compose_list
from labels.page_text import fitting_size_mm
from labels.pieces import Composition, Piece, PlacedDrawing, ThinLine, Warned, Words, moved
from labels.places import places
from labels.room import whole_dots_mm
from labels.stock import RollStock, SheetStock
from labels.symbol import Level
from labels.wrap import compose_wrap

HOLE_MM = 6.0
"""Diameter of the hole, as an office punch makes it [mm].
Source: common practice, no source. Test: tests/labels/test_hole.py"""

HOLE_EDGE_MM = 6.0
"""Left of the hole: less tears out in the wind [mm].
Source: common practice, no source. Test: tests/labels/test_hole.py"""

HOLE_ZONE_MM = HOLE_EDGE_MM + HOLE_MM + 3.0
"""Kept clear of words, for hole, reinforcement ring and knot [mm]."""

MARK_MM = 3.0
"""Length of a cut mark; it stays this side of the paper's edge [mm]."""
EDGE_MM = 4.0
"""Rim that many printers cannot print on [mm]. Source: common practice, no source. Test: tests/labels/test_sheet.py"""
MARGIN_CAP_MM = 1.9
"""Height of the capitals of the line in the margin [mm]."""
MARGIN_LINE_MM = 3.6
"""From this line to a warning above it [mm]."""


def compose_tag(label: Label, size_mm: tuple[float, float], *, level: Level = "M", printer_dpi: int | None = None
                ) -> Composition:
    """The plain label with room for a hole on its left; arguments and errors as `layout.compose`."""
    width, height = size_mm
    zone = whole_dots_mm(HOLE_ZONE_MM, printer_dpi)
    plain = compose(replace(label, form="plain"), (width - zone, height), level=level, printer_dpi=printer_dpi)
    hole = PlacedDrawing(_hole(height), 0.0, 0.0)
    return Composition(width, height, (hole, *moved(plain.pieces, zone)), plain.warnings)


def _hole(height_mm: float) -> Drawing:
    """A circle to punch out, its middle marked."""
    x, y = HOLE_EDGE_MM + HOLE_MM / 2, height_mm / 2
    return Drawing(HOLE_ZONE_MM, height_mm, (
        Circle((x, y), HOLE_MM / 2 + 1.5, "note", width_mm=0.15),
        Circle((x, y), HOLE_MM / 2, "text", width_mm=0.3),
        Line((x - 1.0, y), (x + 1.0, y), "text", 0.2), Line((x, y - 1.0), (x, y + 1.0), "text", 0.2)),
        "Hole for the string")


class Composer(Protocol):
    """Lays out one label of a size [mm]."""

    def __call__(self, label: Label, size_mm: tuple[float, float], *, level: Level = "M",
                 printer_dpi: int | None = None) -> Composition: ...


COMPOSERS: dict[Form, Composer] = {
    "plain": compose, "wrap": compose_wrap, "round": compose_face, "hexagon": compose_face, "tag": compose_tag,
    "list": compose_list,
}


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """A composed label and its corner on the sheet [mm]."""

    label: Label
    composition: Composition
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page of labels."""

    number: int
    labels: tuple[PlacedLabel, ...]
    margin: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class PrintOptions:
    """How the sheets are made."""

    start: int = 1
    """First free position of the first sheet, counted from 1 along the rows."""
    level: Level = "M"
    printer_dpi: int | None = None
    title: str = ""
    """Whose labels they are."""
    margin: str = "{title} labels · sheet {number} of {count} · from {first} to {last}"
    """What stands in the margin: gaps for the title, the sheet, how many there are, its first and last label."""
    warning: str = ""
    """Bold above it, or in its stead where there is room for one line only."""


def lay_out_sheets(labels: Sequence[Label], stock: SheetStock | RollStock, options: PrintOptions = PrintOptions()
                   ) -> tuple[Sheet, ...]:
    """All labels, in order, from the first free position on; what belongs together side by side (`places`).

    Raises
    ------
    LabelError
        If the start position is not on the sheet, or a text is too long for a symbol.
    """
    if not 1 <= options.start <= stock.per_sheet:
        raise StartError(stock.per_sheet, options.start)
    size = (stock.label_width_mm, stock.label_height_mm)
    placed: list[list[PlacedLabel]] = []
    for label, (page, position) in zip(labels, places(labels, stock, options.start), strict=True):
        if page == len(placed):
            placed.append([])
        composed = COMPOSERS[label.form](label, size, level=options.level, printer_dpi=options.printer_dpi)
        x, y = (whole_dots_mm(edge, options.printer_dpi) for edge in stock.position_mm(position))
        placed[page].append(PlacedLabel(label, composed, x, y))
    marks = tuple(cut_rules(stock) if isinstance(stock, RollStock) else cut_marks(stock))
    return tuple(Sheet(number, tuple(page), (*marks, *_margin_line(stock, options, (number, len(placed)), page)))
                 for number, page in enumerate(placed, start=1))


def sheet_warnings(sheets: Sequence[Sheet]) -> tuple[Warned, ...]:
    """Warnings of all labels, in order."""
    return tuple(warning for sheet in sheets for placed in sheet.labels for warning in placed.composition.warnings)


def cut_rules(stock: RollStock) -> Iterator[Piece]:
    """Dashed rules in the middle of the gaps of a strip."""
    width, _ = stock.paper_mm
    for index in range(1, stock.per_sheet):
        y = stock.position_mm(index)[1] - stock.gap_mm / 2
        yield ThinLine((0.0, y), (width, y), dashed=True)


def cut_marks(stock: SheetStock) -> Iterator[Piece]:
    """Short rules in the margins, in line with the edges of the labels."""
    width, height = stock.paper_mm
    right, bottom = (a + b for a, b in zip(stock.position_mm(stock.per_sheet - 1),
                                           (stock.label_width_mm, stock.label_height_mm), strict=True))
    for index in range(stock.columns):
        x, _ = stock.position_mm(index)
        for edge in (x, x + stock.label_width_mm):
            yield from _ticks("x", edge, (stock.margin_top_mm, bottom, height))
    for index in range(stock.rows):
        _, y = stock.position_mm(index * stock.columns)
        for edge in (y, y + stock.label_height_mm):
            yield from _ticks("y", edge, (stock.margin_left_mm, right, width))


def _ticks(axis: str, at_mm: float, low_high_paper_mm: tuple[float, float, float]) -> Iterator[Piece]:
    """One mark before the first and one behind the last label, as far as the paper goes."""
    low, high, paper = low_high_paper_mm
    for near, far in ((low - 0.5, max(low - 0.5 - MARK_MM, 0.0)), (high + 0.5, min(high + 0.5 + MARK_MM, paper))):
        if abs(near - far) < 0.5 or not 0 < near < paper:
            continue
        yield ThinLine((at_mm, near), (at_mm, far)) if axis == "x" else ThinLine((near, at_mm), (far, at_mm))


def _margin_line(stock: SheetStock | RollStock, options: PrintOptions, number_of: tuple[int, int],
                 page: Sequence[PlacedLabel]) -> Iterator[Piece]:
    """Which sheet this is and which labels it carries, where the upper margin has room."""
    if isinstance(stock, RollStock):
        return
    baseline = stock.margin_top_mm - MARK_MM - 1.5
    if baseline - MARGIN_CAP_MM < EDGE_MM:
        return
    first, last = page[0].label.title, page[-1].label.title
    text = options.margin.format(title=options.title, number=number_of[0], count=number_of[1], first=first, last=last)
    x, size = max(stock.margin_left_mm, EDGE_MM) + 1.5, MARGIN_CAP_MM / CAP_HEIGHT
    above = baseline - MARGIN_LINE_MM
    if not options.warning or above - MARGIN_CAP_MM >= EDGE_MM:
        yield Words(text, x, baseline, size)
    if options.warning:
        room = stock.paper_mm[0] - x - EDGE_MM
        yield Words(options.warning, x, above if above - MARGIN_CAP_MM >= EDGE_MM else baseline,
                    fitting_size_mm(options.warning, room, size, bold=True), bold=True)
