"""What every document of a kit has in common: the paper of the design, and what of a page may be filled."""

from dataclasses import dataclass

from fieldapp.kit.kit import Kit
from labels.page_text import Column
from labels.stock import PAPERS_MM

SIDE_MM = 14.0
"""Left and right margin [mm]."""

EDGE_MM = 9.0
"""Upper and lower margin: printers leave about 4 mm blank [mm].
Source: common practice, no source. Test: tests/prints/sheets/test_label_kinds.py"""

HEAD_MM = 6.0
"""Room of the running head, and of the foot [mm]."""


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
