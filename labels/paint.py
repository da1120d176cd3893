"""A drawing on a PDF page, in black print: the same picture as on the phone.

Sizes are those of the drawing, unrounded; weight, dashes and shapes carry the meaning (`drawing.PAPER_GREY`).
"""

from typing import Final

from reportlab.pdfgen.canvas import Canvas

from labels.drawing import DASH_MM, PAPER_GREY, Circle, Drawing, Item, Line, Point, Polygon, Text
from labels.fonts import BOLD, REGULAR, register_fonts

_ROUND: Final = 1
"""Round line caps and joins, as PDF numbers them."""


def paint_items(canvas: Canvas, drawing: Drawing) -> None:
    """Paint below the origin of a canvas that counts in millimetres, y upward; leaves its pen settings changed."""
    register_fonts()
    canvas.setLineCap(_ROUND)
    canvas.setLineJoin(_ROUND)
    for item in drawing.items:
        _item(canvas, item)


def _item(canvas: Canvas, item: Item) -> None:
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
            _text(canvas, item)


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


def _text(canvas: Canvas, text: Text) -> None:
    """One line of text."""
    canvas.setFont(BOLD if text.bold else REGULAR, text.size_mm)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[text.anchor]
    draw(*_up(text.at), text.text)
