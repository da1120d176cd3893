"""A drawing on a PDF page, in black print: the same picture as on the phone.

Sizes are those of the drawing, unrounded; weight, dashes and shapes carry the meaning (`drawing.PAPER_GREY`).
"""

from dataclasses import dataclass
from typing import Final

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.drawing import DASH_MM, PAPER_GREY, Circle, Drawing, Item, Line, Point, Polygon, Text
from labels.fonts import BOLD, REGULAR, register_fonts

_ROUND: Final = 1
"""Round line caps and joins, as PDF numbers them."""


@dataclass(frozen=True, slots=True)
class Faces:
    """Registered names of the two weights."""

    regular: str = REGULAR
    bold: str = BOLD


def paint(canvas: Canvas, drawing: Drawing, x_mm: float, y_mm: float, *, scale: float = 1.0,
          faces: Faces | None = None) -> None:
    """Paint a drawing with its upper left corner at (x, y), measured from the page's upper left corner.

    Parameters
    ----------
    canvas
        A page in points with its origin at the lower left, as reportlab starts it.
    x_mm, y_mm
        [mm]
    scale
        1.0 prints the drawing in its own size.
    faces
        Names of fonts registered with reportlab; left out: those of `labels.fonts`.
    """
    page_height: float = canvas._pagesize[1]  # type: ignore[attr-defined]  # the only way to ask for it
    canvas.saveState()
    canvas.translate(x_mm * mm, page_height - y_mm * mm)
    canvas.scale(scale * mm, scale * mm)
    paint_items(canvas, drawing, faces=faces)
    canvas.restoreState()


def paint_items(canvas: Canvas, drawing: Drawing, *, faces: Faces | None = None) -> None:
    """Paint below the origin of a canvas that counts in millimetres, y upward; leaves its pen settings changed."""
    if faces is None:
        register_fonts()
    canvas.setLineCap(_ROUND)
    canvas.setLineJoin(_ROUND)
    for item in drawing.items:
        _item(canvas, item, faces or Faces())


def _item(canvas: Canvas, item: Item, faces: Faces) -> None:
    """One item in its grey."""
    grey = PAPER_GREY[item.role]
    canvas.setStrokeGray(grey)
    canvas.setFillGray(grey)
    match item:
        case Line():
            _line(canvas, item)
        case Polygon():
            _polygon(canvas, item)
        case Circle():
            canvas.setLineWidth(item.width_mm)
            x, y = _up(item.centre)
            canvas.circle(x, y, item.radius_mm, stroke=int(not item.filled), fill=int(item.filled))
        case Text():
            _text(canvas, item, faces)


def _up(point: Point) -> Point:
    """PDF counts upward."""
    return point[0], -point[1]


def _line(canvas: Canvas, line: Line) -> None:
    """A straight line, dashed or not."""
    canvas.setLineWidth(line.width_mm)
    canvas.setDash(list(DASH_MM) if line.dashed else [])
    canvas.line(*_up(line.start), *_up(line.end))
    canvas.setDash([])


def _polygon(canvas: Canvas, polygon: Polygon) -> None:
    """A closed shape."""
    path = canvas.beginPath()
    path.moveTo(*_up(polygon.points[0]))
    for point in polygon.points[1:]:
        path.lineTo(*_up(point))
    path.close()
    canvas.setLineWidth(polygon.width_mm)
    canvas.drawPath(path, stroke=int(not polygon.filled), fill=int(polygon.filled))


def _text(canvas: Canvas, text: Text, faces: Faces) -> None:
    """One line of text."""
    canvas.setFont(faces.bold if text.bold else faces.regular, text.size_mm)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[text.anchor]
    draw(*_up(text.at), text.text)
