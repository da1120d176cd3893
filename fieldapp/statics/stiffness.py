"""Any set of hubs and struts on any supports: assemble, factor once, solve for many loads, check.

Freedoms are kept as (n, 6) arrays over all hubs of the model: translations x y z, rotations x y z.
Hubs that are not in the stage have zeros.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics import banded
from fieldapp.statics.model import BoolArray, Model

RESIDUAL = 1e-7
"""Largest allowed |K u − f| ÷ |f|; a solved stage is better by orders of magnitude."""


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """What stands, and what it stands on."""

    model: Model
    hubs: IntArray
    """Hub numbers, ascending."""
    struts: IntArray
    """Strut numbers, ascending."""
    fixed: BoolArray
    """(n, 6) True where a freedom is held."""

    @property
    def ends(self) -> IntArray:
        """(k, 2) hub numbers of the stage's struts."""
        return self.model.ends[self.struts]

    def names(self, hubs: IntArray) -> tuple[str, ...]:
        """Names of hub numbers."""
        return tuple(self.model.hub_names[int(i)] for i in hubs)


@dataclass(frozen=True, slots=True, eq=False)
class Unstable:
    """A stage that does not stand."""

    hubs: tuple[str, ...]
    """Hub places that can move without anything resisting; if it buckles, those that move most."""
    shapes: FloatArray
    """(k, n, 6) ways in which they move."""
    buckles: bool = False
    """True if it would stand without weight, but its weight makes it give way."""

    @property
    def words(self) -> str:
        """What is wrong and what to do, for the crew."""
        if self.buckles:
            return (f"gives way under its own weight, most at {_listed(self.hubs)}. Prop it there, "
                    f"or fit more struts first")
        return (f"does not stand by itself: {_listed(self.hubs)} can move. Hold or prop "
                f"{'it' if len(self.hubs) == 1 else 'them'}, or fit more struts first")


def _listed(names: tuple[str, ...], most: int = 6) -> str:
    """Names in a row, the rest counted."""
    rest = len(names) - most
    return ", ".join(names[:most]) + (f" and {rest} more" if rest > 0 else "")


@dataclass(frozen=True, slots=True, eq=False)
class Factored:
    """A stage ready to be solved."""

    stage: Stage
    row: IntArray
    """(n, 6) row of each freedom in the factor, −1 if held or absent."""
    band: banded.Band
    strut_stiffness: FloatArray
    """(struts, 12, 12) as assembled."""
    scatter: object
    """Sparse (6n, 12k): adds strut end forces up at the hubs."""
    turning: tuple[str, ...] = ()
    """Ground hubs that can only turn on the spot; nothing depends on it."""

    @property
    def _free(self) -> BoolArray:
        """(n, 6) True where the factor has a row."""
        return np.greater_equal(self.row, 0)

    def displacements(self, loads_n: FloatArray, imposed: FloatArray | None = None) -> FloatArray:
        """Displacements of all hubs for any number of load cases.

        Parameters
        ----------
        loads_n : (k, n, 6) array
            Forces [N] and moments [N mm] on the hubs.
        imposed : (k, n, 6) array, optional
            Displacements [mm, rad] given to held freedoms; zero elsewhere.

        Returns
        -------
        (k, n, 6) array
            Translations [mm] and rotations [rad].

        Raises
        ------
        StaticsError
            If the solution fails its own check (equilibrium at every free freedom).
        """
        count = len(loads_n)
        given = np.zeros_like(loads_n) if imposed is None else np.asarray(imposed * self.stage.fixed)
        asked = loads_n if imposed is None else loads_n - self.held_by_struts(given)
        free = self._free
        right = np.zeros((int(free.sum()), count))
        right[self.row[free]] = asked[:, free].T
        solution = self.band.solution(right)
        moved = given.copy()
        moved[:, free] = solution[self.row[free]].T
        self._check(moved, loads_n, free)
        return moved

    def held_by_struts(self, moved: FloatArray) -> FloatArray:
        """(k, n, 6) forces that the struts put up against displacements of the hubs."""
        forces = self.strut_stiffness @ strut_displacements(self.stage, moved)
        hubs = self.scatter @ forces.reshape(12 * len(self.stage.struts), len(moved))  # type: ignore[operator]
        return np.asarray(hubs.T.reshape(len(moved), *self.row.shape))

    def reactions(self, moved: FloatArray, loads_n: FloatArray) -> FloatArray:
        """(k, n, 6) support forces on the hubs: what the struts ask beyond the loads; zero where free."""
        return np.asarray(np.where(self.stage.fixed, self.held_by_struts(moved) - loads_n, 0.0))

    def _check(self, moved: FloatArray, loads_n: FloatArray, free: BoolArray) -> None:
        """Equilibrium at every free freedom, measured against the loads or against rounding."""
        miss = np.abs((self.held_by_struts(moved) - loads_n) * free)
        size = np.abs(loads_n).max(axis=(1, 2), initial=0.0)
        bad = miss.max(axis=(1, 2), initial=0.0) > RESIDUAL * size
        if bad.any() and np.any(miss[bad] > self._rounding(moved[bad])):
            raise StaticsError(f"the solution of a stage of {len(self.stage.hubs)} hubs misses equilibrium by "
                               f"{float(miss.max()):.3g} N or N mm; check sections and moduli for extreme values")

    def _rounding(self, moved: FloatArray) -> FloatArray:
        """(k, n, 6) forces that mere rounding of these displacements, or what keeps hubs from spinning, explains."""
        diagonal = self.strut_stiffness[:, range(12), range(12)]
        root = np.sqrt((self.scatter @ diagonal.ravel()).reshape(-1, 6))  # type: ignore[operator]
        strain = (root * np.abs(moved)).max(axis=(1, 2), initial=0.0)
        share = 10 * _SPIN_STIFFNESS if self.turning else _ROUNDING
        return np.asarray(share * root * strain[:, None, None])


