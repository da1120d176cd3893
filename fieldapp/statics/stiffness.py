"""Any set of hubs and struts on any supports: assemble, factor once, solve for many loads, check.

Degrees of freedom are kept as (n, 6) arrays over all hubs of the model: translations x y z, rotations x y z.
Hubs that are not in the stage have zeros.
"""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics import banded
from fieldapp.statics.axial import arm_matrices, axial_terms, strut_matrices
from fieldapp.statics.instability import (
    Spins,
    Unstable,
    buckled,
    factored_without_spins,
    moving_hubs,
    no_spins,
    overloaded_strut,
    with_springs,
)
from fieldapp.statics.stage import Stage, stage_of

__all__ = ["Factored", "Stage", "Unstable", "axial_terms", "factored", "stage_of", "strut_displacements"]

RESIDUAL = 1e-7
"""Largest allowed |K u − f| ÷ |f| [1]; a solved stage is better by orders of magnitude.
Source: our choice (S7). Test: tests/statics/test_stiffness.py"""


@dataclass(frozen=True, eq=False)
class Factored:
    """A stage ready to be solved. Not slotted: what loads soften is kept in the instance once asked for."""

    stage: Stage
    row: IntArray
    """(n, 6) row of each degree of freedom in the factor, −1 if held or absent."""
    band: banded.Band
    strut_stiffness: FloatArray
    """(struts, 12, 12) as assembled."""
    scatter: object
    """Sparse (6n, 12k): adds strut end forces up at the hubs."""
    spins: Spins
    """Springs that stop ground hubs from turning on the spot."""
    axial: FloatArray
    """(struts, 2) axial forces that are in the stiffness, as `axial_terms` gives them; zeros for first order."""
    arm_per_displacement: FloatArray
    """(struts, 12, 12) arm forces for hub displacements, with what that axial force adds."""

    @property
    def free(self) -> BoolArray:
        """(n, 6) True where the factor has a row."""
        return np.greater_equal(self.row, 0)

    def displacements(self, loads_n: FloatArray, imposed: FloatArray | None = None) -> FloatArray:
        """Displacements of all hubs for any number of load cases.

        Source: (S7).
        Test: tests/reference/test_logan_4ed.py, tests/reference/test_levy_spillers_2003.py,
        tests/reference/test_bedford_fowler.py, tests/reference/test_pynite.py

        Parameters
        ----------
        loads_n : (k, n, 6) array
            Forces [N] and moments [N mm] on the hubs.
        imposed : (k, n, 6) array, optional
            Displacements [mm, rad] given to held degrees of freedom; zero elsewhere.

        Returns
        -------
        (k, n, 6) array
            Translations [mm] and rotations [rad].

        Raises
        ------
        StaticsError
            If the solution fails its own check (equilibrium at every free degree of freedom).
        """
        given = np.zeros_like(loads_n) if imposed is None else np.asarray(imposed * self.stage.fixed)
        asked = loads_n if imposed is None else loads_n - self.forces_about(self._moved_by(given), given)
        displacements = given + self.movements(asked)
        self.check(displacements, loads_n)
        return displacements

    def movements(self, loads_n: FloatArray) -> FloatArray:
        """(k, n, 6) displacements with all held degrees of freedom at rest, not checked."""
        flat = len(loads_n), self.row.size
        right = loads_n.reshape(flat).take(self._dofs, axis=1).T
        displacements = np.zeros(flat)
        displacements[:, self._dofs] = self.band.solution(right).T
        return displacements.reshape(loads_n.shape)

    @cached_property
    def _dofs(self) -> IntArray:
        """(rows,) degree of freedom of each row of the factor, all hubs in one."""
        dofs = np.flatnonzero(self.free)
        return dofs[self.row.ravel()[dofs].argsort()]

    def restoring_forces(self, displacements: FloatArray) -> FloatArray:
        """(k, n, 6) restoring forces K u: what the struts put up against displacements of the hubs."""
        forces = self.at_hubs(self.strut_stiffness @ strut_displacements(self.stage, displacements))
        return self._with_springs(forces, displacements)

    def forces_about(self, hubs: IntArray, displacements: FloatArray) -> FloatArray:
        """(k, n, 6) the same of the struts that end at some hubs: all there is, there or where no others move."""
        ends, here = self.stage.ends, np.zeros(len(self.row), dtype=bool)
        here[hubs] = True
        some = np.flatnonzero(here[ends].any(axis=1))
        if not len(some) or len(displacements) * (len(ends) - len(some)) < _MANY:
            return self.restoring_forces(displacements)
        # (strut and end, dof, case)
        at_ends = np.take(displacements.transpose(1, 2, 0), ends[some].ravel(), axis=0)
        at_ends = at_ends.reshape(len(some), 12, len(displacements))  # (strut, dof, case)
        each = (self.strut_stiffness[some] @ at_ends).reshape(2 * len(some), 6, -1)
        order = ends[some].ravel().argsort(kind="stable")  # (strut and end, dof, case)
        at, begins = np.unique(ends[some].ravel()[order], return_index=True)
        forces = np.zeros_like(displacements)
        forces[:, at] = np.add.reduceat(each[order], begins, axis=0).transpose(2, 0, 1)  # (case, hub, dof)
        return self._with_springs(forces, displacements)

    def _moved_by(self, displacements: FloatArray) -> IntArray:
        """Hubs that any of the cases moves."""
        return np.flatnonzero(displacements.any(axis=(0, 2)))

    def _with_springs(self, forces: FloatArray, displacements: FloatArray) -> FloatArray:
        """Forces with those of the springs that stop hubs from spinning."""
        for hub, matrix in zip(self.spins.hubs, self.spins.matrices, strict=True):
            forces[:, hub, 3:] += displacements[:, hub, 3:] @ matrix
        return forces

    def reactions(self, displacements: FloatArray, loads_n: FloatArray) -> FloatArray:
        """(k, n, 6) support forces on the hubs: what the struts ask beyond the loads; zero where free.

        Source: (S7). Test: tests/statics/test_stiffness.py, tests/reference/test_pynite.py
        """
        return np.asarray(np.where(self.stage.fixed, self.restoring_forces(displacements) - loads_n, 0.0))

    def stable_under(self, tension_n: FloatArray, *, hubs: float = 1.0) -> bool:
        """True if the stage still resists every movement under these axial forces [N], tension positive.

        With `hubs` above 1, if hubs resist each other under so many times the forces, while each strut by itself
        bears them once.
        """
        axial = axial_terms(self.stage, tension_n) * np.array([hubs, 1.0])
        if not np.isfinite(axial).all():
            return False
        return banded.cholesky(self._softened.at(axial)) is not None

    @cached_property
    def _softened(self) -> banded.BandSums:
        """The stiffness of first order with springs, and what axial forces and their squares add to it."""
        model, struts, size = self.stage.model, self.stage.struts, self.band.lower.shape[1]
        rows = _strut_rows(self.stage, self.row)
        first = with_springs(self.row, banded.band_of(model.stiffness[struts], rows, size), self.spins)
        return banded.BandSums(first, (model.geometric_stiffness[struts], model.second_stiffness[struts]), rows)

    def at_hubs(self, ends_n: FloatArray) -> FloatArray:
        """(k, n, 6) sums at the hubs of strut end forces, (struts, 12, k)."""
        hubs = self.scatter @ ends_n.reshape(12 * len(self.stage.struts), ends_n.shape[2])  # type: ignore[operator]
        return np.asarray(hubs.T.reshape(ends_n.shape[2], *self.row.shape))  # (case, hub, dof)

    def check(self, displacements: FloatArray, loads_n: FloatArray) -> None:
        """Equilibrium at every free degree of freedom, measured against the loads or against rounding; StaticsError."""
        free = self.free
        if len(loads_n) * len(self.stage.struts) > _MANY and self._balanced(displacements, loads_n, free):
            return
        miss = np.abs((self.restoring_forces(displacements) - loads_n) * free)
        size = np.abs(loads_n).max(axis=(1, 2), initial=0.0)
        bad = miss.max(axis=(1, 2), initial=0.0) > RESIDUAL * size
        if bad.any() and np.any(miss[bad] > self._rounding(displacements[bad])):
            raise StaticsError(f"the solution of a stage of {len(self.stage.hubs)} hubs misses equilibrium by "
                               f"{float(miss.max()):.3g} N or N mm; check sections and moduli for extreme values")

    def _balanced(self, displacements: FloatArray, loads_n: FloatArray, free: BoolArray) -> bool:
        """True if all cases together are in equilibrium, each with a weight drawn at random: what one misses shows."""
        size = np.abs(loads_n).max(axis=(1, 2), initial=0.0)
        weights = drawn_weights(len(size)) / np.where(size > 0, size, 1.0)
        moved, loads = (np.tensordot(weights, each, axes=1)[None] for each in (displacements, loads_n))
        miss = np.abs((self.restoring_forces(moved) - loads) * free)
        most = np.tensordot(weights, np.abs(displacements), axes=1)[None]
        return bool(np.all((miss <= RESIDUAL * float(size.max() > 0)) | (miss <= self._rounding(most))))

    def _rounding(self, displacements: FloatArray) -> FloatArray:
        """(k, n, 6) forces that mere rounding of these displacements, or what keeps hubs from spinning, explains.

        Source: (S7). Test: tests/statics/test_stiffness.py
        """
        diagonal = self.strut_stiffness[:, range(12), range(12)]
        root = np.sqrt(np.abs(self.scatter @ diagonal.ravel()).reshape(-1, 6))  # type: ignore[operator]
        strain = (root * np.abs(displacements)).max(axis=(1, 2), initial=0.0)
        return np.asarray(_ROUNDING * root * strain[:, None, None])  # (case, hub, dof)


