"""Every form of label by its name, and the tag to tie on: a label with a hole to punch at its left end."""

from dataclasses import replace
from typing import Protocol

from labels.drawing import Circle, Drawing, Line
from labels.face import compose_face
from labels.label import Form, Label
from labels.layout import compose
from labels.listing import compose_list
from labels.pieces import Composition, PlacedDrawing, moved
from labels.room import whole_dots_mm
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
