"""A thousand labels, against the encoder alone and against the PDF library's own symbols, in one run.

Run with `pytest -m bench -s tests/bench/bench_labels.py`.
"""

from io import BytesIO
from time import perf_counter

import pytest
import segno
from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.document import About
from labels.label import Label
from labels.pdf import pdf_bytes, sheet_page
from labels.sheet import lay_out_sheets
from labels.stock import SheetStock
from labels.symbol import make_symbol

COUNT = 1000
STOCK = SheetStock("A4", 2, 7, 99.0, 38.0, margin_left_mm=4.5, margin_top_mm=15.5, gap_x_mm=3.0)
TEXTS = [f"http://10.0.0.1:8000/P/OH-S{number:03}-X.1" for number in range(COUNT)]
LABELS = [Label(text[23:-2], ("other end: H31",), 3, "C", "this end: H22 arm 4", arrow_up=False, symbol_text=text,
                footnote="10.0.0.1:8000") for text in TEXTS]


def seconds(work):
    start = perf_counter()
    result = work()
    return perf_counter() - start, result


def encoder_alone():
    return [segno.make_qr(text, error="M", boost_error=False) for text in TEXTS]


def whole_labels():
    make_symbol.cache_clear()
    sheets = lay_out_sheets(LABELS, STOCK)
    return pdf_bytes([sheet_page(sheet) for sheet in sheets], STOCK.paper_mm, About("bench"))


def library_symbols():
    """Nothing but the symbols, on as many pages, by the PDF library's own widget."""
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    for index, text in enumerate(TEXTS):
        x, y = STOCK.position_mm(index % STOCK.per_sheet)
        drawing = Drawing(35 * mm, 35 * mm)
        drawing.add(QrCodeWidget(text, barLevel="M", barWidth=35 * mm, barHeight=35 * mm))
        renderPDF.draw(drawing, canvas, x * mm, (297 - y) * mm)
        if index % STOCK.per_sheet == STOCK.per_sheet - 1:
            canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@pytest.mark.bench
def test_a_thousand_labels():
    whole_labels()
    ours, paper = seconds(whole_labels)
    alone, _ = seconds(encoder_alone)
    widget, their_paper = seconds(library_symbols)
    print(f"\n{COUNT} labels: {ours:.2f} s, {COUNT / ours:.0f} a second, {len(paper) / 1000:.0f} kB"
          f"\nencoder alone: {alone:.2f} s, labels take {ours / alone:.2f} times that"
          f"\nlibrary's own symbols: {widget:.2f} s, {widget / ours:.1f} times the labels, "
          f"{len(their_paper) / 1000:.0f} kB")
    assert widget / ours >= 10
    assert ours / alone <= 0.6
