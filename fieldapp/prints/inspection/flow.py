"""Pages of an inspection record that fill one after the other: paragraphs and tables whose cells may wrap."""

from collections.abc import Iterable, Iterator, Sequence

from fieldapp.prints.common import Head, WorkshopSheet, finished
from labels.page import Mark, Page
from labels.page_text import BODY_MM, CLEAR_MM, LEADING, SMALL_MM, Column, baseline_mm, wrapped
from labels.pieces import ThinLine, Words

CELL_GAP_MM = 2.0
ROW_GAP_MM = 0.9


class Flow:
    """Fills a column; goes on with a new page where one is full."""

    def __init__(self, sheet: WorkshopSheet) -> None:
        self.sheet = sheet
        self._columns = [sheet.column()]
        self._marks: list[list[Mark]] = [[]]

    @property
    def column(self) -> Column:
        """The column of the page that is being filled."""
        return self._columns[-1]

    def need(self, height_mm: float) -> bool:
        """Go to a new page unless there is so much room; True if it is a new one."""
        if self.column.y_mm + height_mm <= self.sheet.area[3]:
            return False
        self._columns.append(self.sheet.column())
        self._marks.append([])
        return True

    def chapter(self, title: str, key: str, room_mm: float = 30.0) -> None:
        """A heading, which begins a new page if little room is left."""
        if not self.need(room_mm) and self.column.y_mm > self.sheet.area[1]:
            self.column.gap(4.0)
        self._marks[-1].append(Mark(key, title, y_mm=self.column.y_mm))
        self.column.bar(title, CLEAR_MM)

    def text(self, words: str, size_mm: float = BODY_MM, *, bold: bool = False) -> None:
        """A paragraph; one that is cut by the end of the page goes on on the next."""
        for line in wrapped(words, self.column.width_mm, size_mm, bold=bold):
            self.need(LEADING * size_mm)
            self.column.line(line, size_mm, bold=bold)

    def table(self, heads: Sequence[Head], rows: Iterable[Sequence[str]], *, size_mm: float = SMALL_MM) -> None:
        """A table whose cells wrap; its heads come again on every page."""
        self._row(heads, [head.text for head in heads], SMALL_MM, bold=True)
        for row in rows:
            height = _height_mm(heads, row, size_mm)
            if self.need(height):
                self._row(heads, [head.text for head in heads], SMALL_MM, bold=True)
            self._row(heads, row, size_mm)

    def pages(self) -> Iterator[Page]:
        """All pages, with head and number."""
        for number, (column, marks) in enumerate(zip(self._columns, self._marks, strict=True), start=1):
            yield finished(self.sheet, number, column.items, marks=marks, total=len(self._columns))

    def _row(self, heads: Sequence[Head], cells: Sequence[str], size_mm: float, *, bold: bool = False) -> None:
        column, x = self.column, self.column.x_mm
        for place, (head, lines) in enumerate(zip(heads, _lines(heads, cells, size_mm), strict=True)):
            for number, line in enumerate(lines):
                y = column.y_mm + number * LEADING * size_mm + baseline_mm(size_mm)
                column.items.append(Words(line, x, y, size_mm, bold=bold or place == 0))
            x += head.width_mm
        column.y_mm += _height_mm(heads, cells, size_mm)
        line_mm = 0.4 if bold else 0.1
        column.items.append(ThinLine((column.x_mm, column.y_mm - ROW_GAP_MM / 2),
                                 (column.x_mm + column.width_mm, column.y_mm - ROW_GAP_MM / 2), line_mm))


def _lines(heads: Sequence[Head], cells: Sequence[str], size_mm: float) -> list[tuple[str, ...]]:
    return [wrapped(cell, head.width_mm - CELL_GAP_MM, size_mm, bold=place == 0)
            for place, (head, cell) in enumerate(zip(heads, cells, strict=True))]


def _height_mm(heads: Sequence[Head], cells: Sequence[str], size_mm: float) -> float:
    most = max((len(lines) for lines in _lines(heads, cells, size_mm)), default=1)
    return max(1, most) * LEADING * size_mm + ROW_GAP_MM
