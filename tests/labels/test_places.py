"""Which position each label takes: pairs are neighbours, nothing is printed twice or on a label that is gone."""

import hypothesis
from hypothesis import strategies as st

from labels.label import Label
from labels.places import places
from labels.stock import RollStock, SheetStock


@hypothesis.settings(max_examples=60, deadline=None)
@hypothesis.given(st.integers(1, 4), st.integers(1, 5), st.data())
def test_two_labels_of_a_part_are_neighbours_and_no_position_is_taken_twice(columns, rows, data):
    stock = SheetStock("A4", columns, rows, 20.0, 20.0)
    start = data.draw(st.integers(1, stock.per_sheet))
    counts = data.draw(st.lists(st.integers(1, 2), min_size=1, max_size=30))
    labels = [Label(str(part)) for part, count in enumerate(counts) for _ in range(count)]
    found = list(places(labels, stock, start))
    assert len(set(found)) == len(labels)
    assert all(0 <= position < stock.per_sheet for _, position in found)
    assert min(found) >= (0, start - 1)
    assert [sheet for sheet, _ in found] == sorted(sheet for sheet, _ in found)
    for number, count in enumerate(counts):
        own = found[sum(counts[:number]):][:count]
        if count == 2 and columns * rows > 1 and not (number == 0 and own[0][0] != own[1][0]):
            (sheet, one), (same, other) = own
            (row, column), (its_row, its_column) = divmod(one, columns), divmod(other, columns)
            assert sheet == same
            assert abs(row - its_row) + abs(column - its_column) == 1
            assert row == its_row or columns % 2


def test_a_pair_goes_apart_only_where_the_sheet_begun_has_one_label_left():
    pair = [Label("a"), Label("a")]
    assert list(places(pair, SheetStock("A4", 2, 7, 99.0, 38.0), 14)) == [(0, 13), (1, 0)]
    assert list(places([Label("b"), *pair, Label("c")], SheetStock("A4", 2, 7, 99.0, 38.0), 1)) == [
        (0, 0), (0, 2), (0, 3), (0, 1)]
    assert list(places(pair, RollStock(60.0, 40.0, per_sheet=2), 2)) == [(0, 1), (1, 0)]
