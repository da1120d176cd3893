"""By how much the axial forces of a stage must grow until it buckles."""

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.banded import band_of
from fieldapp.statics.response import Response
from fieldapp.statics.stiffness import Factored


def strut_tension_n(answer: Response) -> FloatArray:
    """(k, struts) mean axial force of every strut, tension positive."""
    return np.asarray(answer.arms[:, :, [1, 3], 0].mean(axis=2))


def buckling_factor(ready: Factored, tension_n: FloatArray) -> float:
    """The factor to buckling; infinite if nothing is compressed.

    Source: (S13). Test: tests/statics/test_response.py

    Parameters
    ----------
    ready : Factored
        The stage, first order.
    tension_n : (struts,) array
        Axial forces, tension positive. [N]

    Notes
    -----
    Hubs against each other: lowest λ of (K + λ K_N) φ = 0 with the condensed geometric stiffness. A strut
    between hubs that do not move: N / N_cr of its arm – tube – arm line. Both together by
    1/λ = 1/λ₁ + 1/λ₂ (Dunkerley), on the safe side.
    """
    total = _softening(ready, tension_n) + _strut_share(ready, tension_n)
    return 1.0 / total if total > 0 else np.inf


def buckles_beyond(ready: Factored, tension_n: FloatArray, factor: float) -> bool:
    """True if it takes more than `factor` times these axial forces to buckle; far cheaper than the factor itself.

    Source: (S13). Test: tests/statics/test_response.py

    Parameters
    ----------
    ready : Factored
        The stage, first order.
    tension_n : (struts,) array
        Axial forces, tension positive. [N]
    factor : float
        Times the forces.

    Notes
    -----
    The stage resists every movement under `factor` times the forces if the stiffness that is left, never stiffer than
    the true one (S26), is positive definite (Sylvester's law of inertia); the Cholesky factorisation tells.
    """
    return not np.any(tension_n < 0) or ready.stable_under(tension_n * factor)


def hub_that_buckles(ready: Factored, tension_n: FloatArray) -> str:
    """The hub that moves most as hubs buckle against each other under these axial forces, (struts,) [N]; or none."""
    _, mode = _softest(ready, tension_n)
    shape = np.zeros(ready.row.shape)
    shape[ready.row >= 0] = mode[ready.row[ready.row >= 0]]
    moved = np.linalg.norm(shape[:, :3], axis=1)
    return ready.stage.model.hub_names[int(np.round(moved / moved.max(), 6).argmax())] if moved.any() else ""


def _strut_share(ready: Factored, tension_n: FloatArray) -> float:
    """1/λ₂: the largest share of a strut's own critical force."""
    return float(np.max(-tension_n / ready.stage.model.members.buckling_n[ready.stage.struts], initial=0.0))


def _softening(ready: Factored, tension_n: FloatArray) -> float:
    """Largest μ of −K_N φ = μ K φ; 0 if nothing is compressed."""
    return max(_softest(ready, tension_n)[0], 0.0)


def _softest(ready: Factored, tension_n: FloatArray) -> tuple[float, FloatArray]:
    """Largest μ of −K_N φ = μ K φ and its φ, from the eigenvalues of −L⁻¹ K_N L⁻ᵀ with K = L Lᵀ, to 0.1 %.

    Source: (S13). Test: tests/statics/test_response.py
    """
    from scipy.sparse.linalg import LinearOperator, eigsh  # here: scipy would slow the start of the server

    size = ready.band.lower.shape[1]
    if size < 2 or not np.any(tension_n < 0):
        return 0.0, np.zeros(size)
    softer = _softer_band(ready, tension_n)
    if size <= _DENSE:
        values, vectors = np.linalg.eigh(_dense(ready, softer))
    else:
        product = LinearOperator((size, size), dtype=np.float64, matvec=lambda v: ready.band.triangular_solve(
            _banded_product(softer, ready.band.triangular_solve(v.ravel(), transpose=True))))
        values, vectors = eigsh(product, k=1, which="LA", tol=1e-3, v0=np.cos(np.arange(size, dtype=np.float64)))
    return float(values[-1]), ready.band.triangular_solve(vectors[:, -1], transpose=True)


_DENSE = 40
"""Up to this size a matrix is taken whole (in no formula)."""


def _softer_band(ready: Factored, tension_n: FloatArray) -> FloatArray:
    """Lower band of −K_N."""
    stage = ready.stage
    matrices = -tension_n[:, None, None] * stage.model.geometric_stiffness[stage.struts]  # (strut, dof, dof)
    return band_of(matrices, ready.row[stage.ends].reshape(-1, 12), ready.band.lower.shape[1])


def _banded_product(lower: FloatArray, vector: FloatArray) -> FloatArray:
    """Product of a symmetric matrix, given by its lower band, with a vector."""
    from scipy.linalg.blas import dsbmv  # here: scipy would slow the start of the server

    return np.asarray(dsbmv(len(lower) - 1, 1.0, lower, vector, lower=1))


def _dense(ready: Factored, softer: FloatArray) -> FloatArray:
    """The product matrix of a small stage, column by column."""
    size = softer.shape[1]
    right = [ready.band.triangular_solve(e, transpose=True) for e in np.eye(size)]
    columns = [ready.band.triangular_solve(_banded_product(softer, vector)) for vector in right]
    full = np.stack(columns, axis=1)  # (row, column)
    return np.asarray((full + full.T) / 2)
