"""Sheets as PDF by reportlab: same input, same bytes; symbols and words as vectors, fonts embedded.

A drawing comes out in black print, the same picture as on the phone: its sizes unrounded; weight, dashes and shapes
carry the meaning (`drawing.PAPER_GREY`).
"""

from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import Final

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from labels.document import About, new_document
from labels.drawing import DASH_MM, PAPER_GREY, Circle, Drawing, Item, Line, Point, Polygon, Text
from labels.fonts import BOLD, REGULAR, font_name, register_fonts, unit_width
from labels.pieces import FilledShape, Piece, PlacedDrawing, SymbolMark, ThinLine, Words
from labels.sheet import Sheet
from labels.symbol import QUIET_ZONE, dark_runs

_ROUND: Final = 1
"""Round line caps and joins, as PDF numbers them."""

rl_config.useA85 = 0
"""Streams as they are: a quarter smaller than in printable characters, and sooner written."""
PageGroups = tuple[tuple[Iterable[Piece], float, float], ...]
"""Groups of pieces, each with its corner on the page [mm]."""
RULE_DASH_MM = (1.0, 1.0)


class _Pen:
    """What lines and shapes are drawn with on a canvas: written down only where it changes."""

    def __init__(self, canvas: Canvas) -> None:
        """Round ends and corners; nothing else is known of a canvas that somebody else drew on."""
        canvas.setLineCap(_ROUND)
        canvas.setLineJoin(_ROUND)
        canvas.setDash([])
        self.canvas, self._dashed = canvas, False
        self._grey: float | None = None
        self._width_mm: float | None = None

    def take(self, grey: float, width_mm: float | None = None, *, dashed: bool = False) -> None:
        """Draw and fill with this grey; a width of None stays as it is."""
        if grey != self._grey:
            self.canvas.setStrokeGray(grey)
            self.canvas.setFillGray(grey)
            self._grey = grey
        if width_mm is not None and width_mm != self._width_mm:
            self.canvas.setLineWidth(width_mm)
            self._width_mm = width_mm
        if dashed != self._dashed:
            self.canvas.setDash(list(DASH_MM) if dashed else [])
            self._dashed = dashed


def paint_items(canvas: Canvas, drawing: Drawing) -> None:
    """Paint below the origin of a canvas that counts in millimetres, y upward; leaves its pen settings changed."""
    register_fonts()
    pen = _Pen(canvas)
    for item in drawing.items:
        _item(pen, item)
    pen.take(0.0)


def _item(pen: _Pen, item: Item) -> None:
    """One item in its grey."""
    grey, canvas = PAPER_GREY[item.role], pen.canvas
    match item:
        case Line():
            pen.take(grey, item.width_mm, dashed=item.dashed)
            canvas.line(*_up(item.start), *_up(item.end))
        case Polygon():
            pen.take(grey, item.width_mm)
            _polygon(canvas, item)
        case Circle():
            pen.take(grey, item.width_mm)
            x, y = _up(item.centre)
            canvas.circle(x, y, item.radius_mm, stroke=int(not item.filled), fill=int(item.filled))
        case Text():
            pen.take(grey)
            _text(canvas, item)


def _up(point: Point) -> Point:
    """PDF counts upward."""
    return point[0], -point[1]


def _polygon(canvas: Canvas, polygon: Polygon) -> None:
    """A closed shape."""
    path = canvas.beginPath()
    path.moveTo(*_up(polygon.points[0]))
    for point in polygon.points[1:]:
        path.lineTo(*_up(point))
    path.close()
    canvas.drawPath(path, stroke=int(not polygon.filled), fill=int(polygon.filled))


def _text(canvas: Canvas, text: Text) -> None:
    """One line of text."""
    canvas.setFont(BOLD if text.bold else REGULAR, text.size_mm)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[text.anchor]
    draw(*_up(text.at), text.text)


def sheet_page(sheet: Sheet) -> PageGroups:
    """Margin first, then the labels."""
    return ((sheet.margin, 0.0, 0.0), *((p.composition.pieces, p.x_mm, p.y_mm) for p in sheet.labels))