_ROUNDING = 1e-12


def stage_of(model: Model, hubs: Iterable[str], struts: Iterable[str] | None = None, *, held: Iterable[str] = (),
             ground: Iterable[str] | None = None) -> Stage:
    """The stage with these places.

    Parameters
    ----------
    model : Model
        The whole frame.
    hubs : iterable of str
        Hub places that stand.
    struts : iterable of str, optional
        Strut places that are in, both hubs standing; None means every strut between the hubs.
    held : iterable of str
        Hubs held by a person or a prop: their translations.
    ground : iterable of str, optional
        Hubs pinned to the ground; None means those of the hubs that are on the ground.

    Raises
    ------
    StaticsError
        If a name is unknown, or a strut lacks one of its hubs.
    """
    standing = np.zeros(len(model.hub_names), dtype=bool)
    standing[_numbers(model.hub_index, hubs, "hub")] = True
    both = np.asarray(standing[model.ends].all(axis=1))
    chosen = np.flatnonzero(both) if struts is None else _numbers(model.strut_index, struts, "strut")
    if not both[chosen].all():
        lacking = model.strut_names[int(chosen[~both[chosen]][0])]
        raise StaticsError(f"strut {lacking} is in this stage but one of its hubs is not; add the hub or leave it out")
    pinned = standing & model.on_ground if ground is None else _flags(model, ground)
    fixed = np.zeros((len(standing), 6), dtype=bool)
    fixed[(pinned | _flags(model, held)) & standing, :3] = True
    return Stage(model, np.flatnonzero(standing), np.unique(chosen), fixed)


def _numbers(index: dict[str, int], names: Iterable[str], kind: str) -> IntArray:
    """Numbers of place names."""
    listed = list(names)
    unknown = [name for name in listed if name not in index]
    if unknown:
        raise StaticsError(f"there is no {kind} place {unknown[0]}; places run from {next(iter(index))} to "
                           f"{next(reversed(index))}")
    return np.array([index[name] for name in listed], dtype=np.int64)


def _flags(model: Model, hubs: Iterable[str]) -> BoolArray:
    """(n,) True at the hubs."""
    flags = np.zeros(len(model.hub_names), dtype=bool)
    flags[_numbers(model.hub_index, hubs, "hub")] = True
    return flags


