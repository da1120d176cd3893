"""What arms, tubes and pegs make of feet that have moved."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.feet.contact import FootStates, Springs, ground_forces
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.governs import PEG, TUBE, UNKNOWN, Governs
from fieldapp.statics.limits import governing_arm
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response
from fieldapp.statics.tubes import TubeCapacity, most_used


@dataclass(frozen=True, slots=True, eq=False)
class Uses:
    """The most used arm, tube and peg in B states: above 1 it gives way."""

    arm: FloatArray
    """(B,)"""
    arm_at: IntArray
    """(B,) station."""
    tube: FloatArray
    """(B,)"""
    tube_at: IntArray
    """(B,) row of the strut in the stage."""
    peg: FloatArray
    """(B,) the larger of pull and sideways, ÷ what the peg is taken to bear."""
    peg_at: IntArray
    """(B,) number of the foot."""

    @property
    def most(self) -> FloatArray:
        """(B,) the largest."""
        return np.maximum(np.maximum(self.arm, self.tube), self.peg)

    def governs(self, feet: Feet, state: int, taken: str) -> Governs:
        """What is used most in a state."""
        most = float(self.most[state])
        if most == self.peg[state]:
            return Governs(PEG, hub=feet.on.feet[int(self.peg_at[state])], taken=taken)
        if most == self.tube[state]:
            strut = int(feet.of.stage.struts[int(self.tube_at[state])])
            return Governs(TUBE, feet.of.stage.model.strut_names[strut], taken=taken)
        arm = governing_arm(feet.of.stage, int(self.arm_at[state]))
        return Governs(arm.what, arm.strut, arm.hub, taken=taken) if arm else Governs(UNKNOWN, taken=taken)


def answers(feet: Feet, pinned: Response, states: FootStates) -> Response:
    """The answers on pinned feet, one case for each state, with what the feet's movements add; displacements left out.

    Source: (G1). Test: tests/statics/feet/test_starts.py
    """
    moved = states.moved_mm.reshape(len(states.moved_mm), -1)
    arms = pinned.arms + np.tensordot(moved, feet.unit.arms, axes=1)
    return Response(pinned.stage, pinned.displacements, arms, pinned.load)


def uses_of(answer: Response, tubes: TubeCapacity, springs: Springs, states: FootStates, *, arms_left: float = 1.0
            ) -> Uses:
    """The most used arm, tube and peg of every state; `arms_left` of the arms' resistance is left for such a load.

    Source: (S11), (S18). Test: tests/statics/feet/test_starts.py
    """
    arm, peg = answer.arm_uses / arms_left, _peg_uses(springs, states)
    (arms, arm_at), (bent, tube_at), (pulled, peg_at) = _largest(arm), most_used(answer, tubes), _largest(peg)
    return Uses(arms, arm_at, bent, tube_at, pulled, peg_at)


def _largest(use: FloatArray) -> tuple[FloatArray, IntArray]:
    if not use.shape[1]:
        return np.zeros(len(use)), np.full(len(use), -1)
    return use.max(axis=1), use.argmax(axis=1)


def _peg_uses(springs: Springs, states: FootStates) -> FloatArray:
    """(B, F) force on each peg ÷ what it is taken to bear; 0 where there is none."""
    on, peg = springs.on, ground_forces(springs, states)[1]
    up = np.where(on.peg_up_n > 0, -peg[:, :, 2] / np.where(on.peg_up_n > 0, on.peg_up_n, 1.0), 0.0)
    side = np.sqrt(np.square(peg[:, :, :2]).sum(axis=2)) / np.where(on.peg_side_n > 0, on.peg_side_n, 1.0)
    return np.asarray(np.maximum(up, side))


def cases_of(answer: Response, factors: FloatArray, cases: IntArray | BoolArray) -> Response:
    """Some cases of an answer, each times a factor, (B,); displacements are left out."""
    times = factors[:, None, None]  # (case, any, any)
    middle = answer.load.at_middle_n
    load = Load(answer.load.hubs_n[:0], times * answer.load.arms[cases], times * answer.load.across_n_mm[cases],
                None if middle is None else times * middle[cases])
    return Response(answer.stage, answer.displacements[:0], times[:, None] * answer.arms[cases], load)
