"""A stage under loads whose own axial forces soften or stiffen it, iterated until forces and movements settle.

What an axial force adds to the stiffness is put on the right-hand side (pseudo-loads), so that any number of load
cases, each with axial forces of its own, is solved on the one factor that is there already.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray
from fieldapp.statics.loads import Load
from fieldapp.statics.response import STATIONS, Response
from fieldapp.statics.stage import Stage
from fieldapp.statics.stiffness import Factored, axial_terms, strut_displacements

SETTLED = 5e-4
"""Movements that change by less than this part of themselves have settled [1].
Source: our choice (S27). Test: tests/statics/test_second_order.py"""
_ROUNDS = 40
"""Rounds after which a case counts as one that does not settle [1].
Source: our choice; 3⁻⁴⁰ (S27). Test: tests/statics/test_second_order.py"""
_LEVER_MM = 1000.0
"""Lever with which a rotation counts as a movement [mm].
Source: our choice, about a strut's length. Test: tests/statics/test_second_order.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """k load cases in second order, each with its own axial forces in the stiffness."""

    answer: Response
    tension_n: FloatArray
    """(k, struts) axial forces, tension positive, as they are."""
    steady: BoolArray
    """(k,) False where movements do not settle: the stage gives way."""


def settled(ready: Factored, load: Load, imposed: FloatArray | None = None) -> Settled:
    """Solve every case with the axial forces that it causes itself.

    Source: (S27). Test: tests/statics/test_second_order.py, tests/reference/test_pynite_second_order.py

    Parameters
    ----------
    ready : Factored
        The stage, first order or softened by any axial forces already.
    load : Load
        k cases, whole: second order does not add up, so weight and partial factors are in it.
    imposed : (k, n, 6) array, optional
        Displacements [mm, rad] given to held degrees of freedom.
    """
    along = load.arms[:, :, [3, 9]].mean(axis=2)

    displacements, tension, steady = _iterated(ready, load.hubs_n, imposed, lambda axial: np.asarray(axial + along))
    return Settled(_answer(ready, displacements, load, tension), tension, steady)


def enveloped(ready: Factored, base: Load, unit: Load, push: float) -> tuple[Response, Response, bool]:
    """Base and unit loads on the stiffness that no push of that size, whatever its direction, makes softer.

    Source: (S29). Test: tests/statics/test_second_order.py

    Parameters
    ----------
    ready : Factored
        The stage.
    base : Load
        One case: what is there already, with its factor.
    unit : Load
        3 cases: x, y, z at one place, with the push's factor.
    push : float
        Its size, in units.

    Returns
    -------
    Response, Response, bool
        Base (1 case) and unit (3 cases) on that stiffness; False if they do not settle.
    """
    four = base.before(unit)
    along = base.arms[0, :, [3, 9]].mean(axis=0)

    def lowest(axial: FloatArray) -> FloatArray:
        size = np.sqrt(np.square(axial[1:]).sum(axis=0))
        return np.tile(axial[0] + along - push * size, (4, 1))

    displacements, tension, steady = _iterated(ready, four.hubs_n, None, lowest)
    whole = _answer(ready, displacements, four, tension)
    return _cases(whole, slice(0, 1)), _cases(whole, slice(1, 4)), bool(steady.all())


def _cases(answer: Response, some: slice) -> Response:
    """Some of the cases."""
    return Response(answer.stage, answer.displacements[some], answer.arms[some], answer.load.cases(some))


