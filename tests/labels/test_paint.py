"""The same drawing on a PDF page, read back by other people's readers."""

from io import BytesIO

import pypdf
import pypdfium2
import pytest
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.drawing import Circle, Drawing, Line, Polygon, Text
from labels.pdf import paint_items

SAMPLE = Drawing(50.0, 40.0, (
    Line((5, 5), (45, 5), "this", 2.0),
    Line((5, 10), (45, 10), "later", 0.5, dashed=True),
    Polygon(((5, 15), (15, 15), (15, 25), (5, 25)), "this", filled=True),
    Circle((30, 20), 5, "standing", filled=True), Circle((30, 20), 2, "halo", filled=True),
    Text((25, 35), "S073", "text", 5.0, bold=True)), "sample")


def page() -> bytes:
    out = BytesIO()
    canvas = Canvas(out, pagesize=(100 * mm, 100 * mm), invariant=1)
    canvas.scale(mm, mm)
    canvas.translate(20, 70)
    paint_items(canvas, SAMPLE)
    canvas.save()
    return out.getvalue()


def grey(document: bytes, x_mm: float, y_mm: float) -> int:
    """Grey of a point measured from the upper left of the page."""
    picture = pypdfium2.PdfDocument(document)[0].render(scale=10 * 25.4 / 72).to_pil().convert("L")
    return int(picture.getpixel((round(x_mm * 10), round(y_mm * 10))))


@pytest.mark.parametrize(("at", "black"), [((25, 5), True), ((25, 7), False), ((10, 20), True), ((3, 20), False),
                                           ((33.5, 20), True), ((30, 20), False), ((30, 14), False)])
def test_ink_lies_where_the_drawing_says(at: tuple[float, float], black: bool) -> None:
    assert (grey(page(), 20 + at[0], 30 + at[1]) < 40) == black


def test_dashes_leave_gaps() -> None:
    document = page()
    greys = [grey(document, 20 + 6 + 0.2 * k, 40) for k in range(60)]
    assert min(greys) < 150
    assert max(greys) > 200


def test_words_can_be_searched_in_the_file() -> None:
    assert "S073" in pypdf.PdfReader(BytesIO(page())).pages[0].extract_text()


def test_same_drawing_same_bytes() -> None:
    assert page() == page()
