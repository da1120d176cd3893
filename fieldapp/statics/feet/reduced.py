"""A solved stage reduced once to its feet: how stiff it is there, and what moving a foot does to arms and tubes."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fieldapp.base.constants import GAMMA_G_HOLDING
from fieldapp.base.errors import StaticsError
from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics import loads
from fieldapp.statics.feet.footing import Footing
from fieldapp.statics.response import Response, response
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Factored


@dataclass(frozen=True, eq=False)
class Feet:
    """F feet of a stage that was solved with all of them pinned. Not slotted: how the weight presses is kept.

    With u the (3F,) movements of the feet from where they were pinned, and p the forces with which a load
    presses on pinned feet, the ground must answer with r = S u − p.
    """

    of: Solved
    on: Footing
    numbers: IntArray
    """(F,) hub numbers."""
    stiffness: FloatArray
    """(3F, 3F) S: forces at the feet for movements of the feet, x y z of each foot in turn [N/mm]."""
    unit: Response
    """3F cases: each foot moved by 1 mm along x, y, z, the others still."""
    rigid: FloatArray
    """(3F, r) orthonormal movements of the feet that strain nothing."""

    @property
    def count(self) -> int:
        """F."""
        return len(self.numbers)

    def pressing_n(self, answer: Response) -> FloatArray:
        """(k, 3F) forces p with which k load cases press on the pinned feet.

        Source: (G1), from (S7). Test: tests/statics/feet/test_starts.py
        """
        held = self.of.ready.reactions(answer.displacements, answer.load.hubs_n)
        return -np.asarray(held[:, self.numbers, :3]).reshape(len(held), 3 * self.count)

    def ballast_n(self, gap_mm: FloatArray) -> FloatArray:
        """(k, 3F) weight of the ballast on the feet; that of a foot that hangs free lies on the ground beside it."""
        down = np.zeros((len(gap_mm), self.count, 3))  # (case, foot, axis)
        down[:, :, 2] = np.where(gap_mm > 0, 0.0, -self.on.ballast_n)
        return down.reshape(len(gap_mm), 3 * self.count)

    @cached_property
    def weight_n(self) -> FloatArray:
        """(1, 3F) forces with which the characteristic weight presses on pinned feet, without ballast."""
        return self.pressing_n(self.of.weight)

    @property
    def lightest_n(self) -> FloatArray:
        """(3F,) how weight and ballast press on pinned feet, with the factor of what alone holds. [N]"""
        both = self.weight_n + self.ballast_n(np.zeros((1, self.count)))
        return np.asarray(GAMMA_G_HOLDING * both[0])


def feet_of(of: Solved, on: Footing) -> Feet:
    """Reduce a stage to its feet.

    Source: (G1). Test: tests/statics/feet/test_starts.py

    Parameters
    ----------
    of : Solved
        The stage with all its feet pinned.
    on : Footing
        The feet, what they stand on, what holds them.

    Raises
    ------
    StaticsError
        If a foot is not pinned in the stage.
    """
    return Feet(of, on, *_reduced(of, on.feet))


@remembered(4, by=lambda of, feet: (of.ready, of.first_ready, feet))
def _reduced(of: Solved, feet: tuple[str, ...]) -> tuple[IntArray, FloatArray, Response, FloatArray]:
    """All that does not ask what the feet stand on: loose and held they are reduced once."""
    index = of.stage.model.hub_index
    numbers = np.array([index[foot] for foot in feet], dtype=np.int64)
    loose = [foot for foot, number in zip(feet, numbers, strict=True) if not of.stage.fixed[number, :3].all()]
    if loose:
        raise StaticsError(f"{loose[0]} is given as a foot but is not pinned in this stage; solve the stage with all "
                           f"feet pinned first")
    given = _moved(of, numbers)
    unit = response(of.ready, loads.on_hubs(of.stage, np.zeros_like(given)), given)
    stiffness = first = _at_feet(of.ready, numbers, unit.displacements)
    if of.ready is not of.first_ready:
        first = _at_feet(of.first_ready, numbers, of.first_ready.displacements(np.zeros_like(given), given))
    return numbers, stiffness, unit, _rigid(first)


def _moved(of: Solved, numbers: IntArray) -> FloatArray:
    """(3F, n, 6) each foot moved by 1 mm along x, y, z."""
    given = np.zeros((3 * len(numbers), *of.stage.fixed.shape))  # (case, hub, dof)
    for axis in range(3):
        given[3 * np.arange(len(numbers)) + axis, numbers, axis] = 1.0
    return given


def _at_feet(ready: Factored, numbers: IntArray, displacements: FloatArray) -> FloatArray:
    """(3F, 3F) forces at the feet for these movements."""
    forces = ready.forces_about(numbers, displacements)[:, numbers, :3].reshape(len(displacements), -1)
    return np.asarray((forces + forces.T) / 2)


def _rigid(stiffness: FloatArray) -> FloatArray:
    """Movements without strain: of the whole, of pieces, of whatever pins leave free.

    Source: (G1). Test: tests/statics/feet/test_collapse.py
    """
    if not len(stiffness):
        return np.zeros((0, 0))
    values, shapes = np.linalg.eigh(stiffness)
    return np.asarray(shapes[:, values < _STRAINLESS * max(float(values[-1]), 1.0)])


_STRAINLESS = 1e-9
"""Stiffness against a movement of the feet, ÷ the largest, below which it strains nothing [1].
Source: our choice; rounding leaves 1e-14, the softest arms 1e-5, both computed.
Test: tests/statics/feet/test_collapse.py"""