_MANY = 8000
"""Struts × cases from which a short cut is shorter (in no formula)."""


@cache
def drawn_weights(count: int) -> FloatArray:
    """(count,) weights between a half and one, drawn once."""
    return np.random.default_rng(0).uniform(0.5, 1.0, count)


_ROUNDING = 1e-12
"""Rounding of a displacement that may stand for a missing force, against the stiffness there [1].
Source: our choice, a thousand times double precision (S7). Test: tests/statics/test_stiffness.py"""


def strut_displacements(stage: Stage, displacements: FloatArray) -> FloatArray:
    """(struts, 12, k) displacements at the two hubs of every strut of the stage."""
    at_ends = np.take(displacements.transpose(1, 2, 0), stage.ends.ravel(), axis=0)  # (strut and end, dof, case)
    return at_ends.reshape(len(stage.struts), 12, len(displacements))  # (strut, dof, case)


def factored(stage: Stage, tension_n: FloatArray | None = None) -> Factored | Unstable:
    """Factor a stage's stiffness, or say which hubs can move.

    Parameters
    ----------
    stage : Stage
        Hubs, struts and supports.
    tension_n : (struts,) array, optional
        Axial force of the stage's struts [N]: adds what tension stiffens and compression softens
        (second order).

    Returns
    -------
    Factored or Unstable
        Unstable is an answer, not an error. Equal stages in first order are factored once, as the last step's and what
        the next one's struts hang on.
    """
    return _first_order(stage) if tension_n is None else _factored(stage, tension_n)


