"""The pin-jointed twin of a stage: what geometry alone holds, and what it does not.

If every hub were a ball joint, s − m = b + c − 3 j (Maxwell 1864; Calladine, *Int. J. Solids
Structures* 14, 1978), with s states of self-stress, m mechanisms, b struts, c support restraints, j hubs;
s and m from the rank of the equilibrium matrix (Pellegrino & Calladine, *IJSS* 22, 1986). Hubs that
move in a mechanism rely on bending of their arms.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.model import BoolArray
from fieldapp.statics.stiffness import Stage

SMALLEST_SINGULAR = 1e-8
"""Singular value ÷ largest below which a direction counts as free. Frames that are rigid keep above 1e-3
(computed, frequencies 1 to 8)."""

_DENSE = 2000


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
    along = nodes_mm[ends[:, 1]] - nodes_mm[ends[:, 0]]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    matrix = np.zeros((*nodes_mm.shape, len(ends)))
    strut = np.arange(len(ends))
    for axis in range(nodes_mm.shape[1]):
        matrix[ends[:, 0], axis, strut] = along[:, axis]
        matrix[ends[:, 1], axis, strut] = -along[:, axis]
    return np.asarray(matrix[free])


def mechanisms(nodes_mm: FloatArray, ends: IntArray, free: BoolArray) -> Mechanisms:
    """Rank, s, m and mechanism shapes of a pin-jointed frame; arguments as for `equilibrium_matrix`."""
    matrix = equilibrium_matrix(nodes_mm, ends, free)
    left = _left_null_space(matrix)
    count = left.shape[1]
    shapes = np.zeros((*free.shape, count))
    shapes[free] = left
    size = np.sqrt(np.square(shapes).sum(axis=(1, 2)))
    rank = matrix.shape[0] - count
    return Mechanisms(matrix.shape[1] - rank, count, shapes, np.flatnonzero(size > _MOVES))


_MOVES = 1e-6


def stage_mechanisms(stage: Stage) -> Mechanisms:
    """The pin-jointed twin of a stage, on the same supports. Hubs without struts are left out."""
    free = np.zeros((len(stage.fixed), 3), dtype=bool)
    used = np.unique(stage.ends)
    free[used] = ~stage.fixed[used, :3]
    small = mechanisms(stage.model.nodes_mm[used], np.searchsorted(used, stage.ends), free[used])
    shapes = np.zeros((*free.shape, small.mechanisms))
    shapes[used] = small.shapes
    return Mechanisms(small.self_stress, small.mechanisms, shapes, used[small.moving])


def _left_null_space(matrix: FloatArray) -> FloatArray:
    """(rows, m) orthonormal directions that no strut resists."""
    if not matrix.size:
        return np.eye(matrix.shape[0])
    if max(matrix.shape) <= _DENSE:
        return _small_null_space(matrix)
    return _large_null_space(matrix)


def _small_null_space(matrix: FloatArray) -> FloatArray:
    """Null space by the eigenvalues of A Aᵀ, settled by singular values where that is doubtful."""
    values, vectors = np.linalg.eigh(matrix @ matrix.T)
    rest = values > _CLEAR * values[-1]
    if rest.all():
        return np.zeros((len(matrix), 0))
    low = vectors[:, ~rest]
    turn, sizes, _ = np.linalg.svd(low.T @ matrix, full_matrices=True)
    sizes = np.pad(sizes, (0, low.shape[1] - len(sizes)))
    return np.asarray((low @ turn)[:, sizes <= SMALLEST_SINGULAR * np.sqrt(values[-1])])


_CLEAR = 1e-10


def _large_null_space(matrix: FloatArray) -> FloatArray:
    """The same for thousands of rows: the lowest eigenvectors of A Aᵀ by shift and invert, in growing numbers."""
    from scipy.sparse import csc_array  # here: scipy would slow the start of the server
    from scipy.sparse.linalg import eigsh

    sparse = csc_array(matrix)
    square = (sparse @ sparse.T).tocsc()
    asked = 16
    while asked < len(matrix) // 4:
        values, vectors = eigsh(square, k=asked, sigma=-1e-7, v0=np.ones(len(matrix)))
        if values.max() > _CLEAR:
            return np.asarray(vectors[:, values <= _CLEAR])
        asked *= 4
    return _small_null_space(matrix)
