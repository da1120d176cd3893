"""One stage in numbers, and what is said of one that is computed to give way."""

import math
from dataclasses import dataclass

from fieldapp.base.constants import GAMMA_G
from fieldapp.base.said import Number, Said, Value, say
from fieldapp.statics.causes import gives_way
from fieldapp.statics.governs import ARM, FOLDS, TUBE, Limit
from fieldapp.statics.limits import ArmUtilisation


@dataclass(frozen=True, slots=True)
class StageRow:
    """One stage in numbers: what stands once a step is done."""

    step: int
    hub: str
    hubs: int
    struts: int
    mechanisms: int
    self_stress: int
    holds: tuple[str, ...]
    stands: bool
    """On its supports alone; if False the figures are with the holds held."""
    arm_utilisation_weight: float
    weakest: ArmUtilisation
    """The arm of that use."""
    design_utilisation: float
    """Under 1.35 × weight: above 1 it counts as breaking."""
    level: Limit
    """How low one hub on the ground may sit, or how far one carrier may lag."""
    max_displacement_mm: float
    tube_utilisation: float
    """The most used tube under its weight …"""
    tube: str
    """… and the strut whose tube is used most under 1.35 × weight."""
    verdict: Limit
    """Times the design weight (1.35 × weight) that it bears, with what gives way first: below 1 it breaks."""
    small_rotations: bool = True
    """False where 3 times the design weight buckles it: its movements are larger than the theory reckons with."""
    with_fit: Limit | None = None
    """The verdict in the one frame of twenty into which tolerances lock most."""
    to_peg: tuple[Limit, ...] = ()
    """Loose feet that lift or slide under the weight alone."""

    @property
    def worst(self) -> float:
        """Share of what gives way first under 1.35 × weight; infinite if it folds."""
        return 1.0 / self.verdict.value if self.verdict.value > 0 else math.inf

    @property
    def breaks(self) -> bool:
        """True if an arm, a tube or the whole of it gives way under 1.35 × weight."""
        return self.verdict.value < 1.0


MOST_TOLD = 10.0
"""A use beyond this is told as more than this [1]. Source: our choice. Test: tests/plan/test_bounds.py"""


def _times(use: float) -> Value:
    """How many times what it can take something is used; one that grows without end is told as more than ten."""
    return Number(use, 2) if use <= MOST_TOLD else say("more than {n}", n=Number(MOST_TOLD))


def breaking_words(row: StageRow) -> list[Said]:
    """The caution of its step: that it gives way, if it does."""
    if not row.breaks:
        return []
    governs = row.verdict.governs
    what = governs.what if governs else FOLDS
    if what == FOLDS:
        return [say("It is computed to fold here, even while its holds are held.")]
    if what in (ARM, TUBE):
        return [_part_breaks(row, what)]
    return [say("It is computed to give way here under its weight, with the safety factor {factor}: {cause}.",
                factor=Number(GAMMA_G, None), cause=gives_way(governs))]


def fit_words(row: StageRow) -> list[Said]:
    """The caution of its step that what tolerances lock in may be too much beside its weight."""
    if row.breaks or row.with_fit is None or row.with_fit.value >= 1.0:
        return []
    return [say("In one frame of twenty {cause} beside its weight: force no strut, measure it first.",
                cause=gives_way(row.with_fit.governs))]


def _part_breaks(row: StageRow, what: str) -> Said:
    use, factor = _times(row.worst), Number(GAMMA_G, None)
    if what == TUBE:
        return say("Struts are computed to break here: the tube of {strut} at {weight} of its strength by the weight "
                   "alone, {use} with the safety factor {factor}.", strut=row.tube,
                   weight=_times(row.tube_utilisation), use=use, factor=factor)
    return say("Arms are computed to break here: the arm of {hub} on {strut} at {weight} of its strength by the "
               "weight alone, {use} with the safety factor {factor}.", hub=row.weakest.hub, strut=row.weakest.strut,
               weight=_times(row.arm_utilisation_weight), use=use, factor=factor)


def broken(worst: StageRow) -> Said:
    """Of a way whose worst stage gives way: what does, where, at which step."""
    governs = worst.verdict.governs
    what = governs.what if governs else FOLDS
    factor = Number(GAMMA_G, None)
    if what == FOLDS:
        return say("folds at step {step}, even while its holds are held", step=worst.step)
    if what == TUBE:
        return say("breaks: the tube of {strut} at step {step}, {weight} of its strength, {use} with the factor "
                   "{factor}", strut=worst.tube, step=worst.step, weight=_times(worst.tube_utilisation),
                   use=_times(worst.worst), factor=factor)
    if what == ARM:
        return say("breaks: the arm of {hub} on {strut} at step {step}, {weight} of its strength, {use} with the "
                   "factor {factor}", hub=worst.weakest.hub, strut=worst.weakest.strut, step=worst.step,
                   weight=_times(worst.arm_utilisation_weight), use=_times(worst.worst), factor=factor)
    return say("gives way at step {step} under its weight with the factor {factor}: {cause}", step=worst.step,
               factor=factor, cause=gives_way(governs))
