"""A stage as it bears loads: what is locked into each arm and tube, known or not, is taken off that one first."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.plan.case import Case
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.locked import LockedIn
from fieldapp.plan.tolerances import Tolerated, nothing, tolerated
from fieldapp.statics.model import Model
from fieldapp.statics.solved import Solved, with_model
from fieldapp.statics.tubes import LockedTubes

NEXT_TO_NOTHING = 1e-6
"""What is left of an arm into which more is locked than it bears [1]. Source: our choice, for nothing.
Test: tests/plan/test_locked.py"""


@dataclass(frozen=True, slots=True, eq=False)
class LockIn:
    """What is locked into a stage: known errors at most together with what tolerances do in one frame of twenty."""

    arms: FloatArray
    """(m, 2) of the arm at each end of each strut of the frame, of what it bears for as long as the frame stands."""
    tubes: LockedTubes
    pull_n: float
    """On the most pulled joint [N]."""
    worst: float
    """Of the worst arm or tube of the frame, by tolerances alone: told beside the verdict."""


def lock_in(case: Case, fitted: Fitted, tied: Sequence[str], known: LockedIn | None) -> LockIn:
    """What is known and what is drawn, added up arm by arm.

    Source: (P25), (P26). Test: tests/plan/test_locked.py, tests/plan/test_tolerances.py
    """
    drawn = tolerated(case, fitted, tied)
    sure = known_part(known, len(case.frame.struts))
    return LockIn(sure.arms + drawn.arms, LockedTubes(sure.tubes_n + drawn.tubes_n, sure.tubes_nmm + drawn.tubes_nmm),
                  sure.pull_n + drawn.pull_n, drawn.worst)


def known_part(known: LockedIn | None, struts: int) -> Tolerated:
    """What is known to be locked in, of a frame of so many struts."""
    if known is None:
        return nothing(struts)
    answer, found = known.answer, nothing(struts)
    stage, axial_n = answer.stage, answer.arms[0, :, [1, 3], 0].T  # (strut, end)
    # (strut, end, root or joint)
    uses = (answer.arm_utilisation[0].reshape(-1, 2, 2) / stage.model.arm_lasting).max(axis=2)
    found.arms[stage.struts], found.tubes_n[stage.struts] = uses, np.abs(axial_n).max(axis=1)
    found.tubes_nmm[stage.struts] = np.linalg.norm(answer.arms[0, :, [1, 3], 1:], axis=2).max(axis=0)
    pull_n = max(0.0, float(answer.arms[..., 0].max(initial=0.0)))
    return Tolerated(found.arms, found.tubes_n, found.tubes_nmm, pull_n=pull_n)


def beside(case: Case, of: Solved, locked: LockIn) -> tuple[Case, Solved]:
    """A case and a stage whose arms bear so much less, and whose tubes carry it already; as stiff as before.

    Source: (P25), (P26). Test: tests/plan/test_locked.py
    """
    made = replace(case, model=_less(case.model, locked.arms),
                   tubes=replace(case.tubes, locked=locked.tubes))
    return made, with_model(of, made.model)


def _less(model: Model, arms: FloatArray) -> Model:
    """Its arms with what locked-in forces leave, of short loads and of lasting ones.

    Of lasting loads one share serves all arms, the least: with L of the resistance left for them, an arm into which λ L
    is locked keeps L (1 − λ) of all, and L (1 − λ) / (1 − λ L) of what short loads keep.

    Source: (P26). Test: tests/plan/test_locked.py
    """
    lasting = model.arm_lasting
    left = np.maximum(1.0 - arms * lasting, NEXT_TO_NOTHING)
    lasts = np.maximum(lasting * (1.0 - arms) / left, NEXT_TO_NOTHING)
    softer = None if model.softer is None else _less(model.softer, arms)
    return replace(model, arm_capacity=model.arm_capacity * np.repeat(left, 6, axis=1),
                   arm_lasting=float(lasts.min(initial=lasting)), softer=softer)
