"""Arms that no flat hub can hold: one behind the other, or straight out of its plane."""

from collections.abc import Iterator

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import Frame, HubPlace

LEAST_GAP_DEG = 5.0
"""Between neighbouring arms as seen from outside [degrees].
Source: our choice; arms 10 mm wide meet only 115 mm from the centre. Test: tests/frame/given/test_shapes.py"""
MOST_DIP_DEG = 75.0
"""Of an arm out of the hub's plane, either way [degrees].
Source: our choice; beyond it an arm's direction in the plane says next to nothing. Test:
tests/frame/given/test_shapes.py"""
MOST_TOLD = 6
"""Hubs told one by one (in no formula)."""


def refuse_hidden_arms(frame: Frame) -> None:
    """DesignError naming the hubs whose arms hide each other, or stand straight out.

    Raises
    ------
    DesignError
        With the struts, and what to do.
    """
    told = [text for hub in frame.hubs for text in _hidden(frame, hub)]
    if told:
        more = f" … and {len(told) - MOST_TOLD} more." if len(told) > MOST_TOLD else ""
        raise DesignError("\n".join(told[:MOST_TOLD]) + more + f"\nHubs are plates that are looked at from "
                          f"{frame.seen_from} (drawing.seen_from): such arms cannot be cut, numbered or pushed on. "
                          f"Look from another side, draw the frame without these struts, or have hubs with holes from "
                          f"every side: hub.joint = \"ball node\".")


def _hidden(frame: Frame, hub: HubPlace) -> Iterator[str]:
    for arm in hub.arms:
        if abs(arm.dip_deg) > MOST_DIP_DEG:
            yield f"{hub.name}: {arm.strut} stands {abs(arm.dip_deg):.0f}° out of the plane of the hub."
    for arm, following in zip(hub.arms, hub.arms[1:] + hub.arms[:1], strict=True):
        gap_deg = (following.azimuth_deg - arm.azimuth_deg) % 360.0
        if len(hub.arms) > 1 and gap_deg < LEAST_GAP_DEG:
            yield f"{hub.name}: {arm.strut} and {following.strut} lie {gap_deg:.1f}° apart, one behind the other."
