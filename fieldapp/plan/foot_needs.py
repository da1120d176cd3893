"""What the feet of a stage do to the ground and ask of pegs: the one place where plans ask the statics of feet."""

from collections.abc import Iterable, Sequence

from fieldapp.base.constants import BEAUFORT_BEGINS_M_S, WIND_ACTION_FRACTIONS
from fieldapp.base.errors import PlanError
from fieldapp.frame.frame import Frame
from fieldapp.plan.fitted import lies_flat
from fieldapp.plan.footing import footing_of
from fieldapp.plan.pegging import FootNeed, Needs, peggings_of
from fieldapp.plan.pegs import Pegging
from fieldapp.plan.plan import Step
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics.causes import asks_for_pegs
from fieldapp.statics.feet.demands import feet_table
from fieldapp.statics.feet.records import FootDemand
from fieldapp.statics.feet.reduced import Feet, feet_of
from fieldapp.statics.solved import Solved

PEG_GUST_M_S = BEAUFORT_BEGINS_M_S[5] / WIND_ACTION_FRACTIONS[-1]
"""The gust that pegs are told to hold: at 80 % of it, Beaufort 5, people have come down and left in any case [m/s].
Source: our choice; the owner of a frame that stays up pegs for more. Test: tests/plan/test_pegging.py"""


def foot_demands(stage: StageAnalysis, number: int) -> tuple[FootDemand, ...]:
    """What each foot of the stage after a step does to the ground, and what its peg must hold if all are pegged.

    Under weight and a gust. A push is not reckoned with here: of a few struts in a row it would ask pegs for ten times
    as much, and how hard one may push with the pegs that there are is told at every step.

    Source: (P16). Test: tests/plan/test_pegging.py
    """
    feet = _feet(stage)
    if feet is None:
        return tuple(_quiet(number, foot) for foot in stage.feet)
    return tuple(sorted(feet_table(feet, str(number), PEG_GUST_M_S), key=lambda one: one.foot))


def needs_pegs(stage: StageAnalysis, demands: Iterable[FootDemand]) -> bool:
    """True if a foot lifts or slides under weight, a push or a gust, as soon as anything stands above the ground.

    What lies on the ground falls on nobody, and waits for its pegs until something is put upon it; where the ground
    holds nothing it is pegged before anything else. `stage` has loose feet.

    Source: (P16). Test: tests/plan/test_pegging.py
    """
    if footing_of(stage.case.design.ground, stage.feet).peg_before_anything:
        return True
    if not stage.feet or lies_flat(stage.case.frame, stage.fitted):
        return False
    if any(one.lifts or one.slips for one in demands):
        return True
    if stage.wind is not None and stage.wind.frame.value < PEG_GUST_M_S:
        return True
    push_n = stage.case.design.crew.push_n
    return any(limit.value < push_n and asks_for_pegs(limit) for limit in stage.push_limits(stage.pushed).values())


class PegsSoFar:
    """What is pegged as a plan is gone through, stage by stage."""

    def __init__(self, frame: Frame, always: Sequence[str]) -> None:
        """`always`: feet that the design has held; PlanError if one of them is none."""
        self._always = always
        feet = [hub.name for hub in frame.hubs if hub.on_ground]
        wrong = next((hub for hub in always if hub not in feet), None)
        if wrong is not None:
            raise PlanError(f"ground.which_feet names {wrong}, which is no foot of this frame; its feet are "
                            f"{', '.join(feet)}. Name some of these, or put a # before the line")
        self._begun = False
        self._stood: tuple[str, ...] = ()
        self._needs: list[Needs] = []
        self.demands: list[FootDemand] = []
        """Of every foot at every stage so far."""

    def pegged(self, loose: StageAnalysis, number: int) -> StageAnalysis:
        """The stage after a step, with those feet held that the plan has held by then: none that came in with it."""
        demands = foot_demands(loose, number)
        self._begun = self._begun or needs_pegs(loose, demands)
        self.demands += demands
        self._needs.append(needs_of(demands, begun=self._begun))
        held = [foot for foot in loose.feet if foot in self._stood and self._begun]
        self._stood = loose.feet
        return loose.with_pegs(held) if held else loose

    def peggings(self, steps: Sequence[Step]) -> tuple[Pegging, ...]:
        """The peggings of the whole plan."""
        return peggings_of(steps, self._needs, self._always)


def needs_of(demands: Iterable[FootDemand], *, begun: bool) -> Needs:
    """What must hold each foot of one stage once pegging has begun: then all are pegged, as `foot_demands` takes it."""
    return {one.foot: FootNeed(one.must_hold_up_n, one.must_hold_side_n, is_needed=begun) if begun else FootNeed()
            for one in demands}


def _feet(stage: StageAnalysis) -> Feet | None:
    """The stage reduced to its loose feet; None where none carries anything, or the piece is in people's hands."""
    answer = stage.solved
    if stage.fitted.carried_at or not isinstance(answer, Solved):
        return None
    carries = {stage.case.model.hub_names[int(hub)] for hub in answer.stage.ends.ravel()}
    feet = [foot for foot in stage.fitted.stands_on if foot in carries and foot in stage.feet]
    return feet_of(answer, footing_of(stage.case.design.ground, feet)) if feet else None


def _quiet(number: int, foot: str) -> FootDemand:
    """A foot that asks nothing: what stands on it is carried, falls, or is no more than the hub itself."""
    return FootDemand(str(number), foot, 0.0, 0.0, 0.0, under="weight", from_deg=None, lifts=False, slips=False,
                      must_hold_up_n=0.0, must_hold_side_n=0.0)
