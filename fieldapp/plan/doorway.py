"""Which places stay empty: the doorway at the front mark and what the design leaves out."""

import math
from collections.abc import Iterable

from fieldapp.base.errors import PlanError
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame, HubPlace
from fieldapp.plan.assemble import other_hub

HEAD_HEIGHT_MM = 1900.0
"""Opening that a standing adult walks through without ducking [mm].
Source: common practice, no source. Test: tests/plan/test_order.py"""


def places_left_out(frame: Frame, design: Design) -> tuple[str, ...]:
    """Hub and strut places that the design leaves empty, each hub with all its struts.

    Raises
    ------
    PlanError
        If `raising.leave_out` names a place that the frame does not have.
    """
    named = list(design.raising.leave_out)
    for place in named:
        if place not in frame.hub_index and place not in frame.strut_index:
            raise PlanError(f"raising.leave_out names {place}, which is no place of this frame; hubs run from "
                            f"{frame.hubs[0].name} to {frame.hubs[-1].name}, struts from {frame.struts[0].name} "
                            f"to {frame.struts[-1].name}")
    if design.frame.doorway:
        named.append(doorway_hub(frame).name)
    return with_struts(frame, named)


def with_struts(frame: Frame, places: Iterable[str]) -> tuple[str, ...]:
    """`places` and every strut of the hubs among them, without repeats."""
    found: dict[str, None] = {}
    for place in places:
        found[place] = None
        if place in frame.hub_index:
            found.update((arm.strut, None) for arm in frame.hub(place).arms)
    return tuple(found)


def doorway_hub(frame: Frame) -> HubPlace:
    """The hub nearest the front mark whose absence opens the frame from the ground up to head height.

    Leaving out a hub opens the hole between its neighbours. Among the hub of each level that is nearest
    the front mark, the lowest one whose hole reaches head height is taken; if none does, the one whose
    hole reaches highest. A hole must start at the ground: a neighbour, or the hub itself, is a ground hub.
    """
    nearest = [min(frame.level(level), key=lambda hub: _off_front(frame, hub)) for level in range(1, frame.level_count)]
    from_ground = [hub for hub in nearest if hub.on_ground or any(frame.hub(n).on_ground for n in _around(frame, hub))]
    tall = [hub for hub in from_ground if _hole_top_mm(frame, hub) >= HEAD_HEIGHT_MM]
    if tall:
        return tall[0]
    return max(from_ground or list(frame.level(1)), key=lambda hub: _hole_top_mm(frame, hub))


def _off_front(frame: Frame, hub: HubPlace) -> tuple[float, int]:
    """Angle from the front mark in plan [rad], ties to the lower number."""
    x_mm, y_mm, _ = frame.position_mm(hub.name)
    return round(abs(math.atan2(x_mm - frame.centre_mm[0], frame.centre_mm[1] - y_mm)), 6), hub.number_in_level


def _around(frame: Frame, hub: HubPlace) -> tuple[str, ...]:
    return tuple(other_hub(frame.strut(arm.strut), hub.name) for arm in hub.arms)


def _hole_top_mm(frame: Frame, hub: HubPlace) -> float:
    """Height of the highest neighbour: the lintel of the hole [mm]."""
    return max(float(frame.position_mm(name)[2]) for name in _around(frame, hub))
