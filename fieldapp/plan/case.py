"""A kit made ready for judging its stages: the statics of its frame, with what is left of damaged arms."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.base.units import newton_from_kg
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.statics.model import Model, model
from fieldapp.statics.tubes import TubeCapacity, tube_capacity

ArmFactors = Mapping[tuple[str, int], float]
"""(strut place, end) → what is left of the capacity of the arm on that end, 0 (gone) to 1 (sound)."""


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """Built once for a kit; any number of stages are judged with it."""

    kit: Kit
    model: Model
    tubes: TubeCapacity
    arms_gone: frozenset[tuple[str, int]]
    """(strut place, end) whose arm is broken off: the strut hangs loose there."""
    off_mm: tuple[tuple[str, float], ...] = ()
    """(strut place, how much longer than designed its strut was measured); the others count as designed."""

    @property
    def frame(self) -> Frame:
        """The frame of the kit."""
        return self.kit.frame

    @property
    def design(self) -> Design:
        """The design of the kit."""
        return self.kit.design


def case_of(kit: Kit, arm_factors: ArmFactors | None = None) -> Case:
    """Make a kit ready for judging.

    Parameters
    ----------
    kit : Kit
    arm_factors : mapping, optional
        Arms that are not sound. A factor of 0 means the arm is gone.

    Raises
    ------
    StaticsError, DesignError
        If sizes, materials or break tests of the design give no answer.
    FrameError
        If an arm factor names no strut place.

    Notes
    -----
    The sound one is kept: kits of equal designs have equal statics.
    """
    sound = _sound(kit)
    return weaker(sound, arm_factors, {}) if arm_factors else sound


@remembered(4, by=lambda kit: kit.design)
def _sound(kit: Kit) -> Case:
    masses_kg = np.array([kit.by_place[hub.name].mass_kg for hub in kit.frame.hubs])
    made = replace(model(kit.frame, kit.design), hub_weight_n=newton_from_kg(1.0) * masses_kg)
    return Case(kit, made, tube_capacity(made, kit.design), frozenset())


def weaker(case: Case, arms: ArmFactors, tubes: Mapping[str, float]) -> Case:
    """The case with less left of some arms and tubes.

    Parameters
    ----------
    case : Case
        With sound arms.
    arms : mapping
        (strut place, end) → share of a sound arm, 0 to 1; at 0 it is gone.
    tubes : mapping
        Strut place → share of a sound tube, above 0.

    Raises
    ------
    FrameError
        If an arm is of no strut place.

    Notes
    -----
    The weakest tube counts for all of them: a strut that was mended is not where the worst load is by design.
    """
    left = np.ones((len(case.frame.struts), 2))
    for (strut, end), share in arms.items():
        case.frame.strut(strut)
        left[case.frame.strut_index[strut], end - 1] = share or 1.0
    capacity = case.model.arm_capacity * np.repeat(left, 6, axis=1)
    gone = frozenset(arm for arm, share in arms.items() if share == 0.0)
    return replace(case, model=replace(case.model, arm_capacity=capacity), arms_gone=gone,
                   tubes=case.tubes.weakened(min(tubes.values(), default=1.0)))
