"""What every place is asked for over all stages of a plan: arm utilisation and tube utilisation, and at which step."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.stages import StageAnalysis, analysis, fitted_after
from fieldapp.reports.standing.handling import handling
from fieldapp.statics.limits import PUSH, ArmUtilisation, Limit, worst_arm
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Unstable
from fieldapp.statics.tubes import TubeCapacity, tube_utilisation
from fieldapp.statics.untested import as_known, is_untested


@dataclass(frozen=True, slots=True)
class StageUtilisation:
    """One stage with the parts that will be used."""

    step: int
    hub: str
    stands: bool
    """False if not even its holds make it stand; uses are then infinite."""
    arm: ArmUtilisation
    """The most used arm under 1.35 × weight, with what is locked in."""
    tube: str
    """The most used strut …"""
    tube_utilisation: float
    """… and the use of its tube, likewise."""
    locked_utilisation: float
    """Largest arm utilisation that parts of other lengths lock in."""
    bears: Limit
    """Times its design weight that it bears, the least of all that gives way, as any stage is judged; the weakest tube
    counts for all, as on site."""
    push: Limit = field(default_factory=lambda: Limit(PUSH, np.inf))
    """Largest push at `hub`; infinite if it cannot move. [N]"""


@dataclass(frozen=True, slots=True, eq=False)
class Handled:
    """What places are asked when hands, wind and uneven ground count as well as weight and lengths: see `handling`."""

    arm: FloatArray
    """(m, 2) largest arm utilisation at end 1 and end 2."""
    arm_step: IntArray
    """(m, 2) the step after which it occurs."""
    tube: FloatArray
    """(m,)"""
    tube_step: IntArray
    """(m,)"""


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """The m strut places of a frame, over all stages of a plan; 0 for places that the plan leaves out."""

    arm: FloatArray
    """(m, 2) largest arm utilisation at end 1 and end 2 under 1.35 × weight with what is locked in."""
    arm_step: IntArray
    """(m, 2) number of the step after which it occurs."""
    tube: FloatArray
    """(m,)"""
    tube_step: IntArray
    """(m,)"""
    stages: tuple[StageUtilisation, ...]
    handled: Handled
    """The same with hands, wind and uneven ground, of sound parts."""
    wind_m_s: float | None = None
    """Gust that the finished frame bears; None if it does not stand."""

    @property
    def worst_arm(self) -> StageUtilisation:
        """The stage with the most used arm."""
        return max(self.stages, key=lambda stage: stage.arm.utilisation)

    @property
    def worst_tube(self) -> StageUtilisation:
        """The stage with the most used tube."""
        return max(self.stages, key=lambda stage: stage.tube_utilisation)

    @property
    def least_borne(self) -> StageUtilisation:
        """The stage that bears its design weight the fewest times."""
        return min(self.stages, key=lambda stage: stage.bears.value)

    @property
    def easiest_push(self) -> StageUtilisation:
        """The step whose hub bears the smallest push."""
        return min(self.stages, key=lambda stage: stage.push.frame.value)


def demand(case: Case, plan: Plan, *, off_mm: FloatArray | None = None, tube_left: FloatArray | None = None,
           handled: Handled | None = None) -> Demand:
    """Go through all stages of a plan.

    Parameters
    ----------
    case : Case
        With what is left of each arm, or with sound arms.
    plan : Plan
        With holds.
    off_mm : (m,) array, optional
        How much longer than designed the strut at each place is. [mm]
    tube_left : (m,) array, optional
        What is left of each tube's strength, above 0.
    handled : Handled, optional
        Taken over if it is known already: worked out for sound parts, it serves to give out parts.

    Returns
    -------
    Demand

    Notes
    -----
    Design values: 1.35 × weight; with `handling` beside it. Lack of fit enters × 1, see `plan.lack_of_fit`. A stage
    that falls asks nothing of any part: no part would help.
    """
    struts = len(case.frame.struts)
    arm, tube, arm_handled, tube_handled = _Most((struts, 2)), _Most((struts,)), _Most((struts, 2)), _Most((struts,))
    left = np.ones(struts) if tube_left is None else tube_left
    closed = {step.level: step.number for step in plan.steps}.values()
    real, stages = _as_on_site(case, off_mm, left), list[StageUtilisation]()
    for step, stage in zip(plan.steps, _stages(real, plan), strict=True):
        use = _uses(stage, case.tubes.weakened(left))
        push = Limit(PUSH, np.inf, step.hub)
        if isinstance(stage.solved, Solved):
            push = as_known(case.design, stage.push_limits([step.hub])[step.hub])
            arm.take(use.struts, use.ends, step)
            tube.take(use.struts, use.tubes, step)
            if handled is None:
                more = handling(stage, stage.solved, step, stays=step.number in closed)
                arm_handled.take(use.struts, np.maximum(use.ends, by_end(more.stations)), step)
                tube_handled.take(use.struts, np.maximum(use.tubes, more.tubes), step)
        stages.append(replace(_stage_utilisation(step, stage, use), push=push))
    handled = handled or Handled(arm_handled.value, arm_handled.step, tube_handled.value, tube_handled.step)
    return Demand(arm.value, arm.step, tube.value, tube.step, tuple(stages), handled, _wind_m_s(real, plan))


@remembered(4, by=lambda kit, plan: (kit.design, plan))
def sound_demand(kit: Kit, plan: Plan) -> Demand:
    """Of sound parts as long as designed, whatever the log says: worked out once for a design and a plan.

    Raises
    ------
    StaticsError, DesignError
        If sizes, materials or break tests of the design give no answer.
    """
    return demand(case_of(kit), plan)


class _Most:
    """The largest values over the stages so far, and the numbers of their steps."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self.value, self.step = np.zeros(shape), np.zeros(shape, dtype=np.int64)

    def take(self, struts: IntArray, found: FloatArray, step: Step) -> None:
        """Take over what is larger than at all stages before."""
        larger = found > self.value[struts]
        self.step[struts] = np.where(larger, step.number, self.step[struts])
        self.value[struts] = np.where(larger, found, self.value[struts])


