"""An arm that goes into a strut's end: into a tube's bore, into a slot of a solid pole, from both ends."""

import math
from collections.abc import Iterator
from dataclasses import replace

from fieldapp.base.said import Number, Row, Value, say
from fieldapp.frame.struts import table_of
from fieldapp.kit.building.record import STEP_MM, Building, Hindrance, answers, least, most
from fieldapp.kit.hub_sizes import HubSizes, dips

LEAST_CHEEK_MM = 2.0
"""Wood that must be left on either side of a slot [mm].
Source: common practice, no source. Test: tests/kit/test_building.py"""

LOOSE_MM = 4.0
"""Difference of bores that packing of one arm makes up for, 2 mm on either side [mm]. Source: our choice.
Test: tests/kit/test_sections.py"""

WIDEST_MM = 500.0
"""Tubes and poles are not looked for beyond this, as the design file asks [mm]. Source: our choice.
Test: tests/kit/test_building.py"""


def off_axis_mm(of: Building, sizes: HubSizes) -> float:
    """How far a strut's axis lies beside the middle of its arm at most, all struts meeting in one point [mm].

    Source: (D4). Test: tests/kit/test_building.py
    """
    return max(max(abs(each.at_mouth_mm), abs(each.at_tip_mm))
               for hub in of.frame.hub_classes for each in dips(hub, sizes))


def steepest_deg(of: Building) -> float:
    """The largest dip of an arm [deg]."""
    return max(dip for hub in of.frame.hub_classes for dip in hub.dips_deg)


def _askew_mm(of: Building, sizes: HubSizes) -> float:
    """The same if each arm is packed by itself, so that the axis crosses it in the middle of its depth [mm].

    Source: (D4). Test: tests/kit/test_building.py
    """
    return max(each.wedge_mm for hub in of.frame.hub_classes for each in dips(hub, sizes)) / 2


def bore_needed_mm(of: Building, sizes: HubSizes) -> float:
    """Inner diameter that the arms need with their packing [mm]."""
    return of.fit.bore_mm(sizes.width_mm, sizes.thickness_mm, off_axis_mm(of, sizes))


def bore(of: Building) -> Iterator[Hindrance]:
    """Whether an arm goes into a tube, at the dip that it must have."""
    strut, sizes = of.design.strut, of.sizes
    if not of.plugs or strut.wall_mm is None:
        return
    have, need = strut.outer_mm - 2.0 * strut.wall_mm, bore_needed_mm(of, sizes)
    if need <= have:
        return
    askew = _askew_mm(of, sizes)
    refuses = of.fit.bore_mm(sizes.width_mm, sizes.thickness_mm, askew) > have
    values: dict[str, Value] = {
        "width": Number(sizes.width_mm, None), "thickness": Number(sizes.thickness_mm, None),
        "need": Number(math.ceil(10 * need) / 10, 1), "have": Number(math.floor(10 * have) / 10, 1),
        "dip": Number(steepest_deg(of), 1), "answers": _for_bore(of, need, have)}
    yield Hindrance("bore", refuses, say(
        "An arm of {width} × {thickness} mm needs {need} mm of bore at its dip of {dip}°, the tubes have {have} mm: it "
        "cannot be pushed in. What would fit: {answers}.", **values) if refuses else say(
        "An arm of {width} × {thickness} mm needs {need} mm of bore at its dip of {dip}°, the tubes have {have} mm: it "
        "goes in only if every arm is packed by itself, and then the struts' axes miss each other by up to {off} mm. "
        "What would fit: {answers}.", **values, off=Number(off_axis_mm(of, sizes) - askew, 1)))


def loose(of: Building) -> Iterator[Hindrance]:
    """One size of arm for tubes of different bores: what goes into the narrowest rocks in the widest."""
    sections = ((name, of.design.section(name)) for name in of.frame.sections)
    bores = sorted((strut.outer_mm - 2 * strut.wall_mm, name) for name, strut in sections if strut.wall_mm is not None)
    if not of.plugs or not bores or bores[-1][0] - bores[0][0] <= LOOSE_MM:
        return
    (narrow, tight), (wide, slack) = bores[0], bores[-1]
    strut = of.design.section(slack)
    yield Hindrance("loose", True, say(
        "All arms of hubs are one size, {width} × {thickness} mm, but the tubes of [{tight}] have {narrow} mm of bore "
        "and those of [{slack}] {wide} mm: an arm that goes into the first rocks in the second, and bears nothing of "
        "what would be computed. Allowed are {most} mm between them, for packing. What would fit: {answers}, or "
        "joint = \"bolted end\", whose ends are the struts' own.",
        width=Number(of.sizes.width_mm, None), thickness=Number(of.sizes.thickness_mm, None), tight=table_of(tight),
        slack=table_of(slack), narrow=Number(narrow, 1), wide=Number(wide, 1), most=Number(LOOSE_MM, None),
        answers=answers(**{f"{table_of(slack)}__wall_mm": math.ceil(5 * (strut.outer_mm - narrow - LOOSE_MM)) / 10})))


