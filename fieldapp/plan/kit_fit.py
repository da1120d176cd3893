"""Fit-up of a kit raised ring by ring: what its tolerances do, worked out once for booklet and terminal."""

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import case_of
from fieldapp.plan.fitup import FitUp, fit_up
from fieldapp.plan.order import level_order
from fieldapp.plan.planner import with_help


@remembered(2, by=lambda kit: kit.design)
def kit_fit(kit: Kit) -> FitUp:
    """As `fitup.fit_up`, which says what it raises."""
    return fit_up(case_of(kit), with_help(level_order(kit.frame, kit.design), kit.frame, kit.design))
