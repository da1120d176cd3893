"""Labels on rolls: pages, strips and whole printer dots."""

import numpy as np
import pypdfium2
import pytest

from labels import LabelError
from labels.document import About
from labels.label import Label
from labels.pdf import pdf_bytes, sheet_page
from labels.pieces import SymbolMark, ThinLine
from labels.sheet import PrintOptions, lay_out_sheets
from labels.stock import RollStock
from labels.symbol import QUIET_ZONE

LABELS = tuple(Label(f"OH-S{n:03}-X", ("other end: H31",), 3, "class C", "this end: H22 arm 4", arrow_up=False,
                     symbol_text=f"http://10.0.0.1:8000/P/OH-S{n:03}-X.1") for n in range(1, 6))

ROUNDING = 8
"""Grey that the rounding of numbers in a PDF may leave at an edge; off the dots it is anything up to half."""


def test_one_label_a_page_of_its_own_size():
    sheets = lay_out_sheets(LABELS, RollStock(100.0, 50.0, gap_mm=3.0))
    assert [(len(s.labels), s.labels[0].x_mm, s.labels[0].y_mm, s.margin) for s in sheets] == [(1, 0.0, 0.0, ())] * 5


def test_a_strip_has_its_cuts_in_the_gaps():
    stock = RollStock(60.0, 40.0, gap_mm=4.0, per_sheet=3)
    first, second = lay_out_sheets(LABELS, stock)
    assert stock.paper_mm == (60.0, 128.0)
    assert [p.y_mm for p in first.labels] == [0.0, 44.0, 88.0]
    assert [p.start[1] for p in first.margin if isinstance(p, ThinLine)] == [42.0, 86.0]
    assert len(second.labels) == 2


@pytest.mark.parametrize("dpi", [203, 300])
def test_every_module_falls_on_whole_dots_of_the_printer(dpi):
    """Rendered at the printer's own resolution every pixel of a symbol is black or white."""
    stock = RollStock(100.0, 50.0, gap_mm=3.0, per_sheet=2, printer_dpi=dpi)
    sheets = lay_out_sheets(LABELS, stock, PrintOptions(printer_dpi=dpi))
    document = pypdfium2.PdfDocument(pdf_bytes([sheet_page(s) for s in sheets], stock.paper_mm, About("roll")))
    for page, sheet in zip(document, sheets, strict=True):
        picture = page.render(scale=dpi / 72, grayscale=True).to_numpy().squeeze()
        for placed in sheet.labels:
            mark = next(p for p in placed.composition.pieces if isinstance(p, SymbolMark))
            left, top, side = ((mark.x_mm + placed.x_mm) * dpi / 25.4, (mark.y_mm + placed.y_mm) * dpi / 25.4,
                               mark.symbol.full_size * mark.module_mm * dpi / 25.4)
            assert [left, top, side] == pytest.approx([round(left), round(top), round(side)], abs=1e-6)
            quiet = round(QUIET_ZONE * mark.module_mm * dpi / 25.4) - 1
            symbol = picture[round(top) + quiet:round(top + side) - quiet,
                             round(left) + quiet:round(left + side) - quiet]
            assert not np.any((symbol > ROUNDING) & (symbol < 255 - ROUNDING))


@pytest.mark.parametrize(("sizes", "message"), [
    ((0.0, 50.0), "label_width_mm of the label roll must be 1 or more, got 0"),
    ((60.0, 40.0, -1.0), "gap_mm of the label roll must be 0 or more, got -1"),
    ((60.0, 400.0, 0.0, 20), "a strip of 20 labels is 8000 mm long; a page is at most 5000 mm, so at most 12 labels"),
])
def test_rolls_that_cannot_be(sizes, message):
    with pytest.raises(LabelError) as caught:
        RollStock(*sizes)
    assert message in str(caught.value)
