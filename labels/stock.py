"""Label sheets and rolls described in millimetres: paper, grid, margins and gaps. No brand names."""

from dataclasses import dataclass, fields

from labels import PAPERS_MM, SLACK_MM, LabelError
from labels.room import whole_dots_mm

CUT_MARGIN_MM = 8.0
"""Least margin of sheets that are cut by hand [mm].
Source: common practice, no source. Test: tests/labels/test_stock.py"""

LONGEST_MM = 5000.0
"""A PDF page is at most 14,400 points (5,080 mm) long [mm].
Source: ISO 32000-1, Annex C. Test: tests/labels/test_roll.py"""
HAIR_MM = 0.001


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet of equal labels, counted from the top left, row by row.

    Raises
    ------
    LabelError
        If a size is not above zero or the grid does not fit the paper; the message says what would fit.

    Examples
    --------
    >>> stock = SheetStock("A4", 2, 7, 99.0, 38.0, margin_left_mm=4.5, margin_top_mm=15.5, gap_x_mm=3.0)
    >>> stock.per_sheet, stock.position_mm(3)
    (14, (106.5, 53.5))
    """

    paper: str
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    margin_left_mm: float = 0.0
    margin_top_mm: float = 0.0
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0

    def __post_init__(self) -> None:
        _check_values(self)
        width, height = self.paper_mm
        _check_fit("columns", self.columns, self.label_width_mm, (self.margin_left_mm, self.gap_x_mm, width))
        _check_fit("rows", self.rows, self.label_height_mm, (self.margin_top_mm, self.gap_y_mm, height))

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Width and height of the paper [mm]."""
        return PAPERS_MM[self.paper]

    @property
    def per_sheet(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def position_mm(self, index: int) -> tuple[float, float]:
        """Top left corner of label `index` (from 0), from the paper's top left corner [mm]."""
        row, column = divmod(index, self.columns)
        return (self.margin_left_mm + column * (self.label_width_mm + self.gap_x_mm),
                self.margin_top_mm + row * (self.label_height_mm + self.gap_y_mm))


def cut_stock(paper: str, label_mm: tuple[float, float], *, gap_mm: float = 4.0) -> SheetStock:
    """Plain paper, or one large label, with as many labels of a size as find room, to be cut out.

    Raises
    ------
    LabelError
        If not one finds room.

    Examples
    --------
    >>> cut_stock("A4", (90.0, 90.0)).per_sheet
    6
    """
    width, height = PAPERS_MM[paper]
    counts = [int((side - 2 * CUT_MARGIN_MM + gap_mm + SLACK_MM) // (size + gap_mm))
              for side, size in zip((width, height), label_mm, strict=True)]
    if min(counts) < 1:
        raise LabelError(f"a label of {label_mm[0]:.0f} × {label_mm[1]:.0f} mm does not fit on {paper} with margins of "
                         f"{CUT_MARGIN_MM:g} mm; choose a smaller label in the design file, or print on a roll")
    left, top = ((side - count * size - (count - 1) * gap_mm) / 2
                 for side, count, size in zip((width, height), counts, label_mm, strict=True))
    return SheetStock(paper, counts[0], counts[1], *label_mm, round(left, 3), round(top, 3), gap_mm, gap_mm)


def _check_values(stock: SheetStock) -> None:
    """Paper known; counts and sizes above zero; margins and gaps not below zero."""
    if stock.paper not in PAPERS_MM:
        raise LabelError(f"paper {stock.paper} is not known; choose one of {', '.join(PAPERS_MM)}")
    for item in fields(stock)[1:]:
        value = getattr(stock, item.name)
        least = 0 if item.name.startswith(("margin", "gap")) else 1
        if not value >= least:
            raise LabelError(f"{item.name} of the label sheet must be {least} or more, got {value:g}")


def _check_fit(what: str, count: int, size_mm: float, edge_gap_paper_mm: tuple[float, float, float]) -> None:
    """`count` labels of one size between the margin and the far edge of the paper."""
    margin, gap, paper = edge_gap_paper_mm
    needed = margin + count * size_mm + (count - 1) * gap
    if needed <= paper + SLACK_MM:
        return
    most = int((paper - margin + gap + SLACK_MM) // (size_mm + gap))
    raise LabelError(f"the label sheet does not fit the paper: {count} {what} of {size_mm:g} mm with a margin of "
                     f"{margin:g} mm and gaps of {gap:g} mm need {needed:g} mm, the paper has {paper:g} mm; "
                     f"at most {max(most, 0)} {what} fit")


@dataclass(frozen=True, slots=True)
class RollStock:
    """A roll of equal labels, one below the other; with a printer's resolution all edges are whole dots.

    Raises
    ------
    LabelError
        If a size is not above zero or a strip is longer than a page can be.

    Examples
    --------
    >>> strip = RollStock(60.0, 40.0, gap_mm=3.0, per_sheet=2)
    >>> strip.paper_mm, strip.position_mm(1)
    ((60.0, 83.0), (0.0, 43.0))
    """

    label_width_mm: float
    label_height_mm: float
    gap_mm: float = 0.0
    """Between labels; the printer feeds it by itself where a page is one label [mm]."""
    per_sheet: int = 1
    """Labels a page."""
    printer_dpi: int | None = None

    def __post_init__(self) -> None:
        for name, value, least in (("label_width_mm", self.label_width_mm, 1.0), ("gap_mm", self.gap_mm, 0.0),
                                   ("label_height_mm", self.label_height_mm, 1.0), ("per_sheet", self.per_sheet, 1)):
            if not value >= least:
                raise LabelError(f"{name} of the label roll must be {least:g} or more, got {value:g}")
        if self.paper_mm[1] > LONGEST_MM:
            most = int((LONGEST_MM + self.gap_mm) // (self.label_height_mm + self.gap_mm))
            raise LabelError(f"a strip of {self.per_sheet} labels is {self.paper_mm[1]:g} mm long; a page is at most "
                             f"{LONGEST_MM:g} mm, so at most {most} labels a strip")

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Width and length of a page [mm].

        With a printer's resolution a hair less than whole dots: software that rounds a page up to the next dot
        would stretch it by that dot, and every module with it.
        """
        width = whole_dots_mm(self.label_width_mm, self.printer_dpi)
        length = self._at_mm(self.per_sheet - 1) + whole_dots_mm(self.label_height_mm, self.printer_dpi)
        hair = HAIR_MM if self.printer_dpi else 0.0
        return width - hair, length - hair

    def position_mm(self, index: int) -> tuple[float, float]:
        """Top left corner of label `index` of a page (from 0) [mm]."""
        return 0.0, self._at_mm(index)

    def _at_mm(self, index: int) -> float:
        return index * whole_dots_mm(self.label_height_mm + self.gap_mm, self.printer_dpi)
