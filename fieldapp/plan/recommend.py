"""The way to take, found without planning and judging more ways than needed."""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field

from fieldapp.plan.case import Case
from fieldapp.plan.compare import WayReport, effort_of, effort_rank, judged_orders, way_report
from fieldapp.plan.judge import breaks_somewhere
from fieldapp.plan.plan import Plan
from fieldapp.plan.planner import way_names, way_outlines, with_holds


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
    """The best way: of those that break no arm the one with the least effort; if all break, simply that one.

    What must be held is costly to find and only adds to the effort, so a way is planned in full when its
    lower bound is the least of all, and judged when its true effort is.
    """
    waiting = [_Waiting(_rank(case, orders), number, held=False, orders=orders)
               for number, orders in enumerate(way_outlines(case.kit, way) for way in way_names(case.kit.design))]
    heapq.heapify(waiting)
    first: WayReport | None = None
    while waiting:
        way = heapq.heappop(waiting)
        if not way.held:
            orders = with_holds(case.kit, way.orders)
            heapq.heappush(waiting, _Waiting(_rank(case, orders[:1]), way.number, held=True, orders=orders))
        elif first is None or not all(breaks_somewhere(case, plan) for plan in way.orders):
            report = way_report(case.kit, judged_orders(case, way.orders))
            if not report.judged.breaks:
                return report
            first = first or report
    assert first is not None  # there is at least one way
    return first


def _rank(case: Case, orders: Sequence[Plan]) -> tuple[bool, int, int, float, float]:
    people = case.design.crew.people
    return min(effort_rank(effort_of(case.kit, plan), people) for plan in orders)
