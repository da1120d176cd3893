"""The outline of a hub's face label, and what its arms take of it."""

import math
from dataclasses import dataclass
from typing import Final

from labels.drawing import Box, Point, from_middle
from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Spoke
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM

EDGE_MM: Final = 1.5
"""From the tip of a mark to the edge of the label [mm]."""

MARK_MM: Final = 7.0
MARK_HALF_MM: Final = 2.6
"""Length and half width of the mark of an arm [mm]."""

NUMBER_CAP_MM: Final = CLEAR_CAP_MM
WORDS_CAP_MM: Final = LEAST_CAP_MM
SPOKE_GAP_MM: Final = 1.2
"""Between number and words, and between words and mark [mm]."""


@dataclass(frozen=True, slots=True)
class Face:
    """Sizes of one label [mm]."""

    width: float
    height: float
    hexagon: bool

    @property
    def middle(self) -> Point:
        """Of the hub."""
        return self.width / 2, self.height / 2

    @property
    def radius(self) -> float:
        """Of the largest circle on it."""
        return self.width / 2

    def edge_mm(self, azimuth_deg: float) -> float:
        """From the middle to the edge along a direction; a hexagon has a corner at the top."""
        if not self.hexagon:
            return self.radius
        return self.radius / math.cos(math.radians((azimuth_deg % 60.0) - 30.0))

    def at(self, distance_mm: float, azimuth_deg: float, across_mm: float = 0.0) -> Point:
        """A point along a direction, clockwise from the top."""
        return from_middle(self.middle, distance_mm, azimuth_deg, across_mm=across_mm)


def spoke_boxes(face: Face, spoke: Spoke) -> tuple[Box, Box]:
    """Boxes of the mark, and of number and words as far out as the mark lets them, on the label [mm]."""
    tip = face.edge_mm(spoke.azimuth_deg) - EDGE_MM
    corners = [face.at(tip, spoke.azimuth_deg),
               *(face.at(tip - MARK_MM, spoke.azimuth_deg, across) for across in (-MARK_HALF_MM, MARK_HALF_MM))]
    mark = Box(min(x for x, _ in corners), min(y for _, y in corners), max(x for x, _ in corners),
               max(y for _, y in corners))
    if not spoke.headline:
        return mark, mark
    half_width = max(unit_width(spoke.headline, bold=True) * NUMBER_CAP_MM,
                     unit_width(spoke.words, bold=True) * WORDS_CAP_MM) / CAP_HEIGHT / 2
    half_height = (NUMBER_CAP_MM + SPOKE_GAP_MM + WORDS_CAP_MM) / 2
    a = math.radians(spoke.azimuth_deg)
    depth = half_width * abs(math.sin(a)) + half_height * abs(math.cos(a))
    x, y = face.at(tip - MARK_MM - SPOKE_GAP_MM - depth, spoke.azimuth_deg)
    return mark, Box(x - half_width, y - half_height, x + half_width, y + half_height)