def pdf_bytes(pages: Sequence[PageGroups], paper_mm: tuple[float, float], about: About) -> bytes:
    """A PDF document.

    Parameters
    ----------
    pages : sequence of PageGroups
    paper_mm : (width, height)
        [mm]
    about : About
        For the document's metadata, and how it is to be printed.
    """
    buffer = BytesIO()
    canvas = new_document(buffer, paper_mm, about)
    for page in pages:
        canvas.saveState()
        canvas.transform(mm, 0, 0, -mm, 0, paper_mm[1] * mm)
        for pieces, x_mm, y_mm in page:
            draw_pieces(canvas, pieces, (x_mm, y_mm))
        canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def draw_pieces(canvas: Canvas, pieces: Iterable[Piece], corner_mm: tuple[float, float]) -> None:
    """Draw pieces on a canvas whose units are millimetres, y downward."""
    x, y = corner_mm
    for piece in pieces:
        match piece:
            case Words():
                _draw_words(canvas, piece, x, y)
            case SymbolMark():
                draw_symbol(canvas, piece, (x, y))
            case FilledShape():
                _draw_shape(canvas, piece, x, y)
            case ThinLine():
                _draw_rule(canvas, piece, x, y)
            case PlacedDrawing():
                _draw_picture(canvas, piece, x, y)


def draw_symbol(canvas: Canvas, mark: SymbolMark, corner_mm: tuple[float, float]) -> None:
    """One filled path of dark runs, one unit a module: no seams between modules, and small files."""
    code = [f"{column} {row} {length} 1 re" for row, column, length in dark_runs(mark.symbol)]
    quiet = QUIET_ZONE * mark.module_mm
    canvas.saveState()
    canvas.transform(mark.module_mm, 0, 0, mark.module_mm,
                     corner_mm[0] + mark.x_mm + quiet, corner_mm[1] + mark.y_mm + quiet)
    canvas.drawPath(PDFPathObject(code), stroke=0, fill=1)
    canvas.restoreState()


def _draw_words(canvas: Canvas, words: Words, x: float, y: float) -> None:
    """One line of text, upright again on the flipped page."""
    name = font_name(words.bold)
    width = unit_width(words.text, bold=words.bold) * words.size_mm
    back = {"start": 0.0, "middle": width / 2, "end": width}[words.anchor]
    text = canvas.beginText()
    text.setFont(name, words.size_mm)
    at_x, at_y = x + words.x_mm, y + words.y_mm
    if words.turned:
        text.setTextTransform(0, -1, -1, 0, at_x, at_y + back)
    else:
        text.setTextTransform(1, 0, 0, -1, at_x - back, at_y)
    if words.white:
        text.setFillGray(1)
    text.textOut(words.text)
    if words.white:
        text.setFillGray(0)
    canvas.drawText(text)


def _draw_shape(canvas: Canvas, shape: FilledShape, x: float, y: float) -> None:
    """A filled polygon; an upright rectangle by its short operator."""
    path = canvas.beginPath()
    (first_x, first_y), *rest = shape.points
    if len(rest) == 3 and rest[1] == (rest[0][0], rest[2][1]) and (first_x, first_y) == (rest[2][0], rest[0][1]):
        path.rect(x + first_x, y + first_y, rest[1][0] - first_x, rest[1][1] - first_y)
    else:
        path.moveTo(x + first_x, y + first_y)
        for point_x, point_y in rest:
            path.lineTo(x + point_x, y + point_y)
        path.close()
    if shape.white:
        canvas.setFillGray(1)
    canvas.drawPath(path, stroke=0, fill=1)
    if shape.white:
        canvas.setFillGray(0)


def _draw_rule(canvas: Canvas, rule: ThinLine, x: float, y: float) -> None:
    """A thin line."""
    canvas.saveState()
    canvas.setLineWidth(rule.width_mm)
    if rule.dashed:
        canvas.setDash(*RULE_DASH_MM)
    canvas.line(x + rule.start[0], y + rule.start[1], x + rule.end[0], y + rule.end[1])
    canvas.restoreState()


def _draw_picture(canvas: Canvas, picture: PlacedDrawing, x: float, y: float) -> None:
    """A drawing, upright again on the flipped page."""
    canvas.saveState()
    canvas.transform(1, 0, 0, -1, x + picture.x_mm, y + picture.y_mm)
    paint_items(canvas, picture.drawing)
    canvas.restoreState()
