"""Reading a heap: the same from every form, and messages that name place, value, what is allowed and what to do."""

import numpy as np
import pytest

from fieldapp.base.errors import FrameError
from fieldapp.identify.heap import HubPile, TapeReading
from fieldapp.identify.heap_file import read_heap

CSV = """# what lay in the barn
length_mm, plus_minus_mm, count, mark, paint
1203, 2, 1, B7, red
1190.5, , 30

arms, count
6, 26
measured, value_mm
span, 6380
"""
GERMAN = CSV.replace(",", ";").replace(".", ",")
TOML = """[[struts]]
length_mm = 1203
plus_minus_mm = 2
mark = "B7"
paint = "red"
[[struts]]
length_mm = 1190.5
count = 30
[[hubs]]
arms = 6
count = 26
[[measured]]
measured = "span"
value_mm = 6380
"""


def _heap(tmp_path, text, name="heap.csv"):
    (tmp_path / name).write_text(text, encoding="utf-8")
    return read_heap(tmp_path / name)


def test_commas_semicolons_and_toml_say_the_same(tmp_path):
    heap = _heap(tmp_path, CSV)
    assert [(p.length_mm, p.plus_minus_mm, p.count, p.mark, p.paint) for p in heap.pieces] == [
        (1203.0, 2.0, 1, "B7", "red"), (1190.5, 3.0, 30, "", "")]
    assert heap.hub_counts == {6: 26}
    assert heap.span == TapeReading(6380.0, 10.0)
    for text, name in ((GERMAN, "heap.csv"), (TOML, "heap.toml")):
        other = _heap(tmp_path, text, name)
        assert (other.lengths_mm.tolist(), other.hub_counts, other.span) == (
            heap.lengths_mm.tolist(), heap.hub_counts, heap.span)
    assert isinstance(heap.hubs[0], HubPile)


def test_a_reading_is_as_likely_everywhere_between_its_bounds(tmp_path):
    """JCGM 100:2008 4.3.7: a² / 3 (from memory); with half a millimetre for marks and saw."""
    even = np.random.default_rng(7).uniform(-3, 3, 100_000)
    assert _heap(tmp_path, CSV).spread_mm[1] == pytest.approx(np.hypot(even.std(), 0.5), rel=0.01)


@pytest.mark.parametrize(("text", "said"), [
    ("length_mm\nabc\n", "heap.csv, line 2: length_mm is 'abc'; allowed are numbers from 10"),
    ("length_mm, count\n1200, 0\n", "heap.csv, line 2: count is '0'; allowed are whole numbers from 1"),
    ("length_mm, colour\n", "there is no column 'colour'; allowed are count, mark, paint, code, code_again"),
    ("1200\n", "heap.csv, line 1 stands before the head of a table"),
    ("length_mm\n1200\n", "heap.csv tells of 1 struts; allowed are 3 to 5000"),
    ("length_mm, count\n1200, 5\n1,200, 5\n", "heap.csv, line 3 has 3 columns, its head 2"),
    ("measured, value_mm\nspan, 6000\nspan, 6100\n", "line 3 gives span a second time"),
    ("measured, value_mm\nwidth, 6000\n", "measured is 'width'; allowed are span, height, take_up"),
    ("arms\n\n,3\n", "heap.csv, line 3"),
    ("length_mm\nnan\n", "length_mm is 'nan'"),
])
def test_a_wrong_file_is_told_where_and_what(tmp_path, text, said):
    with pytest.raises(FrameError) as error:
        _heap(tmp_path, text)
    assert said in str(error.value)


def test_other_tables_in_toml_and_missing_files_are_told(tmp_path):
    with pytest.raises(FrameError, match=r"allowed are \[\[struts\]\], \[\[hubs\]\], \[\[measured\]\], got poles"):
        _heap(tmp_path, "[poles]\na = 1\n", "heap.toml")
    with pytest.raises(FrameError, match="cannot be read: No such file"):
        read_heap(tmp_path / "none.csv")
