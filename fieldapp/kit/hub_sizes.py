"""Sizes of a flat hub that follow from the design: how far arms go, where struts end, roots, packing for the dips."""

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fieldapp.base.joints.joint import Fit
from fieldapp.frame.design import Design

ROOT_SHARE = 0.25
"""Radius between two arms, as a share of an arm's width: a sharp corner starts a crack [1].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""

CORE_SHARE = 0.5
"""The round middle takes at most this share of the way to the strut's end [1].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""

LEAST_CORE_SHARE = 0.6
"""… and at least this share of an arm's width, so that the corners of arms lie inside it [1].
Source: our choice: half would do where arms meet squarely. Test: tests/prints/workshop/test_workshop.py"""

TIP_SHARE = 0.1
"""Radius of the corners at an arm's tip, as a share of its width, so that it slips into the strut [1].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""


class ArmPattern(Protocol):
    """Arms of a hub clockwise: a hub class, or its arms."""

    @property
    def dips_deg(self) -> tuple[float, ...]:
        """Of each arm below the hub's plane [deg]."""

    @property
    def gaps_deg(self) -> tuple[float, ...]:
        """From each arm clockwise to the next [deg]."""


def insertion_depth_mm(design: Design) -> float:
    """How deep an arm sits in its strut [mm]; ends that are bolted on from the side need no depth."""
    return design.hub.held_by.fit.depth_mm(design.hub.reach_mm, design.raising.insertion_depth_mm)


@dataclass(frozen=True, slots=True)
class HubSizes:
    """One design's flat hub [mm]."""

    width_mm: float
    """Of an arm, in the sheet."""
    thickness_mm: float
    """All layers."""
    reach_mm: float
    """From hub centre to the strut's end, along the strut."""
    insertion_mm: float
    """How deep an arm sits in its strut."""
    core_mm: float
    """Radius of the round middle."""
    root_mm: float
    """Radius between arms."""
    tip_mm: float
    """Radius of the corners at an arm's tip."""

    def mouth_mm(self, dip_deg: float) -> float:
        """From the centre to the strut's end, in the plane of the sheet: reach × cos(dip) [mm]."""
        return self.reach_mm * math.cos(math.radians(dip_deg))

    def length_mm(self, dip_deg: float) -> float:
        """From the centre to the arm's tip, in the plane of the sheet [mm]."""
        return (self.reach_mm + self.insertion_mm) * math.cos(math.radians(dip_deg))

    def meeting_mm(self, arms: ArmPattern) -> float:
        """How far outside the middle of the sheet the struts' axes meet, arms in the middle of their struts [mm]."""
        middle_mm = self.reach_mm + self.insertion_mm / 2
        return sum(middle_mm * math.sin(math.radians(dip)) for dip in arms.dips_deg) / len(arms.dips_deg)


def hub_sizes(design: Design) -> HubSizes:
    """Sizes of the hubs of a design.

    Notes
    -----
    The strut's end is `reach_mm` from the hub centre, so an arm that sits in its strut is longer than that
    by the depth of insertion.
    """
    hub = design.hub
    width = hub.arm_depth_mm
    core = max(LEAST_CORE_SHARE * width, min(width, CORE_SHARE * hub.reach_mm))
    return HubSizes(width, hub.plies * hub.ply_mm, hub.reach_mm, insertion_depth_mm(design), core, ROOT_SHARE * width,
                    TIP_SHARE * width)


@dataclass(frozen=True, slots=True)
class Dip:
    """What a maker needs to give one arm's strut its dip."""

    dip_deg: float
    axial_deg: float
    """Between the strut and the hub's axis, inward [deg]."""
    drop_mm: float
    """How much further from a straight edge on the hub the strut is, `DROP_OVER_MM` further out [mm]."""
    wedge_mm: float
    """How much thicker the packing is at one end of the inserted arm than at the other [mm]."""
    at_mouth_mm: float
    """Strut's axis outside the middle of the sheet at the strut's end [mm]."""
    at_tip_mm: float
    """The same at the arm's tip; below zero is inside [mm]."""


DROP_OVER_MM = 300.0
"""Length over which a drop is measured along the straight edge [mm].
Source: our choice. Test: tests/prints/workshop/test_workshop.py"""


def dips(arms: ArmPattern, sizes: HubSizes) -> tuple[Dip, ...]:
    """Figures for every arm of a blank, in its order.

    Source: (D4). Test: tests/prints/workshop/test_workshop.py
    """
    meet_mm = sizes.meeting_mm(arms)
    return tuple(_dip(dip_deg, sizes, meet_mm) for dip_deg in arms.dips_deg)


