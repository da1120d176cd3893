"""A kit made ready for judging its stages: the statics of its frame, with what is left of damaged arms."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fieldapp.base.remembered import remembered
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
    return _case(kit, dict(arm_factors)) if arm_factors else _sound(kit)


@remembered(4, by=lambda kit: kit.design)
def _sound(kit: Kit) -> Case:
    return _case(kit, {})


def _case(kit: Kit, factors: dict[tuple[str, int], float]) -> Case:
    left = np.ones((len(kit.frame.struts), 2))
    for (strut, end), factor in factors.items():
        kit.frame.strut(strut)
        left[kit.frame.strut_index[strut], end - 1] = factor or 1.0
    made = model(kit.frame, kit.design, arm_factor=left if factors else None)
    gone = frozenset(arm for arm, factor in factors.items() if factor == 0.0)
    return Case(kit, made, tube_capacity(made, kit.design), gone)
