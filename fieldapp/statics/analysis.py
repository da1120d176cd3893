"""One record for one stage: does it stand, what to hold, what it bears."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import inf

from fieldapp.base.constants import GAMMA_G, STANDING_PUSH_N
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.statics.holds import Holds, holds
from fieldapp.statics.limits import (
    ArmUse,
    LevelTolerance,
    PushUse,
    Solved,
    level_tolerance,
    push_limits_n,
    push_uses,
    solved,
    weight_use,
)
from fieldapp.statics.mechanisms import Mechanisms, stage_mechanisms
from fieldapp.statics.model import Model, model
from fieldapp.statics.second_order import needs_second_order, second_order_use, weight_buckling_factor
from fieldapp.statics.stiffness import Stage, Unstable, stage_of
from fieldapp.statics.tubes import TubeCapacity, tube_capacity, tube_use
from fieldapp.statics.wind import WindLimit, wind_limit


@dataclass(frozen=True, slots=True, eq=False)
class Statics:
    """A frame and its design, ready for the analysis of any stage."""

    frame: Frame
    model: Model
    tubes: TubeCapacity
    push_n: float = STANDING_PUSH_N


def statics_of(frame: Frame, design: Design) -> Statics:
    """Compute all strut matrices and capacities once.

    Raises
    ------
    StaticsError, DesignError
        If the design's sizes, materials or break tests give no answer.
    """
    ready = model(frame, design)
    return Statics(frame, ready, tube_capacity(ready, design), design.crew.push_n)


@dataclass(frozen=True, slots=True)
class StageAnalysis:
    """Everything a crew needs to know of a stage; where partial factors enter: see `response`."""

    hubs: int
    struts: int
    stands: bool
    can_move: tuple[str, ...]
    """Hub places that can move if the stage does not stand, else none."""
    mechanisms: int
    """Of the pin-jointed twin, before anything is held beyond what was given."""
    self_stress: int
    holds: tuple[str, ...]
    """Fewest hubs to hold so that geometry holds the rest."""
    holds_smallest: bool
    arm_use_weight: ArmUse
    design_use_weight: float
    """The same with the weight counted 1.35 times: the figure for a verdict."""
    arm_use_push: PushUse | None
    """The worst of the pushed hubs; None if none was named or the stage does not stand."""
    push_limits_n: dict[str, float] = field(compare=False)
    """Hub place → push limit; only of the hubs asked for."""
    level_tolerance: LevelTolerance | None
    wind: WindLimit | None
    tube_use: float
    buckling_factor: float
    """Times 1.35 × weight until the stage buckles."""
    second_order: bool
    """True if arm use under weight comes from second-order analysis (factor below 10)."""
    max_displacement_mm: float
    """Under characteristic weight."""

    @property
    def words(self) -> str:
        """One line for the crew."""
        if not self.stands:
            return f"does not stand: {', '.join(self.can_move)} can move"
        held = f"hold {', '.join(self.holds)}" if self.holds else "nothing to hold"
        return f"stands; {held}; arm use {self.arm_use_weight.use:.2f} by its own weight"


def stage_analysis(ready: Statics, hubs: Iterable[str], struts: Iterable[str] | None = None, *,
                   held: Iterable[str] = (), pushed: Iterable[str] = (), limits_at: Iterable[str] | None = ()
                   ) -> StageAnalysis:
    """Analyse a stage, planned or not.

    Parameters
    ----------
    ready : Statics
        Frame and design.
    hubs, struts : iterables of str
        Places that are filled; struts None means all between the hubs.
    held : iterable of str, optional
        Hubs that are held already (their translations).
    pushed : iterable of str, optional
        Hubs that may be pushed by a person (usually the last placed).
    limits_at : iterable of str or None
        Hubs whose push limit is wanted; None for all.
    """
    stage = stage_of(ready.model, hubs, struts, held=held)
    twin = stage_mechanisms(stage)
    answer = solved(stage)
    if isinstance(answer, Unstable):
        return _fallen(stage, twin, answer)
    return _standing(ready, answer, twin, tuple(pushed), None if limits_at is None else tuple(limits_at))


def _fallen(stage: Stage, twin: Mechanisms, answer: Unstable) -> StageAnalysis:
    """Record of a stage that does not stand: everything is too much."""
    hold = holds(stage, twin)
    return StageAnalysis(
        hubs=len(stage.hubs), struts=len(stage.struts), stands=False, can_move=answer.hubs,
        mechanisms=twin.mechanisms, self_stress=twin.self_stress, holds=hold.hubs, holds_smallest=hold.smallest,
        arm_use_weight=ArmUse(inf, "", "", at_root=True), design_use_weight=inf, arm_use_push=None,
        push_limits_n={}, level_tolerance=None, wind=None, tube_use=inf, buckling_factor=0.0, second_order=False,
        max_displacement_mm=inf,
    )


def _standing(ready: Statics, answer: Solved, twin: Mechanisms, pushed: tuple[str, ...],
              limits_at: tuple[str, ...] | None) -> StageAnalysis:
    """Record of a stage that stands."""
    stage = answer.stage
    hold: Holds = holds(stage, twin)
    factor = weight_buckling_factor(answer)
    soft = needs_second_order(factor)
    pushes = push_uses(answer, pushed, ready.push_n) if pushed else ()
    return StageAnalysis(
        hubs=len(stage.hubs), struts=len(stage.struts), stands=factor > 1.0, can_move=(),
        mechanisms=twin.mechanisms, self_stress=twin.self_stress, holds=hold.hubs, holds_smallest=hold.smallest,
        arm_use_weight=second_order_use(answer) if soft else weight_use(answer),
        design_use_weight=second_order_use(answer, GAMMA_G).use if soft else weight_use(answer).use * GAMMA_G,
        arm_use_push=max(pushes, key=lambda push: push.use, default=None),
        push_limits_n=push_limits_n(answer, limits_at),
        level_tolerance=level_tolerance(answer),
        wind=wind_limit(answer, ready.tubes),
        tube_use=float(tube_use(answer.weight, ready.tubes).max(initial=0.0)),
        buckling_factor=factor, second_order=soft, max_displacement_mm=answer.max_displacement_mm,
    )
