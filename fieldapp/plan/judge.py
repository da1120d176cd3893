"""A way of raising judged: every stage of it, the steps told what they ask of the crew, struts let in between hubs."""

from dataclasses import dataclass, field, replace
from typing import Literal

from fieldapp.base.said import Row, Said, say
from fieldapp.plan.assemble import plan_of_steps
from fieldapp.plan.bounds import with_fit
from fieldapp.plan.case import Case
from fieldapp.plan.closing import closing_words
from fieldapp.plan.firm import breaks_soon, stage_after, surely, worst_found
from fieldapp.plan.foot_needs import PegsSoFar
from fieldapp.plan.limits import limit_cautions, step_limits
from fieldapp.plan.motions import motions_by_step
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.spreading import spread_limits
from fieldapp.plan.stage_row import StageRow, breaking_words, broken, fit_words
from fieldapp.plan.stages import StageAnalysis, fitted_after
from fieldapp.plan.supports import supports_of
from fieldapp.plan.telling import tell
from fieldapp.statics.causes import what_helps
from fieldapp.statics.feet.records import FootDemand
from fieldapp.statics.governs import LAG, LOW_HUB, SPREAD, UNKNOWN, UNTESTED, Governs, Limit
from fieldapp.statics.untested import as_known, is_untested
from fieldapp.statics.wind import WindLimit

Depth = Literal["whole", "till it breaks", "weight"]
"""How far a way is judged: all that is told with its steps; that only until a stage breaks, then whether and how much
the others do, so that the worst is known; or only this. Of a long plan that breaks one stage is enough for both."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A plan with its stages."""

    plan: Plan
    rows: tuple[StageRow, ...]
    """Of every stage; of a long plan that breaks, if no more was asked, of one that does."""
    feet: tuple[FootDemand, ...] = ()
    """What every foot does to the ground at every stage, in their order."""
    stages: list[StageAnalysis] = field(default_factory=list, repr=False, compare=False)
    """Every stage of a small frame with its answers, until they were asked for the wind."""
    given: Plan | None = field(default=None, repr=False, compare=False)
    """The plan as it was given, if limits and uses were not worked out for every step of it."""

    @property
    def worst(self) -> StageRow:
        """The stage that bears the least, in its design weight."""
        return max(self.rows, key=lambda row: row.worst)

    @property
    def breaks(self) -> bool:
        """True if an arm, a tube or the whole is computed to give way under the weight at some stage."""
        return self.worst.breaks


def judge(case: Case, plan: Plan, *, depth: Depth = "whole") -> Judged:
    """Judge every stage of a plan and write limits and cautions into its steps.

    Parameters
    ----------
    case : Case
    plan : Plan
        With holds, as `planner.way_plans` gives it.
    depth : str
        How far; a stage that was not looked at whole is given as bearing no push and no low hub.

    Returns
    -------
    Judged
        Its plan is the same one with limits, uses, cautions, and the feet to hold.
    """
    if depth != "whole" and breaks_soon(case, plan):
        return _marked(Judged(plan, (_worst_found(case, plan),), given=plan))
    counts = [motions.count for motions in motions_by_step(case.frame, plan.steps)]
    rows: list[StageRow] = []
    steps: list[Step] = []
    stages: list[StageAnalysis] = []
    pegs = PegsSoFar(case.frame, case.design.ground.which_feet)
    whole = depth != "weight"
    for number, step in enumerate(plan.steps, start=1):
        stage = pegs.pegged(stage_after(case, plan, number), number)
        whole = whole and (depth == "whole" or not stage.breaks)
        row = _row(case, step, stage, counts[number - 1])
        row = _looked(row, stage) if whole else row
        rows.append(row)
        stages += [stage] if sum(row.struts for row in rows) <= _MOST_KEPT else []
        steps.append(_told(case, plan, stage, row) if whole else step)
        tell(plan.way, number, len(plan.steps))
    told = replace(plan_of_steps(case.frame, plan.way, steps), peggings=pegs.peggings(steps))
    found = Judged(told, tuple(rows), tuple(pegs.demands), stages, None if whole else plan)
    return _marked(found) if found.breaks else found


def _worst_found(case: Case, plan: Plan) -> StageRow:
    """The row of a stage that is sure to break, with what it bears at most."""
    number = worst_found(case, plan)
    stage = stage_after(case, plan, number)
    return replace(_row(case, plan.steps[number - 1], stage, stage.mechanisms), verdict=surely(case, plan, number))


