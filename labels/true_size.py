"""What a machine cuts as SVG in true size: one user unit is one millimetre, one group a layer.

The same drawing gives the same bytes. Colours tell the layers apart as laser cutters usually read
them (red cut, blue engraved, grey for reading); the names say the same.
"""

from collections.abc import Iterable
from html import escape
from itertools import pairwise
from typing import Final

from labels.cut_drawing import CutDrawing, CutShape, Layer, Note, Path, Ring, Vertex, arc_radius_mm, bounds
from labels.drawing import Box

MARGIN_MM: Final = 5.0
LINE_MM: Final = 0.1
COLOURS: Final = {"cut": "#ff0000", "mark": "#0000ff", "note": "#808080"}
"""As laser cutters usually read them. Source: common practice, no source. Test: tests/labels/test_dxf.py"""


def true_size_svg(drawing: CutDrawing) -> str:
    """The drawing as an SVG document whose width and height are given in millimetres."""
    box = _page(drawing)
    width, height = _number(box.right - box.left), _number(box.bottom - box.top)
    layers = "".join(_group(layer, drawing.shapes) for layer in drawing.layers)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="{_number(box.left)} {_number(box.top)} {width} {height}">\n'
            f"<title>{escape(drawing.title, quote=False)}</title>\n{layers}</svg>\n")


def _page(drawing: CutDrawing) -> Box:
    """Room for all paths and, below or above them, the notes."""
    box = bounds(drawing.shapes)
    notes = [shape for shape in drawing.shapes if isinstance(shape, Note)]
    right = max((box.right, *(note.at[0] + len(note.text) * note.height_mm for note in notes)))
    bottom = max((box.bottom, *(note.at[1] for note in notes)))
    top = min((box.top, *(note.at[1] - note.height_mm for note in notes)))
    return Box(box.left, top, right, bottom).grown(MARGIN_MM)


def _group(layer: Layer, shapes: Iterable[CutShape]) -> str:
    """All shapes of one layer."""
    inner = "".join(_shape(shape) for shape in shapes if shape.layer == layer.name)
    colour = COLOURS[layer.work]
    look = (f'fill="{colour}" stroke="none"' if layer.work == "note"
            else f'fill="none" stroke="{colour}" stroke-width="{LINE_MM}"')
    hidden = "" if layer.shown else ' display="none"'
    return f'<g id="{escape(layer.name.replace(" ", "-"))}" class="{layer.work}" {look}{hidden}>\n{inner}</g>\n'


def _shape(shape: CutShape) -> str:
    """One element."""
    match shape:
        case Path():
            return f'<path d="{_data(shape)}"/>\n'
        case Ring():
            x, y = shape.centre
            return f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(shape.radius_mm)}"/>\n'
        case Note():
            x, y = shape.at
            return (f'<text x="{_number(x)}" y="{_number(y)}" font-family="sans-serif" '
                    f'font-size="{_number(shape.height_mm / 0.7)}">{escape(shape.text, quote=False)}</text>\n')


def _data(path: Path) -> str:
    """Path data; arcs stay arcs."""
    vertices = (*path.vertices, path.vertices[0]) if path.closed else path.vertices
    steps = "".join(_step(start, end) for start, end in pairwise(vertices))
    first = vertices[0]
    return f"M{_number(first.x_mm)} {_number(first.y_mm)}{steps}{'Z' if path.closed else ''}"


def _step(start: Vertex, end: Vertex) -> str:
    """A straight line, or an arc."""
    to = f"{_number(end.x_mm)} {_number(end.y_mm)}"
    if not start.bulge:
        return f"L{to}"
    radius = _number(arc_radius_mm(start, end))
    large, clockwise = int(abs(start.bulge) > 1.0), int(start.bulge < 0)
    return f"A{radius} {radius} 0 {large} {clockwise} {to}"


def _number(value: float) -> str:
    """A millimetre figure to a thousandth, without needless zeros."""
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