def _iterated(ready: Factored, loads_n: FloatArray, imposed: FloatArray | None,
              tension_of: Callable[[FloatArray], FloatArray]) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Displacements (k, n, 6), axial forces (k, struts) and whether they settled (k,).

    Source: (S27). Test: tests/statics/test_second_order.py
    """
    stage, still = ready.stage, np.zeros_like(loads_n)
    given = still if imposed is None else np.asarray(imposed * stage.fixed)
    asked = loads_n if imposed is None else loads_n - ready.restoring_forces(given)
    once, twice = stage.model.geometric_stiffness[stage.struts], stage.model.second_stiffness[stage.struts]
    rows = stage.model.arm_per_displacement[stage.struts][:, [3, 9]].mean(axis=1)
    moved, before = given + ready.movements(asked), still
    part, steady = np.ones(len(loads_n)), np.ones(len(loads_n), dtype=bool)
    for _ in range(_ROUNDS):
        at_ends = strut_displacements(stage, moved)
        tension = tension_of(np.einsum("sd,sdk->ks", rows, at_ends))
        axial = axial_terms(stage, tension)
        steady &= np.isfinite(axial).all(axis=(1, 2))
        more = np.where(steady[:, None, None], axial - ready.axial, 0.0).T  # (term, strut, case)
        pseudo = ready.at_hubs(once @ at_ends * more[0][:, None] + twice @ at_ends * more[1][:, None])
        miss = (given + ready.movements(asked - pseudo) - moved) * _WEIGHED
        part = relaxation(part, before.reshape(len(miss), -1), miss.reshape(len(miss), -1))
        moved, before = moved + part[:, None, None] * miss / _WEIGHED, miss  # (case, hub, dof)
        left = steady & (_size(miss) > SETTLED * _size(moved * _WEIGHED))
        if not left.any():
            return moved, tension, steady
    return moved, tension, steady & ~left


_WEIGHED = np.array([1.0] * 3 + [_LEVER_MM] * 3)
"""Displacements times this are mm (in no formula)."""


def relaxation(part: FloatArray, before: FloatArray, miss: FloatArray) -> FloatArray:
    """(k,) part of each miss, (k, n), to go next, from the part of the miss before that was gone (Aitken's rule).

    Source: (S27): B. M. Irons and R. C. Tuck, Int. J. Numer. Methods Eng. 1, 1969 (from memory).
    Test: tests/statics/test_second_order.py
    """
    turned = miss - before
    size = np.square(turned).sum(axis=1)
    known = (size > 0) & before.any(axis=1)
    found = -part * (before * turned).sum(axis=1) / np.where(size > 0, size, 1.0)
    return np.asarray(np.where(known, np.clip(found, *_PARTS), part))


_PARTS = (0.1, 3.0)
"""Bounds of what is gone at once [1]. Source: our choice. Test: tests/statics/test_second_order.py"""


def _size(weighed: FloatArray) -> FloatArray:
    """(k,) size of (k, n, 6) displacements in mm."""
    return np.asarray(np.sqrt(np.square(weighed).sum(axis=(1, 2))))


def _answer(ready: Factored, displacements: FloatArray, load: Load, tension_n: FloatArray) -> Response:
    """Arm forces with the axial forces in them.

    Source: (S28). Test: tests/reference/test_pynite_second_order.py
    """
    stage = ready.stage
    model, struts = stage.model, stage.struts
    axial = axial_terms(stage, tension_n)
    axial = np.where(np.isfinite(axial), axial, 0.0).T  # (term, strut, case)
    at_ends = strut_displacements(stage, displacements)
    forces = model.arm_per_displacement[struts] @ at_ends
    for part, term in zip((model.arm_per_geometric, model.arm_per_second), axial, strict=True):
        forces = forces + (part[struts] @ at_ends) * term[:, None]  # (strut, arm force, case)
    grown = _enlarged(stage, load, tension_n)
    arms = forces.transpose(2, 0, 1) + grown.arms
    # (case, strut, station, component)
    return Response(stage, displacements, arms.reshape(len(arms), len(struts), STATIONS, 3), grown)


def _enlarged(stage: Stage, load: Load, tension_n: FloatArray) -> Load:
    """The loads with what they do to struts between hubs at rest enlarged by thrust, 1 / (1 − N/N_cr) of the strut.

    Source: (S31): never less than the fixed-end moments of a beam-column. Test: tests/statics/test_second_order.py
    """
    left = 1.0 - np.maximum(-tension_n / stage.model.members.buckling_n[stage.struts], 0.0)
    times = 1.0 / np.where(left > 0, left, 1.0)[:, :, None]  # (case, strut, any)
    arms = load.arms * np.where(_ALONG, 1.0, times)
    middle = None if load.at_middle_n is None else load.at_middle_n * times
    return replace(load, arms=arms, across_n_mm=load.across_n_mm * times, at_middle_n=middle)


_ALONG = np.arange(12) % 3 == 0
"""Which of the twelve arm forces are axial (in no formula)."""