_MOST_KEPT = 4_000
"""Struts of all stages that are kept together, about 22 kB each (in no formula)."""


def _marked(judged: Judged) -> Judged:
    """Its plan says that it breaks, and what would help."""
    worst = judged.worst
    return replace(judged, plan=replace(judged.plan, breaks=broken(worst), helps=what_helps(worst.verdict.governs)))


def _row(case: Case, step: Step, stage: StageAnalysis, mechanisms: int) -> StageRow:
    restraints = sum(len(rows) for rows in supports_of(case.frame, step).values())
    return StageRow(
        step=step.number, hub=step.hub, hubs=len(stage.fitted.hubs), struts=len(stage.tied), mechanisms=mechanisms,
        self_stress=len(stage.tied) + restraints - 3 * len(stage.fitted.hubs) + mechanisms, holds=step.holds,
        stands=not stage.fitted.held, weakest=stage.weight_utilisation, design_utilisation=stage.design_utilisation,
        arm_utilisation_weight=stage.weight_utilisation.utilisation,
        level=Limit(LAG if step.carried_at else LOW_HUB, 0.0, "", Governs(UNKNOWN)),
        max_displacement_mm=stage.max_displacement_mm, tube_utilisation=stage.tube[1],
        tube=stage.design_tube[0], verdict=stage.verdict, to_peg=stage.asks_for_pegs,
        small_rotations=stage.small_rotations, with_fit=with_fit(stage.verdict, stage.bearing))


def _looked(row: StageRow, stage: StageAnalysis) -> StageRow:
    """The row with what costs more to know than the verdict."""
    return replace(row, level=as_known(stage.case.design, stage.lag))


def _told(case: Case, plan: Plan, stage: StageAnalysis, row: StageRow) -> Step:
    """The step with its limits, uses and cautions."""
    step = plan.steps[row.step - 1]
    tested = not is_untested(case.design)
    spread = spread_limits(case, plan, row.step) if tested else \
        {item.strut: Limit(SPREAD, 0.0, item.strut, Governs(UNTESTED)) for item in step.struts if item.closes}
    struts = tuple(replace(item, spread_limit=spread.get(item.strut)) for item in step.struts)
    told = replace(step, struts=struts, limits=step_limits(stage, step), use_weight=row.arm_utilisation_weight,
                   lean_n=case.design.crew.push_n,
                   joints_tested=all(case.design.joints_tested), strength_tested=tested)
    return replace(told, cautions=cautions(told, row))


def cautions(step: Step, row: StageRow) -> tuple[Said, ...]:
    """What can go wrong at a step, with numbers; the gravest first."""
    found = breaking_words(row)
    if not row.small_rotations and not row.breaks:
        found.append(say("It gives so much under its own weight that our numbers end here: prop it before anybody "
                         "works on it."))
    found += fit_words(row) if step.strength_tested else []
    if not row.stands and step.holds:
        held = Row(step.holds)
        found.append(say("It stands only while {hubs} is held: do not let go.", hubs=held) if len(step.holds) == 1 else
                     say("It stands only while {hubs} are held: do not let go.", hubs=held))
    return (*found, *limit_cautions(step), *closing_words(step))


def wind_limits(case: Case, judged: Judged) -> tuple[WindLimit | None, ...]:
    """The wind that each bare stage bears; None while it is carried, has no strut, or nobody has tested its parts."""
    if is_untested(case.design):
        judged.stages.clear()
        return (None,) * len(judged.plan.steps)
    found: list[WindLimit | None] = []
    for number in range(1, len(judged.plan.steps) + 1):
        found.append(_again(case, judged, number).wind)
        tell("wind limits", number, len(judged.plan.steps))
    judged.stages.clear()
    return tuple(found)


def _again(case: Case, judged: Judged, number: int) -> StageAnalysis:
    """The stage after a step as it was judged, if it is still there with the same feet held; else anew."""
    kept = judged.stages[number - 1] if number <= len(judged.stages) else None
    pegged = fitted_after(judged.plan, number).pegged
    if kept is None:
        return stage_after(case, judged.plan, number)
    return kept if kept.fitted.pegged == pegged else kept.with_pegs(pegged)