def strut_displacements(stage: Stage, moved: FloatArray) -> FloatArray:
    """(struts, 12, k) displacements at the two hubs of every strut of the stage."""
    return np.ascontiguousarray(moved[:, stage.ends].reshape(len(moved), len(stage.struts), 12).transpose(1, 2, 0))


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
        Unstable is an answer, not an error.
    """
    loose = _loose(stage)
    if len(loose):
        return Unstable(stage.names(loose), np.zeros((0, *stage.fixed.shape)))
    row, size = _rows(stage)
    matrices, freedoms = _strut_matrices(stage, tension_n), _strut_rows(stage, row)
    lower = banded.band_of(matrices, freedoms, size)
    band = banded.cholesky(lower)
    if band is None and tension_n is not None:
        band = banded.cholesky(_kept_from_spinning(lower))
        if band is None:
            return _buckled(stage, row, lower)
        pinned = stage.names(np.flatnonzero(stage.fixed[:, :3].all(axis=1)))
        return Factored(stage, row, band, matrices, _scatter(stage), pinned)
    if band is not None:
        return Factored(stage, row, band, matrices, _scatter(stage))
    return _unstable_or_turning(stage, row, lower, matrices)


def _strut_matrices(stage: Stage, tension_n: FloatArray | None) -> FloatArray:
    """(struts, 12, 12) stiffness in frame axes, with the effect of the axial force."""
    if tension_n is None:
        return stage.model.stiffness[stage.struts]
    softer = tension_n[:, None, None] * stage.model.tension_stiffness[stage.struts]
    return np.asarray(stage.model.stiffness[stage.struts] + softer)


def _rows(stage: Stage) -> tuple[IntArray, int]:
    """Row of every freedom that is free, hubs in banded order; how many there are.

    A hub without struts takes no part; a hub of pins has no rotations.
    """
    model = stage.model
    used = np.unique(stage.ends)
    order = used[banded.hub_order(len(used), np.searchsorted(used, stage.ends))]
    free = np.zeros((len(model.hub_names), 6), dtype=bool)
    free[order, :model.freedoms] = ~stage.fixed[order, :model.freedoms]
    row = np.full(free.shape, -1, dtype=np.int64)
    counted = np.cumsum(free[order].ravel()).reshape(-1, 6) - 1
    row[order] = np.where(free[order], counted, -1)
    return row, int(free.sum())


def _strut_rows(stage: Stage, row: IntArray) -> IntArray:
    """(struts, 12) rows of each strut's freedoms."""
    return row[stage.ends].reshape(-1, 12)


def _scatter(stage: Stage) -> object:
    """Sparse matrix that adds strut end forces up at the hubs."""
    from scipy.sparse import csr_array  # here: scipy would slow the start of the server

    target = (stage.ends[:, :, None] * 6 + np.arange(6)).ravel()
    shape = (6 * len(stage.model.hub_names), target.size)
    return csr_array((np.ones(target.size), (target, np.arange(target.size))), shape=shape)


def _loose(stage: Stage) -> IntArray:
    """Hubs of the stage that no strut and no support holds."""
    alone = np.setdiff1d(stage.hubs, stage.ends)
    return np.asarray(alone[~stage.fixed[alone, :3].all(axis=1)])


def _unstable_or_turning(stage: Stage, row: IntArray, lower: FloatArray, matrices: FloatArray
                         ) -> Factored | Unstable:
    """Tell hubs that give way from ground hubs that merely turn on the spot."""
    shapes = _on_hubs(row, banded.free_shapes(lower))
    moving = np.abs(shapes[:, :, :3]).max(axis=(0, 2)) > _MOVES_MM
    if moving.any():
        return Unstable(stage.names(np.flatnonzero(moving)), shapes)
    turning = stage.names(np.flatnonzero(np.abs(shapes[:, :, 3:]).max(axis=(0, 2)) > _TURNS_RAD))
    band = banded.cholesky(_kept_from_spinning(lower))
    if band is None:
        return Unstable(turning, shapes)
    return Factored(stage, row, band, matrices, _scatter(stage), turning)


def _kept_from_spinning(lower: FloatArray) -> FloatArray:
    """The band with just enough stiffness for ground hubs that turn on the spot."""
    stiffened = lower.copy()
    stiffened[0] *= 1 + _SPIN_STIFFNESS
    return stiffened


def _buckled(stage: Stage, row: IntArray, lower: FloatArray) -> Unstable:
    """The hubs that move most when compression takes the stiffness away."""
    shapes = _on_hubs(row, banded.free_shapes(lower))[:1]
    size = np.linalg.norm(shapes[0, :, :3], axis=1)
    return Unstable(stage.names(np.flatnonzero(size > size.max() / 2)), shapes, buckles=True)


def _on_hubs(row: IntArray, shapes: FloatArray) -> FloatArray:
    """(k, n, 6) shapes on the hubs; the largest of 1 mm and 1 mrad is one in each."""
    on = np.zeros((shapes.shape[1], *row.shape))
    on[:, row >= 0] = shapes[row[row >= 0]].T
    on[:, :, 3:] *= _LEVER_MM
    on /= np.abs(on).max(axis=(1, 2), keepdims=True)
    on[:, :, 3:] /= _LEVER_MM
    return on


_LEVER_MM = 1000.0
_MOVES_MM = 1e-4
_TURNS_RAD = 1e-7
_SPIN_STIFFNESS = 1e-9
