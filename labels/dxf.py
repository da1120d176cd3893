"""What a machine cuts as DXF by ezdxf: millimetres, layers named in plain words, same drawing, same bytes."""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from ezdxf import options, units  # type: ignore[attr-defined]  # documented as ezdxf.options
from ezdxf.document import Drawing as DxfDocument
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from labels.cut_drawing import CutDrawing, CutShape, Layer, Note, Path, Ring
from labels.drawing import Point

VERSION: Final = "R2010"
"""Of 2010: read by everything since, and written in UTF-8."""

COLOURS: Final = {"cut": 1, "mark": 5, "note": 8}
"""Colour numbers of the format: red, blue, grey."""


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
