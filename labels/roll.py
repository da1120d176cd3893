"""Labels on a roll: one a page, or a strip of several to cut apart."""

from dataclasses import dataclass

from labels.errors import LabelError
from labels.room import whole_dots_mm

LONGEST_MM = 5000.0
"""A PDF page is at most 14,400 points (5,080 mm) long [mm].
Source: ISO 32000-1, Annex C. Test: tests/labels/test_roll.py"""

HAIR_MM = 0.001


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