def _dip(dip_deg: float, sizes: HubSizes, meet_mm: float) -> Dip:
    """One arm."""
    angle = math.radians(dip_deg)
    tip_mm = sizes.reach_mm + sizes.insertion_mm
    return Dip(dip_deg, 90.0 - dip_deg, DROP_OVER_MM * math.tan(angle), sizes.insertion_mm * math.sin(angle),
               meet_mm - sizes.reach_mm * math.sin(angle), meet_mm - tip_mm * math.sin(angle))


def ends_apart_mm(arms: ArmPattern, sizes: HubSizes) -> tuple[float, ...]:
    """From the middle of each strut's end to that of the next one clockwise, in the plane of the sheet [mm].

    Source: (D4). Test: tests/prints/workshop/test_workshop.py
    """
    ends = [sizes.mouth_mm(dip) for dip in arms.dips_deg]
    pairs = zip(ends, (*ends[1:], ends[0]), arms.gaps_deg, strict=True)
    return tuple(math.sqrt(a * a + b * b - 2 * a * b * math.cos(math.radians(gap))) for a, b, gap in pairs)


def bore_needed_mm(arms: ArmPattern, sizes: HubSizes, fit: Fit) -> float:
    """Inner diameter of a tube in which an arm sits straight with its packing [mm].

    Source: (D4). Test: tests/prints/workshop/test_workshop.py
    """
    off = max(max(abs(each.at_mouth_mm), abs(each.at_tip_mm)) for each in dips(arms, sizes))
    return fit.bore_mm(sizes.width_mm, sizes.thickness_mm, off)


def bending_strain(arms: ArmPattern, sizes: HubSizes, layer_mm: float) -> float:
    """Strain in the face of one layer if the free part of an arm is bent evenly to the steepest dip: t θ / (2 L).

    Source: (D4). Test: tests/prints/workshop/test_workshop.py
    """
    steepest = max(arms.dips_deg)
    free_mm = max(sizes.mouth_mm(steepest) - max(root_along_mm(arms, sizes)), 1.0)
    return layer_mm * math.radians(steepest) / (2.0 * free_mm)


def root_along_mm(arms: ArmPattern, sizes: HubSizes) -> tuple[float, ...]:
    """For every arm: how far from the centre its straight sides begin, the later of the two [mm]."""
    gaps = arms.gaps_deg
    sides = [notch_along_mm(gap, sizes) for gap in gaps]
    return tuple(max(sides[arm - 1], sides[arm]) for arm in range(len(gaps)))


def meets_core(gap_deg: float, sizes: HubSizes) -> bool:
    """Whether the roots of two neighbouring arms run into the round middle (else into each other)."""
    across, out = sizes.width_mm / 2 + sizes.root_mm, sizes.core_mm + sizes.root_mm
    return 2.0 * math.degrees(math.asin(min(1.0, across / out))) < gap_deg


def notch_along_mm(gap_deg: float, sizes: HubSizes) -> float:
    """Where the side of an arm ends at the root toward a neighbour, measured along the arm [mm].

    Source: (D3). Test: tests/prints/workshop/test_workshop.py
    """
    across = sizes.width_mm / 2 + sizes.root_mm
    if meets_core(gap_deg, sizes):
        return math.sqrt((sizes.core_mm + sizes.root_mm) ** 2 - across**2)
    return across / math.tan(math.radians(gap_deg) / 2)


def run_together(arms: ArmPattern, sizes: HubSizes) -> bool:
    """Whether some arm is not free of its neighbours where its strut ends."""
    roots = root_along_mm(arms, sizes)
    return any(root > sizes.mouth_mm(dip) for root, dip in zip(roots, arms.dips_deg, strict=True))


def nearest_deg(arms: ArmPattern) -> float:
    """The least angle in space between two arms of a hub; 180 if it has one alone [deg].

    Source: closed form, cos = t · u of unit directions. Test: tests/frame/given/test_shapes.py
    """
    turn = np.radians(np.cumsum((0.0, *arms.gaps_deg[:-1])))
    dip = np.radians(arms.dips_deg)
    along = np.column_stack((np.cos(dip) * np.sin(turn), np.cos(dip) * np.cos(turn), -np.sin(dip)))
    cosines = along @ along.T - 3.0 * np.eye(len(along))
    return float(np.degrees(np.arccos(np.clip(cosines.max(), -1.0, 1.0))))


def struts_touch(arms: ArmPattern, sizes: HubSizes, outer_mm: float) -> bool:
    """Whether the ends of neighbouring struts would share room."""
    narrow = min(arms.gaps_deg)
    return narrow < 180.0 and outer_mm / 2 > sizes.mouth_mm(max(arms.dips_deg)) * math.tan(math.radians(narrow) / 2)
