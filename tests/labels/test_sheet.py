"""Labels on sheets: positions in mm, start anywhere, cut marks, bytes."""

from dataclasses import replace

import pypdf
import pytest

from labels import LabelError
from labels.calibration import CheckWords, calibration_pieces
from labels.document import About
from labels.fonts import CAP_HEIGHT
from labels.label import Label
from labels.pdf import pdf_bytes, sheet_page
from labels.pieces import SymbolMark, ThinLine, Words
from labels.sheet import PrintOptions, cut_marks, lay_out_sheets
from labels.stock import SheetStock

STOCK = SheetStock("A4", 2, 7, 99.0, 38.0, margin_left_mm=4.5, margin_top_mm=15.5, gap_x_mm=3.0)
LABELS = tuple(Label(f"OH-S{n:03}-X", symbol_text=f"http://10.0.0.1/P/OH-S{n:03}-X") for n in range(1, 21))


def document(labels=LABELS, **options):
    sheets = lay_out_sheets(labels, STOCK, PrintOptions(**options))
    return pdf_bytes([sheet_page(sheet) for sheet in sheets], STOCK.paper_mm, About("Orchard Hall: labels"))


def test_every_label_has_its_place_on_the_sheet():
    first, second = lay_out_sheets(LABELS, STOCK)
    assert [len(first.labels), len(second.labels)] == [14, 6]
    assert [(p.x_mm, p.y_mm) for p in first.labels[:3]] == [(4.5, 15.5), (106.5, 15.5), (4.5, 53.5)]
    assert (first.labels[13].x_mm, first.labels[13].y_mm) == (106.5, 243.5)
    assert second.labels[0].label is LABELS[14]


def test_printing_starts_at_any_free_position():
    first, second = lay_out_sheets(LABELS, STOCK, PrintOptions(start=5))
    assert (first.labels[0].x_mm, first.labels[0].y_mm) == (4.5, 91.5)
    assert [len(first.labels), len(second.labels)] == [10, 10]
    assert (second.labels[0].x_mm, second.labels[0].y_mm) == (4.5, 15.5)


@pytest.mark.parametrize("start", [0, 15, -3])
def test_a_start_that_is_not_on_the_sheet(start):
    with pytest.raises(LabelError, match=rf"start must be 1 to 14 \(the labels of one sheet\), got {start}"):
        lay_out_sheets(LABELS, STOCK, PrintOptions(start=start))


def test_no_labels_no_sheets():
    assert lay_out_sheets((), STOCK) == ()


def test_cut_marks_lie_in_the_margins_in_line_with_the_labels():
    marks = list(cut_marks(STOCK))
    edges_x, edges_y = {4.5, 103.5, 106.5, 205.5}, {15.5 + 38 * n for n in range(8)}
    assert {m.start[0] for m in marks if m.start[0] == m.end[0]} == edges_x
    assert {m.start[1] for m in marks if m.start[1] == m.end[1]} == edges_y
    for mark in marks:
        (x1, y1), (x2, y2) = mark.start, mark.end
        assert max(y1, y2) < 15.5 or min(y1, y2) > 281.5 or max(x1, x2) < 4.5 or min(x1, x2) > 205.5
        assert all(0 <= x <= 210 and 0 <= y <= 297 for x, y in (mark.start, mark.end))


def test_a_sheet_without_margins_has_no_cut_marks_and_no_margin_line():
    bare = SheetStock("A4", 2, 7, 105.0, 42.4)
    assert not any(mark.start[1] < 42.4 for mark in cut_marks(bare) if mark.start[0] == mark.end[0])
    assert not any(isinstance(piece, Words) for piece in lay_out_sheets(LABELS[:1], bare)[0].margin)


def test_thermal_printer_origins_are_whole_dots():
    for placed in lay_out_sheets(LABELS, STOCK, PrintOptions(printer_dpi=203))[0].labels:
        for edge in (placed.x_mm, placed.y_mm):
            assert edge * 203 / 25.4 == pytest.approx(round(edge * 203 / 25.4))


def test_same_labels_same_bytes():
    assert document() == document()
    assert document() != document((*LABELS[:-1], replace(LABELS[-1], lines=("spare",))))


def test_paper_size_title_and_embedded_fonts(tmp_path):
    path = tmp_path / "labels.pdf"
    path.write_bytes(document())
    reader = pypdf.PdfReader(path)
    assert [float(n) * 25.4 / 72 for n in reader.pages[0].mediabox[2:]] == pytest.approx([210, 297], abs=0.01)
    assert reader.metadata.title == "Orchard Hall: labels"
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    assert fonts
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_calibration_sheet_has_true_rulers_and_all_outlines(paper):
    stock = SheetStock(paper, 2, 6, 99.0, 38.0, margin_left_mm=4.5, margin_top_mm=15.5, gap_x_mm=3.0)
    words = CheckWords("", ("one\ntwo",), "", (), ("0.5 mm",) * 4)
    pieces = list(calibration_pieces(stock, "http://10.0.0.1:8000/P/OH-H22-A", words))
    solid = [p for p in pieces if isinstance(p, ThinLine) and not p.dashed]
    assert max(p.end[0] - p.start[0] for p in solid) == pytest.approx(150.0)
    assert max(p.end[1] - p.start[1] for p in solid) == pytest.approx(200.0)
    assert sum(isinstance(p, ThinLine) and p.dashed for p in pieces) == 4 * stock.per_sheet
    assert sorted(p.module_mm for p in pieces if isinstance(p, SymbolMark)) == [0.5, 0.6, 0.8, 1.0]
    width, height = stock.paper_mm
    marks = [p for p in pieces if isinstance(p, SymbolMark)]
    sizes = [p for p in pieces if isinstance(p, Words) and p.text == "0.5 mm"]
    assert len(sizes) == 4
    for mark in marks:  # nothing in a quiet zone of four modules, ISO/IEC 18004 6.3.8 (number from memory)
        right, bottom = (at + mark.symbol.full_size * mark.module_mm for at in (mark.x_mm, mark.y_mm))
        assert not [p for p in sizes if p.y_mm - CAP_HEIGHT * p.size_mm < bottom and mark.x_mm < p.x_mm < right]
        assert not [p for p in solid if min(p.start[0], p.end[0]) < right and max(p.start[0], p.end[0]) > mark.x_mm
                    and min(p.start[1], p.end[1]) < bottom and max(p.start[1], p.end[1]) > mark.y_mm]
    ends = [point for p in pieces if isinstance(p, ThinLine) for point in (p.start, p.end)]
    assert all(0 <= x <= width and 0 <= y <= height for x, y in ends)
