"""Symbols: what a second encoder and a decoder, neither of them ours, make of the same text."""

import numpy as np
import pytest
import qrcode
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from qrcode.util import MODE_8BIT_BYTE, MODE_ALPHA_NUM, QRData

from labels import LabelError
from labels.symbol import ALPHANUMERIC, QUIET_ZONE, Symbol, dark_runs, make_symbol

ADDRESS = "http://10.0.0.1:8000/P/OH-S073-C.1"
QRCODE_LEVEL = {"L": 1, "M": 0, "Q": 3, "H": 2}
QRCODE_MODE = {"byte": MODE_8BIT_BYTE, "alphanumeric": MODE_ALPHA_NUM}


def second_encoder_rows(symbol: Symbol) -> tuple[tuple[int, ...], ...]:
    """The matrix of the package qrcode for the same segments, version, level and mask.

    Equal unless the message ends on a codeword boundary: there segno puts a codeword of zeros before the padding,
    which readers skip as they skip all behind the terminator.
    """
    code = qrcode.QRCode(version=symbol.version, error_correction=QRCODE_LEVEL[symbol.level], border=0,
                         mask_pattern=symbol.mask)
    for segment in symbol.segments:
        code.add_data(QRData(segment.text.encode(), mode=QRCODE_MODE[segment.mode]), optimize=0)
    code.make(fit=False)
    return tuple(tuple(int(dark) for dark in row) for row in code.get_matrix())


@pytest.mark.parametrize("level", "LMQH")
@pytest.mark.parametrize("text", [ADDRESS, "http://192.168.178.20:8000/P/ORC-H007-X", "OH-H22-A", "A"])
def test_second_encoder_gives_the_same_matrix(text, level):
    symbol = make_symbol(text, level)
    assert symbol.rows == second_encoder_rows(symbol)


def test_second_encoder_differs_with_another_mask():
    """The comparison can fail."""
    symbol = make_symbol(ADDRESS)
    other = Symbol(symbol.text, symbol.version, symbol.level, (symbol.mask + 1) % 8, symbol.segments, symbol.rows)
    assert symbol.rows != second_encoder_rows(other)


@given(st.text(alphabet=sorted(ALPHANUMERIC) + list("httpß日"), min_size=1, max_size=60), st.sampled_from("LMQH"))
def test_a_decoder_reads_the_text_back(text, level):
    symbol = make_symbol(text, level)
    pixels = np.pad(1 - np.array(symbol.rows, dtype=np.uint8), QUIET_ZONE, constant_values=1)
    picture = np.kron(pixels * 255, np.ones((4, 4), dtype=np.uint8))
    found = zxingcpp.read_barcodes(picture, zxingcpp.BarcodeFormat.QRCode, text_mode=zxingcpp.TextMode.Plain)
    assert [code.text for code in found] == [text]


def test_dark_runs_rebuild_the_matrix():
    symbol = make_symbol(ADDRESS)
    rows = [[0] * symbol.size for _ in range(symbol.size)]
    for row, start, length in dark_runs(symbol):
        rows[row][start:start + length] = [1] * length
    assert tuple(map(tuple, rows)) == symbol.rows


def test_the_level_is_not_raised_on_the_way():
    assert make_symbol("A", "L").level == "L"
    assert second_encoder_rows(make_symbol("A", "L")) == make_symbol("A", "L").rows


def test_texts_that_no_symbol_holds():
    with pytest.raises(LabelError, match="a symbol needs a text, got an empty one"):
        make_symbol("")
    with pytest.raises(LabelError, match="a text of 5000 characters is too long for a symbol of level M; shorten the "
                                         "site address"):
        make_symbol("A" * 5000)
