"""The choice of mask, against the encoder's own evaluation of a matrix."""

import numpy as np
import segno
from hypothesis import given, settings
from hypothesis import strategies as st
from segno.encoder import evaluate_mask

from labels.mask import MASKS, mask_changes, penalties
from labels.symbol import make_symbol

ADDRESS = "http://10.0.0.1:8000/P/OH-S{:03}-X.1"


def test_penalties_are_those_of_the_encoder():
    matrices = np.array([make_symbol(ADDRESS.format(n)).rows for n in range(100)], dtype=np.uint8)
    theirs = [evaluate_mask([bytearray(row) for row in matrix], len(matrix), len(matrix)) for matrix in matrices]
    assert penalties(matrices).tolist() == theirs


@settings(deadline=None, max_examples=100)
@given(st.integers(0, 2**32 - 1), st.floats(0.1, 0.9))
def test_penalties_of_noise_differ_only_where_finders_overlap(seed, share):
    """Of two look-alikes of a finder pattern that share modules the encoder counts one."""
    matrix = (np.random.default_rng(seed).random((21, 21)) < share).astype(np.uint8)
    surplus = int(penalties(matrix[None])[0]) - evaluate_mask([bytearray(row) for row in matrix], 21, 21)
    assert surplus >= 0
    assert surplus % 40 == 0


def test_one_colour_is_the_worst():
    """Light all over, by hand: 2 × 21 runs of 21 and 20 × 20 blocks; a tenth too few dark modules ten times."""
    assert penalties(np.zeros((1, 21, 21), dtype=np.uint8)).tolist() == [42 * 19 + 400 * 3 + 100]


def test_the_matrix_is_the_encoders_under_the_chosen_mask():
    for number in range(20):
        symbol = make_symbol(f"OH-S{number:03}-X", "Q")
        code = segno.make_qr(symbol.text, error="Q", boost_error=False, mask=symbol.mask)
        assert symbol.rows == tuple(map(tuple, code.matrix))
        assert symbol.version == code.version


def test_no_other_mask_has_a_lower_penalty():
    symbol = make_symbol(ADDRESS.format(73))
    changes = mask_changes(symbol.version, symbol.level)
    under = np.array(symbol.rows, dtype=np.uint8) ^ changes[symbol.mask] ^ changes
    points = penalties(under)
    assert len(points) == MASKS
    assert points[symbol.mask] == points.min() < points.max()
