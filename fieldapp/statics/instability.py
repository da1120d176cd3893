"""Instability: which hubs can move when a stage's stiffness cannot be factored, or merely turn on the spot.

Two ground hubs with one strut between them can spin about it: nothing of the stage depends on that,
and on the ground the hubs' own feet stop it. Such spins are stopped by a spring about their axis, as
stiff as the hub itself; under loads that do not spin the hubs it bears nothing.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.said import Said, row, say
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics import banded
from fieldapp.statics.stage import Stage


@dataclass(frozen=True, slots=True, eq=False)
class Unstable:
    """A stage that does not stand."""

    hubs: tuple[str, ...]
    """Hub places that can move without anything resisting; if it buckles, those that move most."""
    shapes: FloatArray
    """(k, n, 6) modes in which they move."""
    buckles: bool = False
    """True if it would stand without weight, but buckles under its weight."""

    @property
    def said(self) -> Said:
        """What is wrong and what to do, for the crew."""
        hubs = row(self.hubs, most=6)
        if self.buckles:
            return say("gives way under its own weight, most at {hubs}. Prop it there, or fit more struts first",
                       hubs=hubs)
        if len(self.hubs) == 1:
            return say("does not stand by itself: {hubs} can move. Hold or prop it, or fit more struts first",
                       hubs=hubs)
        return say("does not stand by itself: {hubs} can move. Hold or prop them, or fit more struts first", hubs=hubs)


@dataclass(frozen=True, slots=True, eq=False)
class Spins:
    """Springs that stop ground hubs from turning on the spot; none in most stages."""

    hubs: IntArray
    """(k,) hub numbers."""
    matrices: FloatArray
    """(k, 3, 3) stiffness of each against rotation [N mm / rad]."""


def no_spins() -> Spins:
    """No springs."""
    return Spins(np.zeros(0, dtype=np.int64), np.zeros((0, 3, 3)))  # (spring, axis, axis)


def factored_without_spins(stage: Stage, row: IntArray, lower: FloatArray) -> tuple[banded.Band, Spins] | FloatArray:
    """The factor once spins are stopped, or (k, n, 6) modes in which hubs move.

    Source: (S8). Test: tests/statics/test_stiffness.py

    Parameters
    ----------
    stage : Stage
        Hubs, struts, supports.
    row : (n, 6) int array
        Row of each degree of freedom, −1 if none.
    lower : (bandwidth + 1, size) array
        Band that could not be factored.
    """
    spins = no_spins()
    for _ in range(len(stage.hubs)):
        shapes = _on_hubs(row, banded.zero_energy_modes(lower))
        if np.abs(shapes[:, :, :3]).max() > _MOVES_MM:
            return shapes
        more = _springs(row, lower, shapes)
        spins = Spins(np.r_[spins.hubs, more.hubs], np.concatenate((spins.matrices, more.matrices)))
        lower = with_springs(row, lower, more)
        band = banded.cholesky(lower)
        if band is not None:
            return band, spins
    return shapes


def _springs(row: IntArray, lower: FloatArray, shapes: FloatArray) -> Spins:
    """One spring for each shape, at the hub that turns most in it; never two at one hub."""
    found: dict[int, FloatArray] = {}
    for shape in shapes[:, :, 3:]:
        hub = int(np.round(np.linalg.norm(shape, axis=1), 9).argmax())
        axis = shape[hub] / np.linalg.norm(shape[hub])
        found.setdefault(hub, lower[0, row[hub, 3:]].mean() * np.outer(axis, axis))
    return Spins(np.array(list(found), dtype=np.int64), np.array(list(found.values())))


def with_springs(row: IntArray, lower: FloatArray, spins: Spins) -> FloatArray:
    """The band with springs added."""
    if not len(spins.hubs):
        return lower
    more = banded.band_of(spins.matrices, row[spins.hubs, 3:], lower.shape[1])
    stiffer = lower.copy()
    stiffer[:len(more)] += more
    return stiffer


def moving_hubs(stage: Stage, shapes: FloatArray) -> tuple[str, ...]:
    """Hubs that move in any of the shapes."""
    return stage.names(np.flatnonzero(np.abs(shapes[:, :, :3]).max(axis=(0, 2)) > _MOVES_MM))


def buckled(stage: Stage, shapes: FloatArray) -> Unstable:
    """A stage whose weight takes its stiffness away, with the hubs that move most."""
    size = np.linalg.norm(shapes[0, :, :3], axis=1)
    return Unstable(stage.names(np.flatnonzero(size > size.max() / 2)), shapes[:1], buckles=True)


def overloaded_strut(stage: Stage, tension_n: FloatArray) -> Unstable:
    """A stage in which a strut buckles by itself under its weight: the hubs of the one that is compressed most."""
    worst = int(tension_n.argmin())
    return Unstable(stage.names(stage.ends[worst]), np.zeros((0, *stage.fixed.shape)), buckles=True)  # (mode, hub, dof)


def _on_hubs(row: IntArray, shapes: FloatArray) -> FloatArray:
    """(k, n, 6) shapes on the hubs; the largest of 1 mm and 1 mrad is one in each."""
    on = np.zeros((shapes.shape[1], *row.shape))  # (mode, hub, dof)
    on[:, row >= 0] = shapes[row[row >= 0]].T
    on[:, :, 3:] *= _LEVER_MM
    on /= np.abs(on).max(axis=(1, 2), keepdims=True)
    on[:, :, 3:] /= _LEVER_MM
    return on


_LEVER_MM = 1000.0
"""Lever with which a rotation counts as a movement [mm].
Source: our choice, about a strut's length. Test: tests/statics/test_stiffness.py"""
_MOVES_MM = 1e-4
"""Part of the largest movement of a mode above which a hub moves [1].
Source: our choice. Test: tests/statics/test_stiffness.py"""
