"""Lengths: what must be sawn beyond the table, stock that is too short for it, classes wider than the work allows."""

import math
from collections.abc import Iterator

import numpy as np

from fieldapp.base.materials import material
from fieldapp.base.said import Number, Value, say
from fieldapp.frame.classes import strut_classes
from fieldapp.kit.building.record import STEP_MM, Building, Hindrance, least, most

EDGE_OF_METAL, END_OF_METAL = 1.2, 1.2
"""Least distances of a hole's middle from the edge and from the end of metal, in holes [1].
Source: EN 1993-1-8 Table 3.3, public copy. Test: tests/kit/test_building.py"""
EDGE_OF_WOOD, END_OF_WOOD = 4.0, 7.0
"""The same of wood, from a loaded edge and a loaded end; taken for paper too [1].
Source: our choice, as EN 1995-1-1 Table 8.4 has it in bolts. Test: tests/kit/test_building.py"""


def _in_holes(of: Building) -> tuple[float, float]:
    """Least distances from edge and end for the struts' material."""
    metal = material(of.design.strut.material).family in ("steel", "aluminium")
    return (EDGE_OF_METAL, END_OF_METAL) if metal else (EDGE_OF_WOOD, END_OF_WOOD)


def hole(of: Building) -> Iterator[Hindrance]:
    """Whether the bolt's hole keeps off the edges of an end: half the tube's girth wide, of a rod as wide as it is."""
    strut, hole_mm = of.design.strut, of.design.hub.hole_mm
    if of.design.hub.held_by.member.arm_of != "strut" or hole_mm is None:
        return
    edge, wall = _in_holes(of)[0], strut.wall_mm

    def width_mm(outer_mm: float) -> float:
        return outer_mm if wall is None else math.pi / 2 * (outer_mm - wall)

    have, need = width_mm(strut.outer_mm), 2 * edge * hole_mm
    if need <= have:
        return
    yield Hindrance("hole", False, say(
        "A hole of {hole} mm wants an end {need} mm wide, {edge} holes to either edge from its middle; flattened ends "
        "are {have} mm wide, so that bolts tear out sooner than computed. What would fit: {answers}.",
        hole=Number(hole_mm, None), need=Number(math.ceil(10 * need) / 10, 1), edge=Number(edge, None),
        have=Number(math.floor(10 * have) / 10, 1), answers=of.answers(
            hub__hole_mm=most(lambda mm: 2 * edge * mm <= have, STEP_MM, hole_mm),
            strut__outer_mm=least(lambda mm: width_mm(mm) >= need, strut.outer_mm, 10 * need))))


def ends(of: Building) -> Iterator[Hindrance]:
    """Ends of the strut that go on to the hub's centre are no part of the lengths in the tables; nor of solid rods."""
    design, (_, longest) = of.design, of.cuts_mm
    if design.hub.held_by.member.arm_of != "strut":
        return
    beyond, tip = 2 * design.hub.reach_mm, 2 * _in_holes(of)[1] * (design.hub.hole_mm or 0.0)
    values: dict[str, Value] = {
        "beyond": Number(beyond, None), "cut": Number(longest, 1), "sawn": Number(longest + beyond, 1),
        "letter": of.frame.strut_classes[-1].letter, "stock": Number(design.strut.stock_mm, None)}
    whole = longest + beyond + tip
    if whole > design.strut.stock_mm:
        needed = least(lambda mm: mm >= whole, design.strut.stock_mm, 10 * whole)
        yield Hindrance("stock", True, say(
            "Strut {letter} is {cut} mm long between its bends and {sawn} mm from bolt to bolt, but the stock has "
            "{stock} mm. What would fit: {answers} and what stands beyond the holes, or a smaller frame.",
            **values, answers=of.answers(strut__stock_mm=needed)))
    yield Hindrance("ends", False, say(
        "Lengths in the tables, the cut list and the cutting plan are those of the round part: from hole to hole every "
        "strut is {beyond} mm longer, and what stands beyond the holes comes on top. Add both before you buy and saw: "
        "bars are counted without them.", **values))
    if tip:
        yield Hindrance("tips", False, say(
            "Leave at least {tip} mm beyond the middle of every hole.", tip=Number(math.ceil(tip / 2), 0)))
    if design.strut.wall_mm is None:
        yield Hindrance("rod", False, say(
            "The ends of solid rods cannot be flattened: halve them with a saw so that they lie flat, and break some "
            "such ends before you trust them. What would fit as it is: strut.section = \"tube\"."))


def classes(of: Building) -> Iterator[Hindrance]:
    """Struts that are taken together although the frame wants them apart by more than the saw may err."""
    design = of.design
    lengths = np.array([place.centre_length_mm for place in of.frame.struts])
    mean = {each.letter: each.centre_length_mm for each in of.frame.strut_classes}
    off = np.abs(lengths - [mean[place.strut_class] for place in of.frame.struts])
    worst, allowed = float(off.max()), design.strut.length_error_mm
    if worst <= allowed + SAME_MM:
        return
    letter = of.frame.struts[int(off.argmax())].strut_class
    inside = lengths[[place.strut_class == letter for place in of.frame.struts]]
    finer = 2 * allowed
    refuses = of.plugs and worst >= of.sizes.insertion_mm
    values: dict[str, Value] = {
        "letter": letter, "least": Number(float(inside.min()), 1), "most": Number(float(inside.max()), 1),
        "off": Number(worst, 1), "allowed": Number(allowed, None), "finer": f"frame.tolerance_mm = {finer:g}",
        "sits": Number(of.sizes.insertion_mm, None), "n": len(strut_classes(lengths, finer)[0])}
    yield Hindrance("strut classes", refuses, say(
        "Struts {letter} are sawn to one length although their places are {least} to {most} mm long from hub to hub: "
        "one is up to {off} mm off, and arms sit only {sits} mm deep. What would fit: {finer}, with {n} lengths.",
        **values) if refuses else say(
        "Struts {letter} are sawn to one length although their places are {least} to {most} mm long from hub to hub: "
        "one is up to {off} mm off, more than the {allowed} mm by which the saw may err, and what does not fit is "
        "locked into the arms. What would fit: {finer}, with {n} lengths.", **values))


SAME_MM = 1e-3
"""Errors that differ by less are one [mm]. Source: our choice, far below what a saw can tell.
Test: tests/kit/test_building.py"""


def hub_classes(of: Building) -> Iterator[Hindrance]:
    """Hubs that are taken together although their arms differ by more than a workshop may err."""
    found = {each.name: 0.0 for each in of.frame.hub_classes}
    for name in found:
        arms = [hub.arms for hub in of.frame.hubs if hub.hub_class == name]
        dips = np.sort([[arm.dip_deg for arm in each] for each in arms], axis=1)
        turned = np.sort([np.diff([*(arm.azimuth_deg for arm in each), each[0].azimuth_deg + 360.0]) for each in arms],
                         axis=1)
        found[name] = float(max(np.ptp(dips, axis=0).max(initial=0.0), np.ptp(turned, axis=0).max(initial=0.0)))
    name = max(found, key=lambda each: found[each])
    allowed = of.design.hub.angle_error_deg
    if found[name] / 2 <= allowed + SAME_MM:
        return
    yield Hindrance("hub classes", False, say(
        "Hubs of class {name} are cut alike although their arms differ by {apart}°: one is {off}° off, more than the "
        "{allowed}° by which an arm may err. What would fit: {answers}.", name=name, apart=Number(found[name], 2),
        off=Number(found[name] / 2, 2), allowed=Number(allowed, None),
        answers=of.answers(frame__tolerance_deg=2 * allowed)))
