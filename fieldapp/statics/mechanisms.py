"""The pin-jointed twin of a stage: what geometry alone holds, and what it does not.

If every hub were a ball joint, s − m = b + c − 3 j (Maxwell 1864; Calladine, *Int. J. Solids
Structures* 14, 1978), with s states of self-stress, m mechanisms, b struts, c support restraints, j hubs;
s and m from the rank of the equilibrium matrix (Pellegrino & Calladine, *IJSS* 22, 1986). Hubs that
move in a mechanism rely on bending of their arms.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.banded import band_of, cholesky, hub_order
from fieldapp.statics.stiffness import Stage

SMALLEST_SINGULAR = 1e-8
"""Singular value ÷ largest below which a direction counts as free [1]. Closed frames keep above 1e-2; unfinished ones
of many rings come down to 1e-7 at frequency 8: rigid on paper, floppy in the hand. Those show in arm use, push
limit and buckling factor of the stiff-jointed stage.
Source: our choice, from computed stages (S20).
Test: tests/reference/test_pellegrino_calladine_1986.py, tests/statics/test_holds.py"""

_DENSE = 2000
"""Up to this many rows a matrix is taken whole (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class Mechanisms:
    """Rank of the equilibrium matrix and what follows from it."""

    self_stress: int
    """s, independent states of self-stress."""
    mechanisms: int
    """m, independent mechanisms, rigid motions of loose pieces included."""
    shapes: FloatArray
    """(n, 3, m) orthonormal mechanisms on all hubs given."""
    moving: IntArray
    """Hub numbers that move in some mechanism, ascending."""


def equilibrium_matrix(nodes_mm: FloatArray, ends: IntArray, free: BoolArray) -> FloatArray:
    """Hub forces from strut tensions, rows of free translations only.

    Parameters
    ----------
    nodes_mm : (n, d) array
        Hub centres; d is 3, or 2 for a plane figure. [mm]
    ends : (b, 2) int array
        Hubs of each strut.
    free : (n, d) bool array
        Translations that no support restrains.

    Returns
    -------
    (free count, b) array
        Direction cosines.
    """
    return np.asarray(_sparse_equilibrium_matrix(nodes_mm, ends, free).toarray())


def mechanisms(nodes_mm: FloatArray, ends: IntArray, free: BoolArray) -> Mechanisms:
    """Rank, s, m and mechanism shapes of a pin-jointed frame; arguments as for `equilibrium_matrix`.

    Source: (S20): Pellegrino & Calladine, IJSS 22, 1986. Test: tests/reference/test_pellegrino_calladine_1986.py

    Notes
    -----
    A frame that is rigid is known to be so from the factor of A Aᵀ and its smallest eigenvalue; only
    if that is doubtful is the null space worked out.
    """
    rows = int(free.sum())
    left = np.zeros((rows, 0)) if _rigid(nodes_mm, ends, free) else _left_null_space(nodes_mm, ends, free)
    count = left.shape[1]
    shapes = np.zeros((*free.shape, count))  # (hub, axis, mode)
    shapes[free] = left
    size = np.sqrt(np.square(shapes).sum(axis=(1, 2)))
    return Mechanisms(len(ends) - (rows - count), count, shapes, np.flatnonzero(size > _MOVES))


_MOVES = 1e-6
"""Share of the unit mechanisms above which a hub moves [1].
Source: our choice (S20). Test: tests/statics/test_holds.py"""


def stage_mechanisms(stage: Stage) -> Mechanisms:
    """The pin-jointed twin of a stage, on the same supports. Hubs without struts are left out."""
    free = np.zeros((len(stage.fixed), 3), dtype=bool)
    used = np.unique(stage.ends)
    free[used] = ~stage.fixed[used, :3]
    small = mechanisms(stage.model.nodes_mm[used], np.searchsorted(used, stage.ends), free[used])
    shapes = np.zeros((*free.shape, small.mechanisms))  # (hub, axis, mode)
    shapes[used] = small.shapes
    return Mechanisms(small.self_stress, small.mechanisms, shapes, used[small.moving])


def _rigid(nodes_mm: FloatArray, ends: IntArray, free: BoolArray) -> bool:
    """True if A Aᵀ is safely positive definite: smallest eigenvalue above `_CLEAR`, by inverse iteration.

    Source: (S20). Test: tests/statics/test_holds.py
    """
    row = np.full(free.shape, -1, dtype=np.int64)
    order = hub_order(len(free), ends)
    counted = np.cumsum(free[order].ravel()).reshape(free.shape) - 1
    row[order] = np.where(free[order], counted, -1)
    size = int(free.sum())
    if size == 0 or size > len(ends):
        return size == 0
    both = _directions(nodes_mm, ends)
    # (strut, end dof, end dof)
    band = cholesky(band_of(both[:, :, None] * both[:, None, :], row[ends].reshape(len(ends), -1), size))
    if band is None:
        return False
    vector = np.cos(np.arange(size, dtype=np.float64))[:, None]
    for _ in range(_ITERATIONS):
        vector = band.solution(vector / np.linalg.norm(vector))
    return float(np.linalg.norm(vector)) * _CLEAR < 1.0


_ITERATIONS = 6
"""Steps of the inverse iteration [1]. Source: our choice (S20). Test: tests/statics/test_holds.py"""
_CLEAR = 1e-10
"""Eigenvalue of A Aᵀ above which a frame is rigid without a closer look [1].
Source: our choice (S20). Test: tests/statics/test_holds.py"""


def _left_null_space(nodes_mm: FloatArray, ends: IntArray, free: BoolArray) -> FloatArray:
    """(rows, m) orthonormal directions that no strut resists."""
    rows = int(free.sum())
    if not rows or not len(ends):
        return np.eye(rows)
    if max(rows, len(ends)) <= _DENSE:
        return _small_null_space(equilibrium_matrix(nodes_mm, ends, free))
    return _large_null_space(nodes_mm, ends, free)


def _small_null_space(matrix: FloatArray) -> FloatArray:
    """Null space by the eigenvalues of A Aᵀ, settled by singular values where that is doubtful."""
    values, vectors = np.linalg.eigh(matrix @ matrix.T)
    low = vectors[:, values <= _CLEAR * values[-1]]
    if not low.shape[1]:
        return low
    return _settled(low, low.T @ matrix, float(values[-1]))


def _settled(low: FloatArray, left: FloatArray, top: float) -> FloatArray:
    """Of directions with small eigenvalues those whose singular value is zero; `left` is lowᵀ A, `top` the largest.

    Source: (S20). Test: tests/statics/test_holds.py, tests/reference/test_pellegrino_calladine_1986.py
    """
    turn, sizes, _ = np.linalg.svd(left, full_matrices=True)
    sizes = np.pad(sizes, (0, low.shape[1] - len(sizes)))
    return np.asarray((low @ turn)[:, sizes <= SMALLEST_SINGULAR * np.sqrt(top)])


def _large_null_space(nodes_mm: FloatArray, ends: IntArray, free: BoolArray) -> FloatArray:
    """The same for thousands of rows: the lowest eigenvectors of A Aᵀ by shift and invert, in growing numbers."""
    from scipy.sparse.linalg import eigsh  # here: scipy would slow the start of the server

    sparse = _sparse_equilibrium_matrix(nodes_mm, ends, free)
    square = (sparse @ sparse.T).tocsc()
    rows, asked = square.shape[0], 16
    while asked < rows // 4:
        values, vectors = eigsh(square, k=asked, sigma=-1e-7, v0=np.cos(np.arange(rows, dtype=np.float64)))
        if values.max() > _CLEAR:
            low = vectors[:, values <= _CLEAR]
            return _settled(low, np.asarray(sparse.T @ low).T, float(np.abs(square).sum(axis=1).max()))
        asked *= 4
    return _small_null_space(sparse.toarray())


def _sparse_equilibrium_matrix(nodes_mm: FloatArray, ends: IntArray, free: BoolArray):  # type: ignore[no-untyped-def]
    """The equilibrium matrix without its zeros."""
    from scipy.sparse import csr_array  # here: scipy would slow the start of the server

    dimension = free.shape[1]
    # (strut, end, axis), then (strut, end dof)
    row = (ends[:, :, None] * dimension + np.arange(dimension)).reshape(len(ends), -1)
    column = np.broadcast_to(np.arange(len(ends))[:, None], row.shape)
    full = csr_array((_directions(nodes_mm, ends).ravel(), (row.ravel(), column.ravel())), shape=(free.size, len(ends)))
    return full[np.flatnonzero(free.ravel())]


def _directions(nodes_mm: FloatArray, ends: IntArray) -> FloatArray:
    """(b, 2 d) forces on both hubs of each strut for a tension of one."""
    along = nodes_mm[ends[:, 1]] - nodes_mm[ends[:, 0]]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    return np.concatenate((along, -along), axis=1)
