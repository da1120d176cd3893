"""Round the hub's centre: arms of a sheet that run into each other, strut ends that want the same room."""

import math
from collections.abc import Callable, Iterator, Sequence

from fieldapp.base.said import Number, Row, row, say_n
from fieldapp.frame.frame import HubClass
from fieldapp.kit.building.record import STEP_MM, Building, Hindrance, least, most
from fieldapp.kit.hub_sizes import HubSizes, nearest_deg, root_along_mm, run_together, struts_touch

MOST_NAMED = 6
"""Hub classes named one by one (in no formula)."""


def plate(of: Building) -> Iterator[Hindrance]:
    """Arms too broad for the angle between them are one with their neighbours where their struts should end."""
    classes = of.frame.hub_classes
    together = [each for each in classes if run_together(each, of.sizes)] \
        if of.design.hub.held_by.workshop.sheet else []
    if not together:
        return
    yield Hindrance("plate", True, say_n(
        "Hub class {names}: arms run into each other up to {far} mm from the centre, but the struts end at {reach} mm. "
        "What would fit: {answers}.",
        "Hub classes {names}: arms run into each other up to {far} mm from the centre, but the struts end at {reach} "
        "mm. What would fit: {answers}.", len(together), names=_names(together),
        far=Number(max(max(root_along_mm(each, of.sizes)) for each in together)),
        reach=Number(of.sizes.reach_mm, None), answers=of.answers(
            hub__reach_mm=_longer(of, lambda sizes: not any(run_together(each, sizes) for each in classes)),
            hub__arm_depth_mm=most(lambda mm: not any(run_together(each, of.with_hub(arm_depth_mm=mm))
                                                      for each in classes), STEP_MM, of.sizes.width_mm))))


def touch(of: Building) -> Iterator[Hindrance]:
    """Struts too thick for the angle between them meet before they are home; where all meet at the centre, they may.

    What is meant where struts go on to the hub's centre (reach 0) is laid beside each other and lashed.
    """
    classes, outer = of.frame.hub_classes, of.design.strut.outer_mm
    if of.design.hub.held_by.every_way:
        yield from _touch_in_space(of)
        return
    touching = [each for each in classes if struts_touch(each, of.sizes, outer)]
    if not touching or of.sizes.reach_mm == 0:
        return
    yield Hindrance("touch", False, say_n(
        "Hub class {names}: the ends of neighbouring struts of {outer} mm meet where arms are {gap}° apart: taper or "
        "mitre them. What would fit as it is: {answers}.",
        "Hub classes {names}: the ends of neighbouring struts of {outer} mm meet where arms are {gap}° apart: taper or "
        "mitre them. What would fit as it is: {answers}.", len(touching), names=_names(touching),
        outer=Number(outer, None), gap=Number(min(min(each.gaps_deg) for each in touching), 1), answers=of.answers(
            hub__reach_mm=_longer(of, lambda sizes: not any(struts_touch(each, sizes, outer) for each in classes)),
            strut__outer_mm=most(lambda mm: not any(struts_touch(each, of.sizes, mm) for each in classes),
                                 STEP_MM, outer))))


def _touch_in_space(of: Building) -> Iterator[Hindrance]:
    """The same of arms that point anywhere: by the least angle between any two, and in earnest: no taper helps."""
    classes, outer = of.frame.hub_classes, of.design.strut.outer_mm
    gap = {each.name: nearest_deg(each) for each in classes}

    def fits(reach_mm: float, outer_mm: float) -> bool:
        return all(outer_mm / 2 <= reach_mm * math.tan(math.radians(each) / 2) for each in gap.values())

    touching = [each for each in classes
                if outer / 2 > of.sizes.reach_mm * math.tan(math.radians(gap[each.name]) / 2)]
    if touching:
        yield Hindrance("touch", True, say_n(
            "Hub class {names}: the ends of struts of {outer} mm want the same room where two of them are {gap}° "
            "apart. What would fit: {answers}.",
            "Hub classes {names}: the ends of struts of {outer} mm want the same room where two of them are {gap}° "
            "apart. What would fit: {answers}.", len(touching), names=_names(touching), outer=Number(outer, None),
            gap=Number(min(gap.values()), 1), answers=of.answers(
                hub__reach_mm=least(lambda mm: fits(mm, outer), of.sizes.reach_mm, of.shortest_mm / 2 - STEP_MM),
                strut__outer_mm=most(lambda mm: fits(of.sizes.reach_mm, mm), STEP_MM, outer))))


def _names(found: Sequence[HubClass]) -> Row:
    return row([each.name for each in found], most=MOST_NAMED)


def _longer(of: Building, fits: Callable[[HubSizes], bool]) -> float | None:
    """The least reach that fits and leaves something of the shortest struts."""
    most_mm = min(of.frame.strut_classes[0].centre_length_mm, of.shortest_mm) / 2
    return least(lambda mm: fits(of.with_hub(reach_mm=mm)), of.sizes.reach_mm, most_mm - STEP_MM)
