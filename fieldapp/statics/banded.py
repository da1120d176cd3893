"""Banded Cholesky of a stage's stiffness: the order of hubs, the factor, and where it is singular.

A stage that does not stand makes the matrix singular; the factorisation itself is the test.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray

SMALLEST_PIVOT = 1e-11
"""Pivot ÷ diagonal below which a degree of freedom counts as free [1]. The floppiest stages that stand keep above 1e-8,
mechanisms fall below 1e-13.
Source: our choice between the two, both computed (S8). Test: tests/statics/test_stiffness.py"""


_MANY, _BLOCK = 100, 64
"""Right-hand sides from which blocks are faster, and rows of a block (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Lower band of a symmetric matrix and, after factoring, of its Cholesky factor."""

    lower: FloatArray
    """(bandwidth + 1, size)."""

    def solution(self, right: FloatArray) -> FloatArray:
        """(size, k) solution for k right-hand sides."""
        from scipy.linalg.lapack import dpbtrs  # here: scipy would slow the start of the server

        if right.ndim > 1 and right.shape[1] >= _MANY:
            return self._in_blocks(right)
        return np.asarray(dpbtrs(self.lower, right, lower=1)[0]) if right.size else right

    def _in_blocks(self, right: FloatArray) -> FloatArray:
        """The same block by block, all right-hand sides at once: half the time where they are very many."""
        from scipy.linalg.blas import dtrsm  # here: scipy would slow the start of the server

        high, size = self.lower.shape
        found, blocks = np.array(right, order="F"), []
        for first in range(0, size, _BLOCK):
            last = min(first + _BLOCK, size)
            end = min(last + high - 1, size)
            block = np.zeros((end - first, last - first), order="F")
            for column in range(first, last):
                some = min(high, end - column)
                block[column - first:column - first + some, column - first] = self.lower[:some, column]
            blocks.append((slice(first, last), slice(last, end), block[:last - first], block[last - first:]))
        for here, below, corner, rest in blocks:
            found[here] = dtrsm(1.0, corner, found[here], lower=1)
            found[below] -= rest @ found[here]
        for here, below, corner, rest in reversed(blocks):
            found[here] = dtrsm(1.0, corner, found[here] - rest.T @ found[below], lower=1, trans_a=1)
        return found

    def triangular_solve(self, vector: FloatArray, *, transpose: bool = False) -> FloatArray:
        """L⁻¹ times a vector, or L⁻ᵀ times it if `transpose`: one triangular solve."""
        from scipy.linalg.blas import dtbsv  # here: scipy would slow the start of the server

        return np.asarray(dtbsv(len(self.lower) - 1, self.lower, vector, lower=1, trans=int(transpose)))


def hub_order(count: int, pairs: IntArray) -> IntArray:
    """(count,) hub numbers in an order that keeps neighbours close (reverse Cuthill–McKee)."""
    from scipy.sparse import coo_array  # here: scipy would slow the start of the server
    from scipy.sparse.csgraph import reverse_cuthill_mckee

    if not len(pairs):
        return np.arange(count)
    rows, columns = np.r_[pairs[:, 0], pairs[:, 1]], np.r_[pairs[:, 1], pairs[:, 0]]
    graph = coo_array((np.ones(len(rows)), (rows, columns)), shape=(count, count)).tocsr()
    return np.asarray(reverse_cuthill_mckee(graph, symmetric_mode=True), dtype=np.int64)


def band_of(matrices: FloatArray, dofs: IntArray, size: int) -> FloatArray:
    """(bandwidth + 1, size) lower band of the sum of small matrices.

    Parameters
    ----------
    matrices : (m, k, k) array
        Symmetric matrices to add up.
    dofs : (m, k) int array
        Row of each in the sum; −1 for none.
    size : int
        Rows of the sum.
    """
    kept, flat, height = _places(dofs, size)
    return np.asarray(np.bincount(flat, weights=matrices[kept], minlength=height * size).reshape(height, size))


def _places(dofs: IntArray, size: int) -> tuple[BoolArray, IntArray, int]:
    """(m, k, k) which entries of small matrices are in the lower band, where in it, and how high it is."""
    rows, columns = np.broadcast_arrays(dofs[:, :, None], dofs[:, None, :])  # (matrix, row, column)
    kept = (columns >= 0) & (rows >= columns)
    row, column = rows[kept], columns[kept]
    height = int((row - column).max(initial=0)) + 1
    return kept, (row - column) * size + column, height


class BandSums:
    """The lower band of a fixed part and of small matrices of which each has a factor, made ready for many factors."""

    def __init__(self, fixed: FloatArray, matrices: Sequence[FloatArray], dofs: IntArray) -> None:
        """As `band_of`: the band of the fixed part, and some sets of (m, k, k) matrices at the same rows."""
        from scipy.sparse import csc_array  # here: scipy would slow the start of the server

        kept, flat, height = _places(dofs, fixed.shape[1])
        self._shape = (max(height, len(fixed)), fixed.shape[1])
        self._fixed = np.zeros(self._shape)
        self._fixed[:len(fixed)] = fixed
        begins = np.r_[0, np.cumsum(kept.sum(axis=(1, 2)))]
        shape = (self._fixed.size, len(dofs))
        self._parts = [csc_array((each[kept], flat, begins), shape=shape) for each in matrices]

    def at(self, factors: FloatArray) -> FloatArray:
        """(bandwidth + 1, size) the band, with (m, sets) factors of the matrices."""
        total = self._fixed.ravel()
        for part, factor in zip(self._parts, factors.T, strict=True):
            total = total + part @ factor
        return np.asarray(total.reshape(self._shape))


def cholesky(lower: FloatArray) -> Band | None:
    """Cholesky factor of a band, or None if the matrix is not safely positive definite.

    Source: (S8). Test: tests/statics/test_stiffness.py
    """
    from scipy.linalg.lapack import dpbtrf  # here: scipy would slow the start of the server

    diagonal = lower[0]
    if not np.all(diagonal > 0):
        return None
    factor, info = dpbtrf(lower, lower=1)
    if info or np.any(factor[0] ** 2 < SMALLEST_PIVOT * diagonal):
        return None
    return Band(factor)


def zero_energy_modes(lower: FloatArray, most: int = 12) -> FloatArray:
    """(size, k) modes of (nearly) zero strain energy, at most `most` of each piece that is unstable.

    Pieces that no strut joins are looked at one by one, and only those that cannot be factored. Each is
    scaled to a unit diagonal first, so that translations and rotations compare.
    """
    found = []
    for start, end in _pieces(lower):
        piece = lower[:end - start, start:end]
        if cholesky(piece) is None:
            free = _free_of_piece(piece, most)
            shapes = np.zeros((lower.shape[1], free.shape[1]))
            shapes[start:end] = free
            found.append(shapes)
    return np.concatenate(found, axis=1) if found else _free_of_piece(lower, most)


def _pieces(lower: FloatArray) -> list[tuple[int, int]]:
    """First row and end of each run of rows that is joined to no other."""
    size = lower.shape[1]
    height = np.arange(len(lower))[:, None]
    farthest = np.maximum.accumulate(np.where(lower != 0, height, 0).max(axis=0) + np.arange(size))
    ends = np.flatnonzero(farthest == np.arange(size)) + 1
    return list(zip([0, *ends[:-1].tolist()], ends.tolist(), strict=True))


def _free_of_piece(lower: FloatArray, most: int) -> FloatArray:
    """(size, k) displacements of one piece.

    Source: (S8). Test: tests/statics/test_stiffness.py
    """
    scale = 1.0 / np.sqrt(np.where(lower[0] > 0, lower[0], 1.0))
    full = _scaled_full(lower, scale)
    if len(scale) <= _DENSE:
        values, shapes = np.linalg.eigh(full.toarray())
    else:
        values, shapes = _smallest(full, most)
    soft = values <= max(_SOFT, values[0])
    return np.asarray(scale[:, None] * shapes[:, soft][:, :most])


_DENSE = 400
"""Up to this size a matrix is taken whole (in no formula)."""
_SOFT = 1e-10
"""Eigenvalue of the scaled stiffness, largest about 1, below which a mode costs no energy [1].
Source: our choice (S8). Test: tests/statics/test_stiffness.py"""


def _scaled_full(lower: FloatArray, scale: FloatArray):  # type: ignore[no-untyped-def]
    """Sparse matrix of a band, rows and columns multiplied by `scale`."""
    from scipy.sparse import coo_array  # here: scipy would slow the start of the server

    height, size = lower.shape
    below, column = np.divmod(np.arange(height * size), size)
    row = below + column
    kept = (row < size) & (lower.ravel() != 0)
    row, column, value = row[kept], column[kept], lower.ravel()[kept]
    value = value * scale[row] * scale[column]
    below_diagonal = row > column
    rows, columns = np.r_[row, column[below_diagonal]], np.r_[column, row[below_diagonal]]
    return coo_array((np.r_[value, value[below_diagonal]], (rows, columns)), shape=(size, size)).tocsc()


def _smallest(full, most: int) -> tuple[FloatArray, FloatArray]:  # type: ignore[no-untyped-def]
    """Smallest eigenvalues and their vectors of a large sparse matrix, by shift and invert."""
    from scipy.sparse.linalg import eigsh  # here: scipy would slow the start of the server

    return eigsh(full, k=most, sigma=-1e-6, v0=np.ones(full.shape[0]))
