"""Side view of one joint in true proportion: flat hub, dipping strut, and how the dip is measured."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.numbers import decimal
from fieldapp.base.words import _
from fieldapp.kit.hub_sizes import DROP_OVER_MM, HubSizes, dips, hub_sizes
from fieldapp.kit.kit import Kit
from fieldapp.prints.workshop.pictures import shifted
from fieldapp.prints.workshop.turns import Blank
from labels.drawing import Drawing, Item, Line, Point, Polygon, Text

WORD_MM = 3.6

EDGE_MM = 14.0
"""Depth of the straight edge in the picture [mm]."""

BLOCK_STEP_MM = 5.0


def side_view(blank: Blank, kit: Kit, size_mm: tuple[float, float]) -> Drawing:
    """A cut through hub and strut along the steepest arm, true angle, to scale: sheet, strut, straight edge, drop.

    `size_mm` is the width, and the greatest height; the drawing is as high as it needs.
    """
    sizes = hub_sizes(kit.design)
    arm, steep = max(enumerate(dips(blank, sizes)), key=lambda each: each[1].dip_deg)
    outer_mm = max(kit.section_of(letter).outer_mm for letter in blank.strut_classes[arm].split("/"))
    far = sizes.mouth_mm(steep.dip_deg) + DROP_OVER_MM + 60.0
    view = _Side(sizes, outer_mm, math.radians(steep.dip_deg), sizes.meeting_mm(blank), far)
    top, bottom = view.block_mm() + EDGE_MM, view.surface(far) + 1.1 * outer_mm
    scale = min((size_mm[0] - 16.0) / (far + sizes.core_mm), (size_mm[1] - 12.0) / (top + bottom))
    items = [*view.strut(), *view.sheet(), *view.edge(), *view.words(scale)]
    by = (8.0 + sizes.core_mm * scale, 7.0 + top * scale)
    return Drawing(size_mm[0], (top + bottom) * scale + 12.0, tuple(shifted(_scaled_items(items, scale), by)),
                   _("Side view of hub, arm and strut with the drop to measure"))


@dataclass(frozen=True, slots=True)
class _Side:
    """Side view in true millimetres: hub centre at the outer face of the sheet, x along the arm, y inward."""

    sizes: HubSizes
    outer_mm: float
    dip: float
    """[rad]"""
    meet_mm: float
    """How far outside the middle of the sheet the struts' axes meet."""
    far_mm: float
    """How far the straight edge goes."""

    def on_axis(self, along_mm: float, across_mm: float) -> Point:
        """A point of the strut by its way along its axis from where the axes meet, and inward across it."""
        c, s = math.cos(self.dip), math.sin(self.dip)
        middle = self.sizes.thickness_mm / 2 - self.meet_mm
        return along_mm * c - across_mm * s, middle + along_mm * s + across_mm * c

    def strut(self) -> Iterator[Item]:
        """The strut and its axis."""
        start, end, half = self.sizes.reach_mm, (self.far_mm - 12.0) / math.cos(self.dip), self.outer_mm / 2
        yield Polygon((self.on_axis(start, -half), self.on_axis(end, -half), self.on_axis(end, half),
                       self.on_axis(start, half)), "standing", width_mm=0.5)
        yield Line(self.on_axis(0.0, 0.0), self.on_axis(end + 10.0, 0.0), "note", 0.2, dashed=True)

    def sheet(self) -> Iterator[Item]:
        """The sheet from the middle to the arm's tip, and the hub's axis."""
        tip, t = (self.sizes.reach_mm + self.sizes.insertion_mm) * math.cos(self.dip), self.sizes.thickness_mm
        yield Polygon(((-self.sizes.core_mm, 0.0), (tip, 0.0), (tip, t), (-self.sizes.core_mm, t)), "this",
                      width_mm=0.6)
        yield Line((0.0, -0.8 * self.meet_mm - 12.0), (0.0, t + 45.0), "note", 0.2, dashed=True)

    def edge(self) -> Iterator[Item]:
        """The straight edge and the two places where the drop is measured."""
        left, low = -self.sizes.core_mm, -self.block_mm()
        yield Polygon(((left, low - EDGE_MM), (self.far_mm, low - EDGE_MM), (self.far_mm, low), (left, low)),
                      "standing", width_mm=0.3)
        for x in (left, self.sizes.core_mm - BLOCK_STEP_MM):
            side = 2 * BLOCK_STEP_MM
            yield Polygon(((x, low), (x + side, low), (x + side, 0.0), (x, 0.0)), "later", filled=True)
        for x in self.measured():
            yield Line((x, low), (x, self.surface(x)), "mark", 0.5)

    def block_mm(self) -> float:
        """Height of the blocks that keep the straight edge clear of the strut [mm]."""
        above = -self.on_axis(self.sizes.reach_mm, -self.outer_mm / 2)[1]
        return BLOCK_STEP_MM * max(2.0, math.ceil(above / BLOCK_STEP_MM) + 1.0)

    def measured(self) -> tuple[float, float]:
        """The two places, `DROP_OVER_MM` apart."""
        first = self.sizes.mouth_mm(math.degrees(self.dip)) + 25.0
        return first, first + DROP_OVER_MM

    def surface(self, x_mm: float) -> float:
        """How deep the strut's outer side lies below the straight edge [mm]."""
        x, y = self.on_axis(0.0, -self.outer_mm / 2)
        return y + (x_mm - x) * math.tan(self.dip)

    def words(self, scale: float) -> Iterator[Item]:
        """What is what; heights of letters are `WORD_MM` on paper."""
        first, second = self.measured()
        line = WORD_MM / scale
        below = self.sizes.thickness_mm + 2.6 * line
        title = _("straight edge on two blocks of {block} mm; measured {apart} mm apart").format(
            block=decimal(self.block_mm()), apart=decimal(DROP_OVER_MM))
        yield Text(((first + second) / 2, -self.block_mm() - EDGE_MM - 0.5 * line), title, "text", WORD_MM)
        for x, word in ((first, "1"), (second, "2")):
            yield Text((x + 0.5 * line, (self.surface(x) - self.block_mm()) / 2 + 0.35 * line), word, "text", WORD_MM,
                       "start", bold=True)
        yield Text((second - line, (self.surface(second) - self.block_mm()) / 2 + 0.35 * line), _("drop = 2 − 1"),
                   "text", WORD_MM, "end", bold=True)
        yield Text((-0.5 * line, below + line), _("hub's axis"), "text", WORD_MM, "end")
        yield Text((0.5 * line, below), _("hub, cut"), "text", WORD_MM, "start")
        yield Text(self.on_axis(self.sizes.reach_mm + 150.0, self.outer_mm / 2 + 1.3 * line), _("strut"), "text",
                   WORD_MM, "end")


def _scaled_items(items: Sequence[Item], scale: float) -> Iterator[Item]:
    """Items drawn smaller; words and widths keep their size."""
    def small(point: Point) -> Point:
        return point[0] * scale, point[1] * scale

    for item in items:
        match item:
            case Line():
                yield Line(small(item.start), small(item.end), item.role, item.width_mm, dashed=item.dashed)
            case Polygon():
                yield Polygon(tuple(map(small, item.points)), item.role, filled=item.filled, width_mm=item.width_mm)
            case Text():
                yield Text(small(item.at), item.text, item.role, item.size_mm, item.anchor, item.bold)
