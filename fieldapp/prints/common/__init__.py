"""What every document of a kit has: paper, margins; what workshop sheets have: head, tables, ruler, boxes to tick."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.words import _
from fieldapp.kit.kit import Kit, Part
from fieldapp.wording.counted import spares_words
from labels import PAPERS_MM
from labels.drawing import Anchor
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Mark, Page, PageItem
from labels.page_forms import TICK_MM, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, Column, fitting_size_mm, heading_bar, printable
from labels.pieces import ThinLine, Words

SIDE_MM = 14.0
"""Left and right margin [mm]."""

EDGE_MM = 9.0
"""Upper and lower margin: printers leave about 4 mm blank [mm].
Source: common practice, no source. Test: tests/prints/sheets/test_label_kinds.py"""

HEAD_MM = 6.0
"""Room of the running head, and of the foot [mm]."""

ROW_MM = 6.6
BAR_MM = 8.5
GROUP_GAP_MM = 3.5
TICK_COLUMNS = 4
TABLE_LEADING = 1.55
"""Height of a table's row, in type sizes."""
LEAST_ROWS = 2
"""A heading stands above at least so many rows, or on the next page."""


@dataclass(frozen=True, slots=True)
class KitPaper:
    """A document about a kit, on the paper that the design names."""

    kit: Kit

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Width and height of a page [mm]."""
        return PAPERS_MM[self.kit.design.labels.paper]

    @property
    def area(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of what a page may fill [mm]."""
        width, height = self.paper_mm
        return SIDE_MM, EDGE_MM + HEAD_MM, width - SIDE_MM, height - EDGE_MM - HEAD_MM

    @property
    def width_mm(self) -> float:
        """Width of what a page may fill [mm]."""
        return self.area[2] - self.area[0]

    def column(self) -> Column:
        """A column over the whole page."""
        return Column(self.area[0], self.area[1], self.width_mm)


@dataclass(frozen=True, slots=True)
class WorkshopSheet(KitPaper):
    """One document for the workshop."""

    title: str
    warning: str = ""
    """Above the head of every page."""


SheetPageMaker = Callable[[WorkshopSheet, int], Page]
"""Draws a page, given the document and the page's number."""


def finished(sheet: WorkshopSheet, number: int, items: Iterable[PageItem], *, marks: Sequence[Mark] = (),
             total: int | None = None) -> Page:
    """A page with its running head and number, and of how many if that is known."""
    left, top, right, bottom = sheet.area
    frame = sheet.kit.design.frame
    name = printable(frame.name, _("Kit {prefix}").format(prefix=frame.prefix))[0]
    head = top - HEAD_MM + SMALL_MM
    foot = str(number) if total is None else _("{number} of {total}").format(number=number, total=total)
    return Page((Words(sheet.title, left, head, SMALL_MM, bold=True), Words(name, right, head, SMALL_MM, anchor="end"),
                 ThinLine((left, head + 1.2), (right, head + 1.2), 0.25), *items,
                 Words(foot, right, bottom + HEAD_MM, 1.4 * SMALL_MM, bold=True, anchor="end")), tuple(marks))


def warned(pages: Iterable[Page], paper_mm: tuple[float, float], warning: str) -> Iterator[Page]:
    """The pages, each with a warning above its head; as they are without one."""
    head = warning_pieces(warning, paper_mm)
    for page in pages:
        yield Page((*head, *page.items), page.marks) if warning else page


def warning_pieces(warning: str, paper_mm: tuple[float, float]) -> tuple[Words, ...]:
    """A warning at the upper edge of a sheet; nothing without one."""
    width_mm = paper_mm[0] - 2 * SIDE_MM
    line = Words(warning, SIDE_MM, EDGE_MM - 1.0, fitting_size_mm(warning, width_mm, SMALL_MM, bold=True), bold=True)
    return (line,) if warning else ()


@dataclass(frozen=True, slots=True)
class Head:
    """Heading of a table's column."""

    text: str
    """As the sources have it; it is translated where it is printed."""
    width_mm: float
    anchor: Anchor = "end"


def table(column: Column, heads: Sequence[Head], rows: Iterable[Sequence[str]], *, size_mm: float = BODY_MM) -> None:
    """A table into a column of the page; the first cell of a row is set bold."""
    _row(column, heads, [_(head.text) for head in heads], size_mm=SMALL_MM, bold=True)
    column.items.append(ThinLine((column.x_mm, column.y_mm), (column.x_mm + _width(heads), column.y_mm), 0.4))
    for row in rows:
        _row(column, heads, row, size_mm=size_mm)
        column.items.append(ThinLine((column.x_mm, column.y_mm), (column.x_mm + _width(heads), column.y_mm), 0.12))


def _width(heads: Sequence[Head]) -> float:
    """Width of a table [mm]."""
    return sum(head.width_mm for head in heads)


