"""The plain order: ring by ring from the ground, clockwise from the front mark."""

from fieldapp.base.remembered import remembered
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.plan.assemble import plan_of_placements
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import accepted, judged_way, way_report
from fieldapp.plan.doorway import places_left_out
from fieldapp.plan.judge import Judged, wind_limits_m_s
from fieldapp.plan.plan import Plan
from fieldapp.plan.recommend import recommended
from fieldapp.plan.ways import RING_BY_RING, ring_by_ring, rings


def ring_order(frame: Frame, design: Design) -> Plan:
    """Ring by ring from the ground, each ring clockwise from the front mark.

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
    return plan_of_placements(frame, RING_BY_RING, ring_by_ring(frame, rings(frame, left_out)), left_out=left_out)


def erection_plan(frame: Frame, kit: Kit, design: Design) -> Plan:
    """The plan that the crew follows: the way that the design chooses, or the recommended one, judged.

    Raises
    ------
    PlanError
        If the chosen order cannot be followed, or breaks arms and the design does not accept that.
    StaticsError
        If the statics have no answer, e.g. for a capacity of zero.
    """
    return judged_plan(kit, design).plan


@remembered(4, by=lambda kit, design: design)
def judged_plan(kit: Kit, design: Design) -> Judged:
    """The same plan with the figures of every stage. Kept: a second call for an equal design costs nothing."""
    case = case_of(kit)
    if design.raising.way == "recommended":
        return recommended(case).judged
    report = way_report(kit, judged_way(case, design.raising.way))
    return accepted(report, accept_breaking=design.raising.accept_breaking)


@remembered(4, by=lambda kit, design: design)
def chosen_winds_m_s(kit: Kit, design: Design) -> tuple[float | None, ...]:
    """The gust that each bare stage of the same plan bears, as `judge.wind_limits_m_s`; kept like the plan. [m/s]"""
    return wind_limits_m_s(case_of(kit), judged_plan(kit, design).plan)
