"""A piece lifted by people: they carry it, they do not pin it.

A lifter fixes the height of one hub and nothing else: hands give sideways. The three degrees of freedom that are
left (drifting, turning about the vertical) are taken by a support that bears no force under weight.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import BoolArray, IntArray
from fieldapp.statics.limits import Solved, lag_limit, solved, weight_utilisation
from fieldapp.statics.model import Model
from fieldapp.statics.stiffness import Stage, Unstable, stage_of
from fieldapp.statics.tubes import TubeCapacity


@dataclass(frozen=True, slots=True)
class Lift:
    """A piece lifted at some hubs."""

    lifters: tuple[str, ...]
    stands: bool
    """False if the piece would tip or fold."""
    arm_utilisation: float
    """Under its weight, lifted evenly; infinite if it does not hold."""
    lag_mm: float
    """How far one lifter may lag behind the others before an arm reaches its design value."""
    most_carried_n: float
    """Largest share of one lifter (characteristic weight)."""


def lifted_stage(model: Model, hubs: Iterable[str], lifters: Iterable[str], struts: Iterable[str] | None = None
                 ) -> Stage:
    """The stage of a piece that is held up at `lifters`, clear of the ground.

    Source: (S22). Test: tests/statics/test_lifting_evenly.py, tests/reference/test_pynite.py
    """
    loose = stage_of(model, hubs, struts, ground=())
    fixed = loose.fixed.copy()
    numbers = np.array([model.hub_index[name] for name in lifters], dtype=np.int64)
    fixed[numbers, 2] = True
    _stop_drifting(model, fixed, numbers if len(numbers) else loose.hubs)
    return Stage(model, loose.hubs, loose.struts, fixed)


def _stop_drifting(model: Model, fixed: BoolArray, numbers: IntArray) -> None:
    """Fix x and y at one hub, and one of them at the hub where that best stops turning."""
    first = int(numbers[0])
    fixed[first, :2] = True
    apart = np.abs(model.nodes_mm[numbers, :2] - model.nodes_mm[first, :2])
    other, axis = divmod(int(apart.argmax()), 2)
    fixed[int(numbers[other]), 1 - axis] = True


def lift(model: Model, tubes: TubeCapacity, hubs: Iterable[str], lifters: Sequence[str],
         struts: Iterable[str] | None = None) -> Lift:
    """Judge one way of lifting a piece."""
    answer = solved(lifted_stage(model, hubs, lifters, struts))
    if isinstance(answer, Unstable):
        return Lift(tuple(lifters), stands=False, arm_utilisation=np.inf, lag_mm=0.0, most_carried_n=np.inf)
    numbers = np.array([model.hub_index[name] for name in lifters], dtype=np.int64)
    return Lift(tuple(lifters), stands=True, arm_utilisation=weight_utilisation(answer).utilisation,
                lag_mm=lag_limit(answer, numbers, tubes).value, most_carried_n=_most_carried_n(answer, numbers))


def _most_carried_n(of: Solved, numbers: IntArray) -> float:
    """Largest vertical share."""
    carried = of.ready.reactions(of.weight.displacements, of.weight.load.hubs_n)[0, numbers, 2]
    return float(carried.max())
