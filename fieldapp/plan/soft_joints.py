"""What would help where joints turn (ball nodes, lashings, one bolt): how stiff they must be, or which hubs to prop.

A frame of hinges may stand by its geometry and still fold on the way up, or buckle where it is flat. Only what was
tried on every stage that gives way is told.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from fieldapp.base.said import Number, Row, Said, Value, say
from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.plan.bounds import stability_limit
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.judge import Judged
from fieldapp.plan.stages import Fitted, StageAnalysis, analysis, fitted_after
from fieldapp.statics.stiffness import Unstable

STIFFEST_NM_RAD = 1e5
"""Joints are not asked to be stiffer [N m/rad]. Source: our choice, far beyond wood and plates.
Test: tests/plan/test_soft_joints.py"""
SOFTEST_NM_RAD = 1.0
"""Nor is less asked for [N m/rad]. Source: our choice. Test: tests/plan/test_soft_joints.py"""
NEAR_ENOUGH = 1.05
"""Stiffness is found to this factor, from above, and rounded up [1]. Source: our choice.
Test: tests/plan/test_soft_joints.py"""
MOST_PROPS = 3
"""More props at one stage are no help [1]. Source: our choice. Test: tests/plan/test_soft_joints.py"""
PROPPED = 10
"""Hubs that are tried: those that move most, and the newest [1]. Source: our choice.
Test: tests/plan/test_soft_joints.py"""
MOST_STEPS = 4
"""Steps whose props are named (in no formula)."""


@dataclass(frozen=True, slots=True)
class JointHelp:
    """What would make a way of raising stand whose joints turn."""

    stands_whole: bool
    """Whether the finished frame stands by itself as it is, joints as they are."""
    by_geometry: bool
    """Whether geometry alone holds it, so that hinges would do."""
    stiffness_nm_rad: float | None
    """With joints of this stiffness both ways no stage gives way; None if not even the stiffest do."""
    props: tuple[tuple[int, tuple[str, ...]], ...] | None
    """Step → fewest hubs to prop besides those held, for every step that gives way; None if a few do not help."""

    @property
    def runs(self) -> tuple[tuple[int, int, tuple[str, ...]], ...]:
        """(first step, last step, hubs) of each run of steps with the same props."""
        found: list[tuple[int, int, tuple[str, ...]]] = []
        for step, hubs in self.props or ():
            if found and found[-1][1:] == (step - 1, hubs):
                found[-1] = found[-1][0], step, hubs
            else:
                found.append((step, step, hubs))
        return tuple(found)

    @property
    def said(self) -> Said:
        """In words, as the end of "What would help:"; what was not tried is said to be so."""
        return say("{help}. Whether a piece put together flat and lifted whole would do is not computed",
                   help=self._tried)

    @property
    def _tried(self) -> Said:
        ways: list[Value] = []
        if self.stiffness_nm_rad is not None:
            ways.append(say("stiffer joints, of at least {stiffness} both ways",
                            stiffness=Number(self.stiffness_nm_rad, None, "N m/rad")))
        if self.props:
            ways.append(say("props: {props}", props=Row(tuple(map(_run_words, self.runs)), between="; ",
                                                        most=MOST_STEPS)))
        if not ways:
            return say("another kind of joint, thicker struts, or a smaller frame: neither stiffer joints nor a few "
                       "props make it stand")
        found = Row(tuple(ways), between="; or ")
        return say("{ways}. Finished it stands by itself", ways=found) if self.stands_whole else \
            say("{ways}. Finished it does not stand by itself either", ways=found)


def _run_words(run: tuple[int, int, tuple[str, ...]]) -> Said:
    first, last, hubs = run
    if first == last:
        return say("after step {step} under {hubs}", step=first, hubs=Row(hubs, last=True))
    return say("from step {first} to {last} under {hubs}", first=first, last=last, hubs=Row(hubs, last=True))


def help_for_joints(case: Case, judged: Judged) -> JointHelp | None:
    """What would help a way that gives way because its joints turn; None where they do not, or it does not.

    Source: (P23). Test: tests/plan/test_soft_joints.py
    """
    if not judged.breaks or not case.design.hub.held_by.member.springs:
        return None
    plan = judged.plan
    weak = {row.step: replace(fitted_after(plan, row.step), held=row.holds)
            for row in judged.rows if row.verdict.value < 1.0}
    whole = analysis(case, fitted_after(plan, len(plan.steps)))
    return JointHelp(whole.stands and not whole.breaks, not whole.mechanisms,
                     stiffness_that_stands(case, tuple(weak.values())), _props(case, weak))


def stiffness_that_stands(case: Case, stages: Sequence[Fitted]) -> float | None:
    """The least stiffness both ways with which none of some stages gives way, rounded up to two figures [N m/rad].

    Notes
    -----
    Stiffer joints are taken to be no worse: found by halving the range.
    """
    low, high = math.log(SOFTEST_NM_RAD), math.log(STIFFEST_NM_RAD)
    worst = list(stages)

    def stands(log: float) -> bool:
        stiffer = _with_joints(case, math.exp(log))
        at = next((at for at, fitted in enumerate(worst) if _gives_way(_alone(stiffer, fitted))), None)
        if at is not None:
            worst.insert(0, worst.pop(at))
        return at is None

    if not stands(high):
        return None
    while high - low > math.log(NEAR_ENOUGH):
        middle = (low + high) / 2
        low, high = (low, middle) if stands(middle) else (middle, high)
    size = 10.0 ** (math.floor(high / math.log(10)) - 1)
    return math.ceil(math.exp(high) / size) * size


def _with_joints(case: Case, stiffness_nm_rad: float) -> Case:
    """The same kit with other joints."""
    design: Design = case.design
    hub = design.hub.model_copy(update={"stiffness_out_nm_rad": stiffness_nm_rad,
                                        "stiffness_in_nm_rad": stiffness_nm_rad})
    return case_of(build_kit(design.model_copy(update={"hub": hub})))


def _alone(case: Case, fitted: Fitted) -> StageAnalysis:
    """On its supports if it stands so, else with what the plan holds."""
    alone = analysis(case, replace(fitted, held=()))
    return alone if alone.stands or not fitted.held else analysis(case, fitted)


def _props(case: Case, stages: dict[int, Fitted]) -> tuple[tuple[int, tuple[str, ...]], ...] | None:
    """For every step the fewest hubs to prop; None if some step asks for too many."""
    found = []
    before: tuple[str, ...] = ()
    for step, fitted in stages.items():
        hubs = fewest_props(case, fitted, prefer=before)
        if hubs is None:
            return None
        found.append((step, hubs))
        before = hubs
    return tuple(found)


def fewest_props(case: Case, fitted: Fitted, prefer: Sequence[str] = ()) -> tuple[str, ...] | None:
    """The fewest hubs whose props, besides those held, keep a stage from giving way; None if a few do not.

    Parameters
    ----------
    prefer : sequence of str
        Hubs that are propped already: taken first if they do.
    """
    if prefer and _stands(case, fitted, prefer):
        return tuple(prefer)
    tried = tuple(_movers(case, fitted))
    for size in range(1, MOST_PROPS + 1):
        for hubs in combinations(tried, size):
            if _stands(case, fitted, hubs):
                return tuple(sorted(hubs))
    return None


def _stands(case: Case, fitted: Fitted, props: Sequence[str]) -> bool:
    """Whether a stage bears its weight with these props; what costs little is asked first."""
    stage = analysis(case, replace(fitted, held=(*fitted.held, *props)))
    return not _gives_way(stage) and not stage.breaks


def _gives_way(stage: StageAnalysis) -> bool:
    """Whether arms, tubes or stability give way under 1.35 × weight, feet where they are."""
    if isinstance(stage.solved, Unstable) or max(stage.design_utilisation, stage.design_tube[1]) > 1.0:
        return True
    return stability_limit(stage.solved, 1.0).value < 1.0


def _movers(case: Case, fitted: Fitted) -> Iterator[str]:
    """Hubs above the ground that move most as it gives way, then the newest."""
    stage = analysis(case, fitted)
    moved = list(stage.solved.hubs) if isinstance(stage.solved, Unstable) else []
    free = [hub for hub in dict.fromkeys((*moved, *reversed(fitted.hubs)))
            if hub not in fitted.stands_on and hub not in fitted.held]
    yield from free[:PROPPED]
