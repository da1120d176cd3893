"""Tags to tie on: the hole and what keeps clear of it."""

import pytest

from labels.drawing import Circle
from labels.label import Label
from labels.pieces import FilledShape, PlacedDrawing, ThinLine
from labels.sheet import HOLE_EDGE_MM, HOLE_MM, HOLE_ZONE_MM, compose_tag

LABEL = Label("OH-S073-C", ("other end: H31",), 3, "class C", "this end: H22 arm 4", arrow_up=False,
              symbol_text="http://10.0.0.1:8000/P/OH-S073-C.1", footnote="10.0.0.1:8000", form="tag")


def left_mm(piece):
    """The leftmost point of a piece."""
    if isinstance(piece, FilledShape):
        return min(x for x, _ in piece.points)
    return min(piece.start[0], piece.end[0]) if isinstance(piece, ThinLine) else piece.x_mm


@pytest.mark.parametrize("size", [(92.0, 45.0), (110.0, 30.0)])
def test_the_hole_stands_in_the_middle_of_the_left_end_and_nothing_else_does(size):
    made = compose_tag(LABEL, size)
    assert made.warnings == ()
    picture = next(p for p in made.pieces if isinstance(p, PlacedDrawing))
    hole = min((i for i in picture.drawing.items if isinstance(i, Circle)), key=lambda circle: circle.radius_mm)
    assert hole.centre == (HOLE_EDGE_MM + HOLE_MM / 2, size[1] / 2)
    assert all(left_mm(piece) >= HOLE_ZONE_MM for piece in made.pieces if piece is not picture)
