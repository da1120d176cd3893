"""Choice of a symbol's mask by the penalties of ISO/IEC 18004, clause 7.8.3, for all eight masks at once.

The encoder can choose too, one module at a time; on arrays it takes a tenth of the time, which counts with a
thousand labels. The standard evaluates the complete symbol, so the format bits of each mask are in place here
(the encoder looks before it sets them, and so may choose another mask of nearly the same penalty).
"""

from functools import lru_cache
from typing import Final

import numpy as np
import segno
from numpy.typing import NDArray

Matrix = NDArray[np.uint8]
Counts = NDArray[np.int64]

MASKS: Final = 8
"""Masks of a symbol [1]. Source: ISO/IEC 18004, 7.8.2. Test: tests/labels/test_mask.py"""
N1, N2, N3, N4 = 3, 3, 40, 10
"""Points of the four features [1]. Source: ISO/IEC 18004, table 11. Test: tests/labels/test_mask.py"""

FINDER_AFTER_LIGHT: Final = 0b00001011101
"""Four light modules before dark and light 1:1:3:1:1, as 11 bits [1].
Source: ISO/IEC 18004, table 11 (L2). Test: tests/labels/test_mask.py"""
FINDER_BEFORE_LIGHT: Final = 0b10111010000
"""The same with the light modules behind [1]. Source: ISO/IEC 18004, table 11 (L2). Test: tests/labels/test_mask.py"""


def best_mask(first: Matrix, version: int, level: str) -> tuple[int, Matrix]:
    """The mask with the lowest penalty (the lowest number at a tie) and the matrix under it.

    Source: (L1): ISO/IEC 18004, 7.8.3. Test: tests/labels/test_mask.py

    Parameters
    ----------
    first : (n, n) array
        The symbol under mask 0; 1 is dark.
    version, level
        Of the symbol.

    Returns
    -------
    (mask, (n, n) array)
    """
    masked = first ^ mask_changes(version, level)
    mask = int(penalties(masked).argmin())
    return mask, masked[mask]


@lru_cache(maxsize=160)
def mask_changes(version: int, level: str) -> Matrix:
    """(8, n, n): modules that differ between mask 0 and each mask; the same for every text.

    Another mask turns over a fixed set of modules and a fixed set of format bits.
    """
    symbols = [segno.make_qr("0", error=level, version=version, mask=mask, boost_error=False)
               for mask in range(MASKS)]
    stack = np.array([list(symbol.matrix) for symbol in symbols], dtype=np.uint8)  # (mask, row, column)
    changes: Matrix = stack ^ stack[0]
    changes.setflags(write=False)
    return changes


def penalties(matrices: Matrix) -> Counts:
    """(k,) penalty of each of (k, n, n) matrices; beyond the edge all is light."""
    lines = np.concatenate((matrices, matrices.transpose(0, 2, 1)), axis=1)  # (mask, row or column, module)
    points: Counts = _runs(lines) + N2 * _blocks(matrices) + N3 * _finders(lines) + N4 * _imbalance(matrices)
    return points


def _count(hits: NDArray[np.bool_]) -> Counts:
    """Hits in each matrix."""
    counts: Counts = np.count_nonzero(hits, axis=(1, 2))
    return counts


def _runs(lines: Matrix) -> Counts:
    """N1 + i points for every run of 5 + i modules: one for each window of five, two more for each run.

    Source: (L1). Test: tests/labels/test_mask.py
    """
    same = lines[:, :, 1:] == lines[:, :, :-1]  # (mask, line, module)
    pairs = same[:, :, 1:] & same[:, :, :-1]
    window = pairs[:, :, 2:] & pairs[:, :, :-2]
    begins = _count(window[:, :, 1:] & ~window[:, :, :-1]) + _count(window[:, :, :1])
    points: Counts = _count(window) + (N1 - 1) * begins
    return points


def _blocks(matrices: Matrix) -> Counts:
    """Blocks of two by two modules of one colour.

    Source: (L1). Test: tests/labels/test_mask.py
    """
    right = matrices[:, :, 1:] == matrices[:, :, :-1]  # (mask, row, column)
    below = matrices[:, 1:, :-1] == matrices[:, :-1, :-1]
    return _count(right[:, 1:] & right[:, :-1] & below)


def _finders(lines: Matrix) -> Counts:
    """Stretches that look like a finder pattern.

    Source: (L2). Test: tests/labels/test_mask.py
    """
    # (mask, line, module with four light ones at each end)
    bits = np.zeros((*lines.shape[:2], lines.shape[2] + 8), dtype=np.uint16)
    bits[..., 4:-4] = lines
    two = bits[..., :-1] << 1 | bits[..., 1:]
    four = two[..., :-2] << 2 | two[..., 2:]
    eight = four[..., :-4] << 4 | four[..., 4:]
    ten = eight[..., :-2] << 2 | two[..., 8:]
    code = ten[..., :-1] << 1 | bits[..., 10:]  # (mask, line, first module of the eleven)
    return _count((code[:, :, :-4] == FINDER_AFTER_LIGHT) | (code[:, :, 4:] == FINDER_BEFORE_LIGHT))


def _imbalance(matrices: Matrix) -> Counts:
    """Whole steps of five per cent that the share of dark modules is away from a half.

    Source: (L1). Test: tests/labels/test_mask.py
    """
    size = matrices.shape[1] * matrices.shape[2]
    dark = np.count_nonzero(matrices, axis=(1, 2))
    steps: Counts = np.abs(20 * dark - 10 * size) // size
    return steps
