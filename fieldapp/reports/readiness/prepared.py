"""The statics that reports on one plan share: computed once for a design and a plan, whatever the log says."""

from dataclasses import dataclass, field
from functools import lru_cache

from fieldapp.frame.design import Design
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.plan import Plan
from fieldapp.reports.standing.demand import Demand, demand


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """What `readiness` and `breakage_map` take as `case` and `asked`."""

    case: Case
    """Of sound parts."""
    asked: Demand
    """Of every place, over all stages of the plan."""


def prepared(kit: Kit, plan: Plan) -> Prepared:
    """Kept for the last few plans, so that a page which asks again does not wait.

    Raises
    ------
    StaticsError, DesignError
        If sizes, materials or break tests of the design give no answer.
    """
    return _prepared(_Question(kit.design, plan, kit))


@dataclass(frozen=True, slots=True)
class _Question:
    """Kits of equal designs have equal answers."""

    design: Design
    plan: Plan
    kit: Kit = field(compare=False)


@lru_cache(maxsize=4)
def _prepared(question: _Question) -> Prepared:
    case = case_of(question.kit)
    return Prepared(case, demand(case, question.plan))
