"""Fit-up of a kit: what its tolerances lock in, and the gaps of the order in which it is raised."""

from dataclasses import replace

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import case_of
from fieldapp.plan.fitup import FitUp, fit_up, level_gaps
from fieldapp.plan.order import judged_plan, level_order
from fieldapp.plan.planner import with_help


@remembered(2, by=lambda kit: kit.design)
def level_fit(kit: Kit) -> FitUp:
    """Raised ring by ring; as `fitup.fit_up`, which says what it raises."""
    return fit_up(case_of(kit), with_help(level_order(kit.frame, kit.design), kit.frame, kit.design))


@remembered(2, by=lambda kit: kit.design)
def kit_fit(kit: Kit) -> FitUp:
    """The same with the gaps of the kit's own plan: which strut closes a ring is a matter of the order."""
    return replace(level_fit(kit), gaps=tuple(level_gaps(case_of(kit), judged_plan(kit).plan)))
