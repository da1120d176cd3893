"""Files for the machine that cuts: a cut drawing as DXF by ezdxf, and as SVG in true size.

The same drawing gives the same bytes. Of DXF: millimetres, layers named in plain words. Of SVG: one user unit is one
millimetre, one group a layer; colours tell the layers apart as laser cutters usually read them (red cut, blue engraved,
grey for reading), and the names say the same.
"""

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from html import escape
from itertools import pairwise
from typing import Final

from ezdxf import options, units  # type: ignore[attr-defined]  # documented as ezdxf.options
from ezdxf.document import Drawing as DxfDocument
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from labels.cut_drawing import CutDrawing, CutShape, Layer, Note, Path, Ring, Vertex, arc_radius_mm, bounds
from labels.drawing import Box, Point

VERSION: Final = "R2010"
"""Of 2010: read by everything since, and written in UTF-8."""

COLOURS: Final = {"cut": 1, "mark": 5, "note": 8}
"""Colour numbers of the format: red, blue, grey."""

MARGIN_MM: Final = 5.0
LINE_MM: Final = 0.1
SVG_COLOURS: Final = {"cut": "#ff0000", "mark": "#0000ff", "note": "#808080"}
"""As laser cutters usually read them. Source: common practice, no source. Test: tests/labels/test_dxf.py"""


def dxf_bytes(drawing: CutDrawing) -> bytes:
    """The drawing as a DXF file; y points upward there, so it looks as it does on paper."""
    with _same_every_time():
        document = new(VERSION, units=units.MM)
        document.header["$LASTSAVEDBY"] = "raisebook"
        for layer in drawing.layers:
            _add_layer(document, layer)
        for shape in drawing.shapes:
            _add(document.modelspace(), shape)
        return _encoded(document)


@contextmanager
def _same_every_time() -> Iterator[None]:
    """No dates and no random numbers in the file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _encoded(document: DxfDocument) -> bytes:
    """The file's bytes. Its classes are named in order first: the library takes them from a set."""
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)
    text = io.StringIO()
    document.write(text)
    return document.encode(text.getvalue())


def _add_layer(document: DxfDocument, layer: Layer) -> None:
    """A layer in the colour of its work; one that is not shown is switched off."""
    made = document.layers.add(layer.name, color=COLOURS[layer.work])
    made.description = layer.work
    if not layer.shown:
        made.off()


def _add(space: Modelspace, shape: CutShape) -> None:
    """One entity."""
    look = {"layer": shape.layer}
    match shape:
        case Path():
            corners = [(v.x_mm, -v.y_mm, v.bulge) for v in shape.vertices]
            space.add_lwpolyline(corners, format="xyb", close=shape.closed, dxfattribs=look)
        case Ring():
            space.add_circle(_up(shape.centre), shape.radius_mm, dxfattribs=look)
        case Note():
            space.add_text(shape.text, height=shape.height_mm, dxfattribs=look).set_placement(_up(shape.at))


def _up(point: Point) -> Point:
    """DXF counts upward."""
    return point[0], -point[1]


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
    colour = SVG_COLOURS[layer.work]
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
