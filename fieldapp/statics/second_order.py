"""When is first order not enough, and what then: the factor to buckling, and the analysis with it.

First order serves while buckling takes at least 10 times the design load (EN 1993-1-1 5.2.1 (3)).
Below that `second_order` solves the stage again on the stiffness that compression has softened, and
enlarges moments within each strut by 1 / (1 − N / N_cr). At a factor of 1 the stage buckles.
"""

from dataclasses import replace

import numpy as np

from fieldapp.base.constants import ALPHA_CR_FIRST_ORDER, GAMMA_G
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.limits import ArmUse, Solved, worst_arm
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response, response
from fieldapp.statics.stiffness import Factored, Unstable, factored


def strut_tension_n(answer: Response) -> FloatArray:
    """(k, struts) mean axial force of every strut, tension positive."""
    return np.asarray(answer.arms[:, :, [1, 3], 0].mean(axis=2))


def buckling_factor_of(ready: Factored, tension_n: FloatArray) -> float:
    """By how much axial forces must grow until the stage buckles; infinite if it never does.

    Parameters
    ----------
    ready : Factored
        The stage.
    tension_n : (struts,) array
        Axial forces, tension positive. [N]

    Notes
    -----
    Hubs against each other: lowest λ of (K + λ K_N) φ = 0 with the condensed tension stiffness. A strut
    between its hubs: N / N_cr of the arm – tube – arm line. Both together by 1/α = 1/α₁ + 1/α₂ (Dunkerley),
    on the safe side.
    """
    frame = _softening(ready, tension_n)
    model, struts = ready.stage.model, ready.stage.struts
    strut = float(np.max(-tension_n / model.members.buckling_n[struts], initial=0.0))
    total = frame + max(strut, 0.0)
    return 1.0 / total if total > 0 else np.inf


def _softening(ready: Factored, tension_n: FloatArray) -> float:
    """Largest μ of −K_N φ = μ K φ."""
    from scipy.sparse.linalg import LinearOperator, eigsh  # here: scipy would slow the start of the server

    size = int(ready.row.max(initial=-1)) + 1
    if size < 2 or not np.any(tension_n < 0):
        return 0.0
    softer = LinearOperator((size, size), matvec=lambda v: _tension_forces(ready, tension_n, v), dtype=float)
    stiff = LinearOperator((size, size), matvec=lambda v: _on_rows(ready, _on_hubs(ready, v)), dtype=float)
    back = LinearOperator((size, size), matvec=lambda v: ready.band.solution(v.reshape(-1, 1))[:, 0], dtype=float)
    top = eigsh(softer, k=1, M=stiff, Minv=back, which="LA", tol=1e-3, v0=np.cos(np.arange(size)),
                return_eigenvectors=False, ncv=min(size, 24))
    return max(float(top[0]), 0.0)


def _on_hubs(ready: Factored, rows: FloatArray) -> FloatArray:
    """(1, n, 6) displacements from rows."""
    moved = np.zeros((1, *ready.row.shape))
    free = ready.row >= 0
    moved[0, free] = rows.ravel()[ready.row[free]]
    return moved


def _on_rows(ready: Factored, moved: FloatArray) -> FloatArray:
    """Rows of the struts' resistance to displacements."""
    return _gathered(ready, ready.held_by_struts(moved))


def _gathered(ready: Factored, hubs: FloatArray) -> FloatArray:
    """Free rows of (1, n, 6) hub values."""
    free = ready.row >= 0
    rows = np.zeros(int(free.sum()))
    rows[ready.row[free]] = hubs[0, free]
    return rows


def _tension_forces(ready: Factored, tension_n: FloatArray, rows: FloatArray) -> FloatArray:
    """−K_N v on the free rows."""
    model, struts = ready.stage.model, ready.stage.struts
    ends = _on_hubs(ready, rows)[0, ready.stage.ends].reshape(-1, 12)
    forces = -tension_n[:, None] * np.einsum("mij,mj->mi", model.tension_stiffness[struts], ends)
    return _gathered(ready, np.asarray(ready.scatter @ forces.ravel()).reshape(1, -1, 6))


def weight_buckling_factor(of: Solved) -> float:
    """The factor under 1.35 × weight."""
    return buckling_factor_of(of.ready, strut_tension_n(of.weight)[0] * GAMMA_G)


def needs_second_order(factor: float) -> bool:
    """True if first-order results may not be used as they are."""
    return factor < ALPHA_CR_FIRST_ORDER


def second_order(of: Solved, load: Load, tension_n: FloatArray) -> Response | Unstable:
    """Response of a stage to a (design) load, on the stiffness left under these axial forces.

    Parameters
    ----------
    of : Solved
        The stage.
    load : Load
        Loads with their partial factors.
    tension_n : (struts,) array
        Axial forces of the first-order solution under the same load. [N]

    Returns
    -------
    Response or Unstable
        Moments already enlarged within each strut; Unstable if the stage buckles.
    """
    softened = factored(of.stage, tension_n)
    if isinstance(softened, Unstable):
        return softened
    answer = response(softened, load)
    model, struts = of.stage.model, of.stage.struts
    left = 1.0 - np.maximum(-tension_n, 0.0) / model.members.buckling_n[struts]
    if np.any(left <= 0):
        weak = np.unique(of.stage.ends[left <= 0])
        return Unstable(of.stage.names(weak), np.zeros((0, *of.stage.fixed.shape)))
    arms = answer.arms.copy()
    arms[..., 1:] /= left[:, None, None]
    return replace(answer, arms=arms)


def second_order_use(of: Solved, factor: float = 1.0) -> ArmUse:
    """The largest arm use under `factor` × weight by second-order analysis; infinite if the stage buckles."""
    answer = second_order(of, loads.weight(of.stage) * factor, strut_tension_n(of.weight)[0] * factor)
    if isinstance(answer, Unstable):
        return ArmUse(np.inf, "", answer.hubs[0] if answer.hubs else "", at_root=True)
    return worst_arm(of.stage, answer.arm_use[0].ravel())
