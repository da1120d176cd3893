"""The plain order, level by level from the ground, clockwise from the front mark; and the way that a kit takes."""

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from fieldapp.base.remembered import remembered
from fieldapp.base.said import Said
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.plan.assemble import plan_of_placements
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.compare import (
    WayReport,
    best,
    effort_of,
    effort_rank,
    judged_orders,
    judged_way,
    refuse_breaking,
    way_report,
)
from fieldapp.plan.doorway import places_left_out
from fieldapp.plan.firm import breaks_somewhere, uses_more_alone, uses_more_somewhere
from fieldapp.plan.judge import Judged, judge, wind_limits
from fieldapp.plan.plan import Plan
from fieldapp.plan.planner import way_names, way_outlines, with_holds
from fieldapp.plan.soft_joints import help_for_joints
from fieldapp.plan.ways import RECOMMENDED, by_levels, level_by_level, levels
from fieldapp.statics.wind import WindLimit


def level_order(frame: Frame, design: Design) -> Plan:
    """Level by level from the ground, each level clockwise from the front mark.

    Parameters
    ----------
    frame : Frame
    design : Design
        `frame.doorway` and `raising.leave_out` say which places stay empty.

    Returns
    -------
    Plan
        Steps without statics: no holds, no limits.

    Raises
    ------
    PlanError
        If the design leaves out a place that does not exist, or so much that a hub would hang in the air.
    """
    left_out = places_left_out(frame, design)
    return plan_of_placements(frame, by_levels(frame), level_by_level(frame, levels(frame, left_out)),
                              left_out=left_out)


def erection_plan(kit: Kit, way: str | None = None) -> Plan:
    """The plan that the crew follows: by a way, by the one that the design chooses, or the recommended one; judged.

    One that is computed to break says so itself, see `Plan.breaks`; before a kit is made it is refused, see
    `refused_if_breaking`.

    Raises
    ------
    PlanError
        If the chosen order cannot be followed.
    StaticsError
        If the statics have no answer, e.g. for a capacity of zero.
    """
    return judged_plan(kit, way).plan


def judged_plan(kit: Kit, way: str | None = None) -> Judged:
    """The same plan with the figures of every stage. Kept: a second call for an equal design costs nothing."""
    return _judged_plan(kit, way or kit.design.raising.way)


@remembered(4, by=lambda kit, way: (kit.design, way))
def _judged_plan(kit: Kit, way: str) -> Judged:
    looked = _looked_at(kit, way).judged
    if looked.given is None:
        return looked
    judged = judge(case_of(kit), looked.given)
    return replace(judged, plan=replace(judged.plan, helps=looked.plan.helps))


@remembered(4, by=lambda kit, way: (kit.design, way))
def _looked_at(kit: Kit, way: str) -> WayReport:
    """The way that is taken with what would help; one that breaks is judged only as far as its verdict asks."""
    case = case_of(kit)
    report = _first_that_stands(case) if way == RECOMMENDED else \
        way_report(kit, judged_way(case, way, depth="whole" if case.design.raising.accept_breaking else
                                   "till it breaks"))
    judged, found = report.judged, help_for_joints(case, report.judged)
    return report if found is None else \
        replace(report, judged=replace(judged, plan=replace(judged.plan, helps=found.said)))


def refused_if_breaking(kit: Kit) -> None:
    """Refuse to make a kit whose way of raising breaks, or all of whose ways do, unless its design accepts that.

    Raises
    ------
    PlanError
        With the way, what gives way in it, and what would help.
    """
    if not kit.design.raising.accept_breaking:
        way = kit.design.raising.way
        refuse_breaking(_looked_at(kit, way), chosen=way != RECOMMENDED)


def breaking(kit: Kit, way: str) -> Said | None:
    """What a way of raising breaks, as its verdict says; None if nothing, or if the design accepts that.

    Raises
    ------
    PlanError, StaticsError
        If its order cannot be followed or the statics have no answer.
    """
    if way == RECOMMENDED or kit.design.raising.accept_breaking:
        return None
    report = _looked_at(kit, way)
    return report.verdict if report.judged.breaks else None


@remembered(4, by=lambda kit: kit.design)
def chosen_winds(kit: Kit) -> tuple[WindLimit | None, ...]:
    """The wind that each bare stage of the same plan bears, as `judge.wind_limits`; kept like the plan."""
    return wind_limits(case_of(kit), judged_plan(kit))


@dataclass(frozen=True, slots=True, order=True)
class _Waiting:
    """Orders of one way, by the least effort that they can ask."""

    rank: tuple[bool, int, int, float, float]
    number: int
    """Place in the list of ways: breaks ties."""
    held: bool = field(compare=False)
    """True once what must be held is known; until then the rank is a lower bound."""
    orders: Sequence[Plan] = field(compare=False)


def recommended(case: Case) -> WayReport:
    """The best way: of those that break nothing the one with the least effort; if all break, the least bad."""
    report = _first_that_stands(case)
    given = report.judged.given
    return report if given is None else way_report(case.kit, judge(case, given))


def _first_that_stands(case: Case) -> WayReport:
    """The same; one that breaks is looked at only as far as its verdict asks.

    What must be held is costly to find and only adds to the effort, so a way is planned in full when its
    lower bound is the least of all, and judged when its true effort is.
    """
    waiting = [_Waiting(_rank(case, orders), number, held=False, orders=orders)
               for number, orders in enumerate(way_outlines(case.kit, way) for way in way_names(case.kit))]
    heapq.heapify(waiting)
    broken: list[tuple[int, WayReport]] = []
    while waiting:
        way = heapq.heappop(waiting)
        least_bad = min((report.judged.worst.worst for _, report in broken), default=math.inf)
        if broken and not way.held and all(uses_more_alone(case, plan, least_bad) for plan in way.orders):
            continue                    # what must be held for it need not be found
        if not way.held:
            orders = with_holds(case.kit, way.orders)
            heapq.heappush(waiting, _Waiting(_rank(case, orders[:1]), way.number, held=True, orders=orders))
        elif broken and all(uses_more_somewhere(case, plan, least_bad) for plan in way.orders):
            continue                    # worse than one that breaks less
        elif broken and all(breaks_somewhere(case, plan) for plan in way.orders):
            broken.append((way.number, way_report(case.kit, judged_orders(case, way.orders, depth="weight"))))
        else:
            report = way_report(case.kit, judged_orders(case, way.orders, depth="till it breaks"))
            if not report.judged.breaks:
                return report
            broken.append((way.number, report))
    return best(report for _, report in sorted(broken, key=lambda pair: pair[0]))


def _rank(case: Case, orders: Sequence[Plan]) -> tuple[bool, int, int, float, float]:
    people = case.design.crew.people
    return min(effort_rank(effort_of(case.kit, plan), people) for plan in orders)