def _row(column: Column, heads: Sequence[Head], cells: Sequence[str], *, size_mm: float, bold: bool = False) -> None:
    """One row, its first cell bold."""
    x, height = column.x_mm, TABLE_LEADING * size_mm
    for place, (head, cell) in enumerate(zip(heads, cells, strict=True)):
        shift = {"start": 1.0, "middle": head.width_mm / 2, "end": head.width_mm - 2.0}[head.anchor]
        size = fitting_size_mm(cell, head.width_mm - 2.0, size_mm, bold=True) if bold else size_mm
        column.items.append(Words(cell, x + shift, column.y_mm + (height + CAP_HEIGHT * size_mm) / 2, size,
                                  bold=bold or place == 0, anchor=head.anchor))
        x += head.width_mm
    column.y_mm += height


def ruler(x_mm: float, y_mm: float, length_mm: int) -> Iterator[PageItem]:
    """A ruler that shows whether the printer kept the size; figures below it."""
    yield ThinLine((x_mm, y_mm), (x_mm + length_mm, y_mm), 0.25)
    for at in range(length_mm + 1):
        tick = 4.5 if at % 10 == 0 else 3.2 if at % 5 == 0 else 1.8
        yield ThinLine((x_mm + at, y_mm), (x_mm + at, y_mm + tick), 0.15)
    for at in range(0, length_mm + 1, 10):
        yield Words(str(at), x_mm + at, y_mm + 7.6, SMALL_MM, anchor="middle")


@dataclass(frozen=True, slots=True)
class Ticks:
    """IDs to tick off under one heading."""

    title: str
    ids: tuple[tuple[str, str], ...]
    """Part ID, and a word after it."""


def ticks_of(title: str, counted: Callable[[int], str], parts: Sequence[Part]) -> Ticks:
    """Parts of one class, spares marked; `counted` says how many there are of what."""
    spares = sum(part.is_spare for part in parts)
    counts = [words(n) for n, words in ((len(parts) - spares, counted), (spares, spares_words)) if n]
    return Ticks(_("{name}: {what}").format(name=title, what=", ".join(counts)),
                 tuple((part.id, _("spare") if part.is_spare else "") for part in parts))


def tick_makers(groups: Sequence[Ticks], sheet: WorkshopSheet, mark: Mark) -> tuple[SheetPageMaker, ...]:
    """Pages of boxes to tick; a group that does not fit goes on with its heading repeated."""
    return tuple(_tick_maker(page, mark if number == 0 else None)
                 for number, page in enumerate(_tick_pages(groups, sheet)))


def _tick_pages(groups: Sequence[Ticks], sheet: WorkshopSheet) -> list[list[Ticks]]:
    """Groups page by page."""
    top, bottom = sheet.area[1::2]
    pages: list[list[Ticks]] = [[]]
    room = bottom - top
    for group in groups:
        ids = group.ids
        while ids:
            rows = int((room - BAR_MM - 2.0) // ROW_MM)
            if rows < min(LEAST_ROWS, math.ceil(len(ids) / TICK_COLUMNS)):
                pages.append([])
                room = bottom - top
                continue
            now, ids = ids[:rows * TICK_COLUMNS], ids[rows * TICK_COLUMNS:]
            title = group.title if now == group.ids[:len(now)] else _("{title}, continued").format(title=group.title)
            pages[-1].append(Ticks(title, now))
            room -= BAR_MM + 2.0 + math.ceil(len(now) / TICK_COLUMNS) * ROW_MM + GROUP_GAP_MM
    return pages


def _tick_maker(groups: Sequence[Ticks], mark: Mark | None) -> SheetPageMaker:
    def make(sheet: WorkshopSheet, number: int) -> Page:
        left, y = sheet.area[:2]
        items: list[PageItem] = []
        for group in groups:
            items += heading_bar(group.title, (left, y, sheet.width_mm, BAR_MM), CLEAR_MM)
            y += BAR_MM + 2.0
            items += _tick_items(group.ids, (left, y), sheet.width_mm)
            y += math.ceil(len(group.ids) / TICK_COLUMNS) * ROW_MM + GROUP_GAP_MM
        return finished(sheet, number, items, marks=() if mark is None else (mark,))
    return make


def _tick_items(ids: Sequence[tuple[str, str]], corner: tuple[float, float], width_mm: float) -> Iterator[PageItem]:
    """IDs in columns, read downward, each with its box."""
    rows = math.ceil(len(ids) / TICK_COLUMNS)
    for place, (part_id, word) in enumerate(ids):
        column, row = divmod(place, rows)
        x, middle = corner[0] + column * width_mm / TICK_COLUMNS, corner[1] + (row + 0.5) * ROW_MM
        yield tick_box(x, middle)
        baseline = middle + CAP_HEIGHT * BODY_MM / 2
        yield Words(part_id, x + TICK_MM + 2.0, baseline, BODY_MM)
        if word:
            yield Words(word, x + TICK_MM + 3.5 + text_width_mm(part_id, BODY_MM), baseline, SMALL_MM)
