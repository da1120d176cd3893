"""A stage under its own weight, ready for every limit; second order where first order is not enough.

First order serves its weight while buckling takes at least 10 times 1.35 × weight with design moduli, E_mean / γ_M
(EN 1993-1-1 5.2.1 (3)). Below that the stage is factored again on the stiffness that those axial forces have softened,
iterated until they settle, with mean moduli and with design moduli: of both answers, and of first order, the worst
counts. At a factor of 1 the stage buckles and is reported as one that does not stand. What more a load does by its own
axial forces is counted with its limit (`load_limit`).
"""

from dataclasses import dataclass, field, replace

import numpy as np

from fieldapp.base.constants import ALPHA_CR_FIRST_ORDER, GAMMA_G
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.buckling import buckles_beyond, buckling_factor, strut_tension_n
from fieldapp.statics.instability import Unstable, overloaded_strut
from fieldapp.statics.model import Model
from fieldapp.statics.response import Response, response
from fieldapp.statics.second_order import relaxation
from fieldapp.statics.stiffness import Factored, Stage, factored

ALPHA_CR_SMALL_ROTATIONS = 3.0
"""Where buckling takes less than this multiple of a load, small rotations end: movements change the shape [1].
Source: EN 1993-1-1 5.2.2 (5) and (6). Test: tests/statics/test_second_order.py"""
_SETTLED = 0.01
"""Axial forces that change by less than this part of the largest have settled [1].
Source: our choice; it changes movements by 1/100 of their second-order part (S27).
Test: tests/statics/test_second_order.py"""
_ROUNDS = 20
"""Rounds in which they must settle [1]. Source: our choice. Test: tests/statics/test_second_order.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A stage that stands, under its own weight."""

    ready: Factored
    weight: Response
    """Characteristic."""
    first_ready: Factored
    """Not softened by its compression."""
    first_weight: Response
    """First order, characteristic."""
    softer: "Solved | None" = None
    """The same with design moduli; None where first order serves its weight."""
    _twin: "list[Solved | Unstable | None]" = field(default_factory=list, repr=False)
    """The same with design moduli, kept once it was asked for."""

    @property
    def both(self) -> tuple["Solved", ...]:
        """With mean moduli, and with design moduli where they count for its weight: of every verdict the worse."""
        return (self,) if self.softer is None else (self, self.softer)

    @property
    def twin(self) -> "Solved | Unstable | None":
        """With design moduli, whether they count for its weight or not; None where no material is divided.

        Source: (S30): EN 1995-1-1 2.4.1 (2), public copy. Test: tests/statics/test_second_order.py
        """
        if not self._twin:
            self._twin.append(self.softer or _with_design_moduli(self))
        return self._twin[0]

    @property
    def buckling_factor(self) -> float:
        """Times 1.35 × weight until the stage buckles. Computed when asked for: comparing it with 10 costs less."""
        return min(buckling_factor(of.first_ready, strut_tension_n(of.first_weight)[0] * GAMMA_G) for of in self.both)

    @property
    def small_rotations(self) -> bool:
        """False where buckling is so near that the frame's shape changes under its weight: our sums end there."""
        return all(buckles_beyond(of.first_ready, strut_tension_n(of.weight)[0] * GAMMA_G, ALPHA_CR_SMALL_ROTATIONS)
                   for of in self.both)

    @property
    def stage(self) -> Stage:
        """The stage."""
        return self.ready.stage

    @property
    def design_components(self) -> FloatArray:
        """(struts × 4, 3) arm forces ÷ resistance under 1.35 × weight, mean moduli."""
        return np.asarray(self.weight.components[0] * GAMMA_G)

    @property
    def lasting_components(self) -> FloatArray:
        """The same ÷ what the arms can take of the weight alone, for as long as the frame stands."""
        return self.design_components / self.stage.model.arm_lasting

    @property
    def design_utilisation(self) -> float:
        """Largest arm utilisation under 1.35 × weight, alone and lasting: the figure for a verdict."""
        worst = max(float(answer.arm_utilisation.max(initial=0.0)) for answer in self.weights)
        return GAMMA_G * worst / self.stage.model.arm_lasting

    @property
    def weights(self) -> tuple[Response, ...]:
        """Under characteristic weight by every theory that counts: of every verdict the worst is taken."""
        return (self.first_weight, *(of.weight for of in self.both if of.weight is not self.first_weight))

    @property
    def max_displacement_mm(self) -> float:
        """Largest movement of a hub under characteristic weight."""
        return float(np.linalg.norm(self.weight.displacements[0, :, :3], axis=1).max(initial=0.0))


