"""What `raisebook make` says of the raising: the way, what it needs, who cannot reach what, how parts will fit."""

from collections.abc import Iterator

from fieldapp.kit.kit import Kit
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import way_report
from fieldapp.plan.fitup import fit_up
from fieldapp.plan.order import judged_plan, ring_order
from fieldapp.plan.out_of_reach import out_of_reach
from fieldapp.plan.planner import with_help
from fieldapp.plan.words import SAFETY, listed
from fieldapp.prints.terminal.comparison import fit_lines, hours, reach_lines


def plan_lines(kit: Kit) -> Iterator[str]:
    """The lines, most asked-for first; the caution last.

    Raises
    ------
    PlanError, StaticsError
        As `plan.erection_plan`.
    """
    report = way_report(kit, judged_plan(kit, kit.design))
    effort, worst = report.effort, report.judged.worst
    yield (f"Raising: {report.way}, {len(report.judged.plan.steps)} steps, about {hours(effort.time.total_min)} with "
           f"{kit.design.crew.teams} team{'s' if kit.design.crew.teams > 1 else ''}; {report.verdict}")
    yield (f"Largest arm use by its own weight {worst.arm_use_weight:.2f}, after step {worst.step}; "
           f"hold {effort.holds_at_most} at most. All ways: raisebook compare")
    props = report.judged.plan.steps[-1].holds
    if props:
        yield (f"When all is in, the frame does not stand by itself: "
               f"hold or prop {listed(props)} for as long as it is up")
    case = case_of(kit)
    yield from reach_lines(out_of_reach(kit, case))
    yield from fit_lines(fit_up(case, with_help(ring_order(kit.frame, kit.design), kit.frame, kit.design)))
    yield ""
    yield SAFETY