@remembered(8, by=lambda stage: (stage.model, stage.hubs.tobytes(), stage.struts.tobytes(), stage.fixed.tobytes()))
def _first_order(stage: Stage) -> Factored | Unstable:
    return _factored(stage, None)


def _factored(stage: Stage, tension_n: FloatArray | None) -> Factored | Unstable:
    """The same, not kept."""
    loose = _loose(stage)
    if len(loose):
        return Unstable(stage.names(loose), np.zeros((0, *stage.fixed.shape)))  # (mode, hub, dof)
    axial = None if tension_n is None else axial_terms(stage, tension_n)
    if axial is not None and not np.isfinite(axial).all():
        return overloaded_strut(stage, axial[:, 1])
    row, size, scatter = _layout(stage)
    matrices, dofs = strut_matrices(stage, axial), _strut_rows(stage, row)
    lower = banded.band_of(matrices, dofs, size)
    band, spins = banded.cholesky(lower), no_spins()
    if band is None:
        answer = factored_without_spins(stage, row, lower)
        if isinstance(answer, np.ndarray):
            return buckled(stage, answer) if tension_n is not None else Unstable(moving_hubs(stage, answer), answer)
        band, spins = answer
    return Factored(stage, row, band, matrices, scatter, spins, *arm_matrices(stage, axial))


@remembered(8, by=lambda stage: (stage.ends.tobytes(), stage.fixed.tobytes(), stage.model.dofs_per_hub))
def _layout(stage: Stage) -> tuple[IntArray, int, object]:
    """`_rows`, and the sparse matrix that adds strut end forces up at the hubs: alike with mean and design moduli."""
    from scipy.sparse import csr_array  # here: scipy would slow the start of the server

    target = (stage.ends[:, :, None] * 6 + np.arange(6)).ravel()  # (strut, end, dof), then flat
    shape = (stage.fixed.size, target.size)
    return *_rows(stage), csr_array((np.ones(target.size), (target, np.arange(target.size))), shape=shape)


def _rows(stage: Stage) -> tuple[IntArray, int]:
    """Row of every degree of freedom that is free, hubs in banded order; how many there are.

    A hub without struts takes no part; a hub of pins has no rotations.
    """
    model = stage.model
    used = np.unique(stage.ends)
    order = used[banded.hub_order(len(used), np.searchsorted(used, stage.ends))]
    free = np.zeros((len(model.hub_names), 6), dtype=bool)
    free[order, :model.dofs_per_hub] = ~stage.fixed[order, :model.dofs_per_hub]
    row = np.full(free.shape, -1, dtype=np.int64)
    counted = np.cumsum(free[order].ravel()).reshape(-1, 6) - 1
    row[order] = np.where(free[order], counted, -1)
    return row, int(free.sum())


def _strut_rows(stage: Stage, row: IntArray) -> IntArray:
    """(struts, 12) rows of each strut's degrees of freedom."""
    return row[stage.ends].reshape(-1, 12)


def _loose(stage: Stage) -> IntArray:
    """Hubs of the stage that no strut and no support holds."""
    alone = np.setdiff1d(stage.hubs, stage.ends)
    return np.asarray(alone[~stage.fixed[alone, :3].all(axis=1)])
