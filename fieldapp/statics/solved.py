"""A stage under its own weight, ready for every limit; second order where first order is not enough.

First order serves while buckling takes at least 10 times the design weight (EN 1993-1-1 5.2.1 (3)). Below
that the stage is factored again on the stiffness that its compression has softened, and everything
that follows (weight, pushes, settlement, wind) is computed on that: second order with the axial forces
of 1.35 × weight. At a factor of 1 the stage buckles and is reported as one that does not stand.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import ALPHA_CR_FIRST_ORDER, GAMMA_G
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.buckling import buckles_beyond, buckling_factor, strut_tension_n
from fieldapp.statics.response import Response, response
from fieldapp.statics.stiffness import Factored, Stage, Unstable, factored


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A stage that stands, under its own weight."""

    ready: Factored
    weight: Response
    """Characteristic."""
    first_ready: Factored
    """Not softened by its compression; the same as `ready` where first order is enough."""
    first_weight: Response
    """First order, characteristic."""

    @property
    def buckling_factor(self) -> float:
        """Times 1.35 × weight until the stage buckles. Computed when asked for: comparing it with 10 costs less."""
        return buckling_factor(self.first_ready, strut_tension_n(self.first_weight)[0] * GAMMA_G)

    @property
    def stage(self) -> Stage:
        """The stage."""
        return self.ready.stage

    @property
    def design_components(self) -> FloatArray:
        """(struts × 4, 3) arm forces ÷ resistance under 1.35 × weight."""
        return np.asarray(self.weight.components[0] * GAMMA_G)

    @property
    def lasting_components(self) -> FloatArray:
        """The same ÷ what the arms can take of the weight alone, for as long as the frame stands."""
        return self.design_components / self.stage.model.arm_lasting

    @property
    def design_utilisation(self) -> float:
        """Largest arm utilisation under 1.35 × weight, alone and lasting: the figure for a verdict."""
        return float(np.abs(self.lasting_components).sum(axis=1).max(initial=0.0))

    @property
    def max_displacement_mm(self) -> float:
        """Largest movement of a hub under characteristic weight."""
        return float(np.linalg.norm(self.weight.displacements[0, :, :3], axis=1).max(initial=0.0))


def solved(stage: Stage, load: loads.Load | None = None) -> Solved | Unstable:
    """Solve a stage under its own weight, or say which hubs can move.

    Source: (S13): EN 1993-1-1 5.2.1 (3). Test: tests/statics/test_response.py, tests/statics/test_stiffness.py

    Parameters
    ----------
    stage : Stage
        Hubs, struts, supports.
    load : Load, optional
        One case to take as the weight, when more hangs on the stage than its own parts.
    """
    ready = factored(stage)
    if isinstance(ready, Unstable):
        return ready
    load = loads.weight(stage) if load is None else load
    first = response(ready, load)
    tension = strut_tension_n(first)[0] * GAMMA_G
    if buckles_beyond(ready, tension, ALPHA_CR_FIRST_ORDER):
        return Solved(ready, first, ready, first)
    softened = factored(stage, tension)
    if isinstance(softened, Unstable):
        return softened
    return Solved(softened, response(softened, load), ready, first)
