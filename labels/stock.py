"""Label sheets described in millimetres: paper, grid, margins and gaps. No brand names."""

from dataclasses import dataclass, fields

from labels.errors import LabelError

PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of the papers [mm].
Source: ISO 216; ANSI/ASME Y14.1 (letter from memory). Test: tests/labels/test_stock.py"""

SLACK_MM = 0.05
"""Rounding that a sum of millimetres in a design file may carry [mm]."""

CUT_MARGIN_MM = 8.0
"""Least margin of sheets that are cut by hand [mm].
Source: common practice, no source. Test: tests/labels/test_stock.py"""


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
