"""What a whole frame forgives: somebody who hangs from it, a ladder, any one strut or hub lost.

`what_it_forgives` goes on step by step, so that a page can show what is known and other questions are not kept waiting.
"""

from collections.abc import Iterator
from dataclasses import replace

from fieldapp.base.errors import PlanError
from fieldapp.base.said import say
from fieldapp.plan.case import Case
from fieldapp.plan.forgives.hang import hang_limits, ladder_limits, pull_n
from fieldapp.plan.forgives.lost import alike, lost_parts, whole
from fieldapp.plan.forgives.record import Forgives, Lost
from fieldapp.plan.joint_bounds import least_joint_pull_n
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import StageAnalysis, analysis, fitted_after
from fieldapp.plan.telling import tell
from fieldapp.statics.limits import Limit
from fieldapp.statics.untested import untested_said


def what_it_forgives(case: Case, plan: Plan) -> Iterator[Forgives]:
    """What is known so far, after each step; the last one has `to_do` 0.

    Parameters
    ----------
    case : Case
    plan : Plan
        Its last stage is the whole frame.
    """
    said = untested_said(case.design)
    if said is not None:
        raise PlanError(say("what the whole frame forgives is unknown: {why}. Nobody hangs from it or leans a ladder "
                            "on it. Break three parts or more, write the loads into the design and make the kit again",
                            why=said))
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    intact, weakest = whole(stage)
    found = Forgives((), (), intact)
    if not intact.stands:
        yield found
        return
    groups = alike(stage)
    left = sum(map(len, groups))
    for loaded in _loads(stage, replace(found, to_do=left)):
        found = loaded
        yield found
    lost: tuple[Lost, ...] = ()
    for number, more in enumerate(lost_parts(stage, groups, weakest), start=1):
        lost, left = (*lost, *more), left - len(more)
        tell("a part lost", number, len(groups))
        yield _with(found, lost, left)


def _loads(stage: StageAnalysis, found: Forgives) -> Iterator[Forgives]:
    """Hanging, then ladders: told once all places are known."""
    yield found
    hang: tuple[Limit, ...] = ()
    for some in hang_limits(stage):
        hang = (*hang, *some)
        tell("somebody hangs", len(hang), len(stage.fitted.hubs) + len(stage.fitted.struts))
        yield found
    found = replace(found, hang=hang, pull_n=pull_n(stage, hang),
                    joint_n=least_joint_pull_n(stage.case))
    ladder: tuple[Limit, ...] = ()
    for some in ladder_limits(stage):
        ladder = (*ladder, *some)
        yield found
    yield replace(found, ladder=ladder)


def _with(found: Forgives, lost: tuple[Lost, ...], left: int) -> Forgives:
    """The same with the losses worked out so far, by place."""
    ordered = sorted(lost, key=lambda each: each.place)
    return replace(found, struts=tuple(each for each in ordered if each.place.startswith("S")),
                   hubs=tuple(each for each in ordered if each.place.startswith("H")), to_do=left)
