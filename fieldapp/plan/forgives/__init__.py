"""What a whole frame forgives: somebody who hangs from it, a ladder, any one strut or hub lost.

`what_it_forgives` goes on step by step, so that a page can show what is known and other questions are not kept waiting.
"""

from collections.abc import Iterator
from dataclasses import replace

from fieldapp.plan.case import Case
from fieldapp.plan.forgives.hang import hang_limits, ladder_limits, pull_n
from fieldapp.plan.forgives.lost import alike, lost_parts, whole
from fieldapp.plan.forgives.record import Forgives, Lost
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.plan.telling import tell


def what_it_forgives(case: Case, plan: Plan) -> Iterator[Forgives]:
    """What is known so far, after each step; the last one has `to_do` 0.

    Parameters
    ----------
    case : Case
    plan : Plan
        Its last stage is the whole frame.
    """
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    intact, weakest = whole(stage)
    hang = hang_limits(stage)
    found = Forgives(hang, ladder_limits(stage), intact, pull_n=pull_n(stage, hang))
    if not intact.stands:
        yield found
        return
    groups = alike(stage)
    left = sum(map(len, groups))
    yield _with(found, (), left)
    lost: tuple[Lost, ...] = ()
    for number, more in enumerate(lost_parts(stage, groups, weakest), start=1):
        lost, left = (*lost, *more), left - len(more)
        tell("a part lost", number, len(groups))
        yield _with(found, lost, left)


def _with(found: Forgives, lost: tuple[Lost, ...], left: int) -> Forgives:
    """The same with the losses worked out so far, by place."""
    ordered = sorted(lost, key=lambda each: each.place)
    return replace(found, struts=tuple(each for each in ordered if each.place.startswith("S")),
                   hubs=tuple(each for each in ordered if each.place.startswith("H")), to_do=left)