def solved(stage: Stage, load: loads.Load | None = None) -> Solved | Unstable:
    """Solve a stage under its own weight, or say which hubs can move.

    Source: (S13), (S27), (S30): EN 1993-1-1 5.2.1 (3); EN 1995-1-1 2.4.1 (2), public copy.
    Test: tests/statics/test_second_order.py, tests/statics/test_stiffness.py

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
    first = response(ready, loads.weight(stage) if load is None else load)
    mean = _second_order(Solved(ready, first, ready, first))
    if isinstance(mean, Unstable) or mean.weight is mean.first_weight:
        return mean
    softer = mean.twin
    return softer if isinstance(softer, Unstable) else replace(mean, softer=softer)


def with_model(of: Solved, model: Model) -> Solved:
    """The same stage and answers with a model that is as stiff and bears otherwise."""
    stage = replace(of.stage, model=model)
    softer, twin = (None if one is None or model.softer is None else with_model(one, model.softer)
                    for one in (of.softer, next((one for one in of._twin if isinstance(one, Solved)), None)))
    first, first_ready = replace(of.first_weight, stage=stage), replace(of.first_ready, stage=stage)
    same = of.ready is of.first_ready, of.weight is of.first_weight
    return Solved(first_ready if same[0] else replace(of.ready, stage=stage),
                  first if same[1] else replace(of.weight, stage=stage), first_ready, first, softer,
                  [twin] if twin is not None else [one for one in of._twin if not isinstance(one, Solved)])


def _with_design_moduli(of: Solved) -> Solved | Unstable | None:
    """The same stage and weight with E_mean / γ_M and G_mean / γ_M."""
    if of.stage.model.softer is None:
        return None
    ready = factored(replace(of.stage, model=of.stage.model.softer))
    if isinstance(ready, Unstable):
        return ready
    first = response(ready, of.first_weight.load)
    return _second_order(Solved(ready, first, ready, first))


def _second_order(of: Solved) -> Solved | Unstable:
    """As it is where first order serves its weight with design moduli, else in second order.

    With E / γ_M buckling takes at least 1/γ_M of what it takes with E: one look at the mean moduli tells.

    Source: (S13), (S30): EN 1993-1-1 5.2.1 (3). Test: tests/statics/test_second_order.py
    """
    tension = strut_tension_n(of.first_weight)[0] * GAMMA_G
    serves = buckles_beyond(of.first_ready, tension, ALPHA_CR_FIRST_ORDER * _divided_by(of.stage.model))
    return of if serves else _softened(of)


def _softened(of: Solved) -> Solved | Unstable:
    """In second order, with the moduli of the stage's own model.

    Source: (S27). Test: tests/statics/test_second_order.py
    """
    tension = strut_tension_n(of.first_weight)[0] * GAMMA_G
    part, before = 1.0, np.zeros_like(tension)
    for _ in range(_ROUNDS):
        ready = factored(of.stage, tension)
        if isinstance(ready, Unstable):
            return ready
        answer = response(ready, of.first_weight.load)
        miss = strut_tension_n(answer)[0] * GAMMA_G - tension
        if np.abs(miss).max(initial=0.0) <= _SETTLED * np.abs(tension).max(initial=0.0):
            return Solved(ready, answer, of.first_ready, of.first_weight)
        part = float(relaxation(np.array([part]), before[None], miss[None])[0])
        tension, before = tension + part * miss, miss
    return overloaded_strut(of.stage, tension)


def _divided_by(mean: Model) -> float:
    """The largest factor by which design moduli are below mean ones."""
    def moduli(of: Model) -> list[float]:
        return [modulus for make in of.makes.each
                for modulus in (make.arm_material.youngs_modulus_mpa, make.tube_material.youngs_modulus_mpa)]

    return 1.0 if mean.softer is None else max(a / b for a, b in zip(moduli(mean), moduli(mean.softer), strict=True))
