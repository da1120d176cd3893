"""The plain order: ring by ring from the ground, clockwise from the front mark."""

from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.plan.assemble import plan_of_placements
from fieldapp.plan.doorway import places_left_out
from fieldapp.plan.plan import Plan
from fieldapp.plan.planner import way_plan
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
    """The plan that the crew follows: the way that the design chooses, or the recommended one."""
    way = design.raising.way
    return way_plan(kit, RING_BY_RING if way == "recommended" else way)