@dataclass(frozen=True, slots=True, eq=False)
class _Utilisations:
    struts: IntArray
    stations: FloatArray
    """(struts × 4)"""
    tubes: FloatArray
    locked: float

    @property
    def ends(self) -> FloatArray:
        """(struts, 2)"""
        return by_end(self.stations)


def _as_on_site(case: Case, off_mm: FloatArray | None, left: FloatArray) -> Case:
    """The case with measured lengths, the weakest tube for all: what stands is judged so, and is told the same."""
    off = () if off_mm is None else tuple(zip(case.model.strut_names, off_mm.tolist(), strict=True))
    weak = float(left.min())
    return replace(case, tubes=case.tubes.weakened(weak), off_mm=off) if weak < 1.0 or off else case


def by_end(stations: FloatArray) -> FloatArray:
    """(struts, 2) the larger of root and joint at each end, from (struts × 4)."""
    return np.asarray(stations.reshape(-1, 2, 2).max(axis=2))  # (strut, end, root or joint), then (strut, end)


def _stages(case: Case, plan: Plan) -> Iterator[StageAnalysis]:
    """Each stage on its supports alone if it stands so, else with its holds held."""
    for number, step in enumerate(plan.steps, start=1):
        fitted = fitted_after(plan, number)
        alone = analysis(case, fitted)
        yield alone if alone.stands or not step.holds else analysis(case, replace(fitted, held=step.holds))


def _uses(stage: StageAnalysis, tubes: TubeCapacity) -> _Utilisations:
    """Uses under design weight with what is locked in, of each tube what is left of it."""
    answer = stage.solved
    numbers = np.array([stage.case.model.strut_index[strut] for strut in stage.tied], dtype=np.int64)
    if isinstance(answer, Unstable):
        return _Utilisations(numbers, np.full(4 * len(numbers), np.inf), np.full(len(numbers), np.inf), 0.0)
    lasting, locked = stage.case.model.arm_lasting, stage.locked
    stations, use = np.zeros(4 * len(answer.stage.struts)), np.zeros(len(answer.stage.struts))
    for weight in answer.weights:
        both = locked.with_weight(weight * GAMMA_G) if locked else weight * GAMMA_G
        stations = np.maximum(stations, np.abs(both.components[0]).sum(axis=1) / lasting)
        use = np.maximum(use, tube_utilisation(both, tubes.under_weight)[0])
    return _Utilisations(answer.stage.struts, stations, use, locked.arm_use if locked else 0.0)


def _stage_utilisation(step: Step, stage: StageAnalysis, use: _Utilisations) -> StageUtilisation:
    number, hub = step.number, step.hub
    if isinstance(stage.solved, Unstable):
        return StageUtilisation(number, hub, False, ArmUtilisation(np.inf, "", hub, at_root=True), "", np.inf, 0.0,
                                stage.verdict)
    if not len(use.struts):
        return StageUtilisation(number, hub, True, ArmUtilisation(0.0, "", hub, at_root=True), "", 0.0, 0.0,
                                stage.verdict)
    worst = worst_arm(stage.solved.stage, use.stations)
    at = int(use.tubes.argmax())
    name = stage.case.model.strut_names[int(use.struts[at])]
    return StageUtilisation(number, hub, True, worst, name, float(use.tubes[at]), use.locked,
                            stage.verdict)


def _wind_m_s(real: Case, plan: Plan) -> float | None:
    """The gust that the finished frame bears; None if not tested."""
    found = None if is_untested(real.design) else analysis(real, fitted_after(plan, len(plan.steps))).wind
    return None if found is None else found.speed_m_s
