"""Label sheets in millimetres, and what does not fit the paper."""

import pytest

from labels import LabelError
from labels.stock import SheetStock


def test_positions_run_along_the_rows():
    stock = SheetStock("A4", 3, 8, 63.5, 33.9, margin_left_mm=7.2, margin_top_mm=12.9, gap_x_mm=2.5)
    assert stock.per_sheet == 24
    assert stock.position_mm(0) == pytest.approx((7.2, 12.9))
    assert stock.position_mm(2) == pytest.approx((7.2 + 2 * 66.0, 12.9))
    assert stock.position_mm(3) == pytest.approx((7.2, 12.9 + 33.9))
    assert stock.position_mm(23) == pytest.approx((139.2, 12.9 + 7 * 33.9))


def test_a_grid_that_fills_the_paper_to_the_edge_is_allowed():
    assert SheetStock("A4", 2, 7, 105.0, 42.428).per_sheet == 14


@pytest.mark.parametrize(("change", "message"), [
    ({"columns": 3}, "3 columns of 99 mm with a margin of 4.5 mm and gaps of 3 mm need 307.5 mm, the paper has 210 mm; "
                     "at most 2 columns fit"),
    ({"paper": "Letter"}, "7 rows of 38 mm with a margin of 15.5 mm and gaps of 0 mm need 281.5 mm, the paper has "
                          "279.4 mm; at most 6 rows fit"),
    ({"label_width_mm": 220.0}, "at most 0 columns fit"),
    ({"paper": "A5"}, "paper A5 is not known; choose one of A4, Letter"),
    ({"columns": 0}, "columns of the label sheet must be 1 or more, got 0"),
    ({"label_height_mm": float("nan")}, "label_height_mm of the label sheet must be 1 or more, got nan"),
    ({"gap_x_mm": -1.0}, "gap_x_mm of the label sheet must be 0 or more, got -1"),
])
def test_sheets_that_do_not_fit(change, message):
    sound = {"paper": "A4", "columns": 2, "rows": 7, "label_width_mm": 99.0, "label_height_mm": 38.0,
             "margin_left_mm": 4.5, "margin_top_mm": 15.5, "gap_x_mm": 3.0}
    SheetStock(**sound)
    with pytest.raises(LabelError) as caught:
        SheetStock(**(sound | change))
    assert message in str(caught.value)
