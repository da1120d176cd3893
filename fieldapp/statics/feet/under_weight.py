"""Feet under the weight in the most harmful ways to stand, and what arms, tubes and pegs make of it."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fieldapp.frame.frame import BoolArray
from fieldapp.statics.feet.collapse import slides_apart
from fieldapp.statics.feet.footing import GROUND_STIFFNESSES_N_MM
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.feet.starts import LAID_ON, Starts, harmful_ways, starts_of, ways_of
from fieldapp.statics.feet.strength import Uses, answers, cases_of, uses_of
from fieldapp.statics.governs import SLIDES, UNKNOWN, Governs
from fieldapp.statics.response import Response
from fieldapp.statics.solved import Solved
from fieldapp.statics.tubes import TubeCapacity

_MOST_HARMFUL = 4
"""Ways of standing in which pushes are looked at: those that use arms and tubes most [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""


@dataclass(frozen=True, eq=False)
class FeetStanding:
    """Feet under 1.35 × weight, in the most harmful ways. Not slotted: uses are kept in the instance once asked for."""

    starts: Starts
    answer: Response
    """One case for each way."""
    tubes: TubeCapacity
    slides_apart: bool
    """True if without friction, and without what holds its feet, it slides apart or tips under its own weight."""
    locked_known: float = 0.0
    """Use by what is known to be locked in, of the most used arm or tube: it adds to that of the weight."""

    @cached_property
    def uses(self) -> Uses:
        """Under the weight together with a short load."""
        return uses_of(self.answer, self.tubes, self.starts.springs, self.starts.states)

    @cached_property
    def lasting(self) -> Uses:
        """Under the weight alone, for as long as the frame stands."""
        return lasting_uses(self.answer, self.tubes, self.starts)

    @property
    def hang_worst(self) -> frozenset[int]:
        """Numbers of the feet that ask most of arms, tubes and pegs where one of them hangs free: so many on each soft
        ground, so that one more never hides what another tells."""
        on_n_mm, hanging = self.starts.springs.ground_n_mm, self.starts.hanging
        ways = [way for way in np.argsort(-self.lasting.most, kind="stable").tolist() if hanging[way] >= 0]
        return frozenset(int(hanging[way]) for soft_n_mm in {float(on_n_mm[way]) for way in ways}
                         for way in [way for way in ways if on_n_mm[way] == soft_n_mm][:_MOST_HARMFUL])

    @property
    def worst_ways(self) -> tuple[int, ...]:
        """The most harmful ways for loads on top: of those in which one foot hangs its worst, so that several do; as
        many again on the owner's own ground."""
        ours = np.isin(self.starts.springs.ground_n_mm, GROUND_STIFFNESSES_N_MM)
        return (*self._worst_of(ours), *self._worst_of(~ours))

    def _worst_of(self, these: BoolArray) -> tuple[int, ...]:
        found: dict[tuple[int, int], int] = {}
        for way in np.argsort(-self.uses.most, kind="stable").tolist():
            hangs = int(self.starts.hanging[way])
            if these[way]:
                found.setdefault((hangs, way if hangs < 0 else -1), way)
        return tuple(found.values())[:_MOST_HARMFUL]

    def bearing(self, of: Solved, tubes: TubeCapacity) -> "FeetStanding":
        """The same feet under a stage as stiff as this one, whose arms and tubes bear otherwise."""
        feet = replace(self.starts.feet, of=of, unit=replace(self.starts.feet.unit, stage=of.stage))
        return replace(self, starts=replace(self.starts, feet=feet), answer=replace(self.answer, stage=of.stage),
                       tubes=tubes)


def standing(feet: Feet, tubes: TubeCapacity) -> FeetStanding:
    """The feet under 1.35 × weight in the most harmful ways, and what arms, tubes and pegs make of it.

    Source: (G3). Test: tests/statics/feet/test_at_once.py
    """
    apart = slides_apart(feet)
    if apart:
        return _under_weight(starts_of(feet, harmful_ways(feet)[:1]), tubes, apart=True)
    found = _under_weight(starts_of(feet, harmful_ways(feet)), tubes)
    ways = ways_of(feet, found.hang_worst)
    if not ways:
        return found
    more = starts_of(feet, ways)
    # what rubs lies between what crept and what is held sideways: both are here of the same foot and spring
    known = more.states.settled | (np.array(more.history) != LAID_ON)
    return _under_weight(found.starts.beside(more.of(known)), tubes)


def _under_weight(starts: Starts, tubes: TubeCapacity, *, apart: bool = False) -> FeetStanding:
    feet = starts.feet
    pinned = cases_of(feet.of.weight, starts.weight_factor, np.zeros(len(starts.history), dtype=np.int64))
    return FeetStanding(starts, answers(feet, pinned, starts.states), tubes, apart)


def lasting_uses(answer: Response, tubes: TubeCapacity, starts: Starts) -> Uses:
    """What the weight alone uses of arms, tubes and pegs for as long as the frame stands.

    Source: (G3), (B2). Test: tests/statics/feet/test_low.py
    """
    return uses_of(answer, tubes.under_weight, starts.springs, starts.states,
                   arms_left=answer.stage.model.arm_lasting)


APART = FeetBound(0.0, Governs(SLIDES, taken="no friction"))
"""Of a stage that only friction or pegs keep from sliding apart (in no formula)."""


def weight_at_once(stands: FeetStanding) -> FeetBound:
    """How many times 1.35 × weight arms, tubes and pegs bear on these feet.

    Source: (G3). Test: tests/statics/feet/test_at_once.py
    """
    if stands.slides_apart:
        return APART
    starts, use = stands.starts, stands.lasting.most + stands.locked_known
    wild = np.flatnonzero(~starts.states.settled)
    if len(wild):
        return FeetBound(0.0, Governs(UNKNOWN, taken=starts.taken(int(wild[0]))), settled=False)
    at = int(use.argmax())
    if use[at] <= 0:
        return FeetBound(np.inf)
    high = starts.states.moved_mm[at, :, 2]
    lifts = tuple(foot for foot, up in zip(starts.feet.on.feet, high, strict=True) if up > 0)
    return FeetBound(1.0 / float(use[at]), stands.lasting.governs(starts.feet, at, starts.taken(at)), lifts=lifts)