def _for_bore(of: Building, need_mm: float, have_mm: float) -> Row:
    """Narrower arms, wider tubes, arms that sit less deep, but not less than half of what was meant."""
    off, sizes = off_axis_mm(of, of.sizes), of.sizes

    def narrow(width_mm: float) -> bool:
        return of.fit.bore_mm(width_mm, sizes.thickness_mm, off) <= have_mm

    def shallow(depth_mm: float) -> bool:
        return bore_needed_mm(of, replace(sizes, insertion_mm=depth_mm)) <= have_mm

    outer = of.design.strut.outer_mm
    return of.answers(hub__arm_depth_mm=most(narrow, STEP_MM, sizes.width_mm),
                   strut__outer_mm=least(lambda mm: mm >= outer + need_mm - have_mm, outer, WIDEST_MM),
                   raising__insertion_depth_mm=most(shallow, sizes.insertion_mm / 2, sizes.insertion_mm))


def slot(of: Building) -> Iterator[Hindrance]:
    """What a slot for the arm, sawn askew by the dip, leaves of a solid pole."""
    strut, sizes = of.design.strut, of.sizes
    if not of.plugs or strut.wall_mm is not None:
        return
    cheek = cheek_mm(of, sizes)
    if cheek >= LEAST_CHEEK_MM:
        return
    refuses = sizes.thickness_mm >= strut.outer_mm
    values: dict[str, Value] = {
        "thickness": Number(sizes.thickness_mm, None), "outer": Number(strut.outer_mm, None),
        "cheek": Number(max(cheek, 0.0), 1), "least": Number(LEAST_CHEEK_MM, None),
        "dip": Number(steepest_deg(of), 1), "answers": _for_slot(of)}
    yield Hindrance("slot", refuses, say(
        "Arms are {thickness} mm thick, the solid poles {outer} mm: a slot for such an arm leaves nothing of them. "
        "What would fit: {answers}.", **values) if refuses else say(
        "A slot for an arm of {thickness} mm at its dip of {dip}° leaves {cheek} mm of a pole of {outer} mm where its "
        "wood is thinnest; common practice wants {least} mm. Sleeve or bind the ends, and break some such joints "
        "before you trust them. What would fit: {answers}.", **values))


def cheek_mm(of: Building, sizes: HubSizes) -> float:
    """Wood that is left on the thinner side of the slot [mm]; below zero the slot breaks out of the pole.

    Source: (D4). Test: tests/kit/test_building.py
    """
    return (of.design.strut.outer_mm - sizes.thickness_mm) / 2 - off_axis_mm(of, sizes)


def _for_slot(of: Building) -> Row:
    """Thicker poles; thinner layers and arms that sit less deep, but not less than half of what was meant."""
    strut, sizes, plies = of.design.strut, of.sizes, of.design.hub.plies
    lacking = LEAST_CHEEK_MM - cheek_mm(of, sizes)

    def shallow(depth_mm: float) -> bool:
        return cheek_mm(of, replace(sizes, insertion_mm=depth_mm)) >= LEAST_CHEEK_MM

    thin = sizes.thickness_mm - 2 * lacking
    return of.answers(strut__outer_mm=least(lambda mm: mm >= strut.outer_mm + 2 * lacking, strut.outer_mm, WIDEST_MM),
                   hub__ply_mm=most(lambda mm: mm * plies <= thin, of.design.hub.ply_mm / 2, of.design.hub.ply_mm),
                   raising__insertion_depth_mm=most(shallow, sizes.insertion_mm / 2, sizes.insertion_mm))


def depth(of: Building) -> Iterator[Hindrance]:
    """Whether the arms at both ends of the shortest strut have room in it, and any hold at all."""
    if not of.plugs:
        return
    sits, (shortest, _longest) = of.sizes.insertion_mm, of.cuts_mm
    if sits == 0.0:
        yield Hindrance("depth", True, say(
            "raising.insertion_depth_mm is 0: an arm that does not sit in its strut holds nothing. What would fit: "
            "{answers}.",
            answers=of.answers(raising__insertion_depth_mm=of.fit.depth_mm(of.design.hub.reach_mm, None))))
    if 2 * sits > shortest:
        yield Hindrance("depth", True, say(
            "Arms sit {sits} mm deep at both ends, but strut {letter} is only {cut} mm long: they would meet in it. "
            "What would fit: {answers}, or a larger frame.", sits=Number(sits, None), cut=Number(shortest, 1),
            letter=of.frame.strut_classes[0].letter,
            answers=of.answers(raising__insertion_depth_mm=most(lambda mm: 2 * mm <= shortest, STEP_MM, sits))))
