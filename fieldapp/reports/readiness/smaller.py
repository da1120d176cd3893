"""The same frame with its lowest levels left off: what could be raised with the parts that are there."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from fieldapp.base.said import Said, Value, say
from fieldapp.frame.cuts import FULL, rim_row
from fieldapp.frame.design import FrameSection
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Part
from fieldapp.log.state import State
from fieldapp.plan.assemble import Placement, plan_of_placements
from fieldapp.plan.case import Case
from fieldapp.plan.doorway import with_struts
from fieldapp.plan.plan import Plan
from fieldapp.plan.planner import with_help
from fieldapp.plan.ways import by_levels, levels
from fieldapp.reports.parts.own_numbers import Strength
from fieldapp.reports.readiness.outfit import Outfit, outfit

FEWEST_LEVELS = 3
"""Fewer levels are no frame to stand under [1]. Source: our choice. Test: tests/reports/readiness/test_readiness.py"""


@dataclass(frozen=True, slots=True, eq=False)
class SmallerFrame:
    """What is left of the frame above some level, closed all round: a doorway is not left open."""

    name: Value
    """"4/9", or what is left off."""
    hubs: int
    struts: int
    rim: tuple[str, ...]
    """Hub places that then stand on the ground; their lower arms stay empty."""
    uneven_mm: float
    """By how much these differ in height: the low ones stand on the ground, the others on blocks."""
    below_mm: float
    """How far their empty arms reach below their centres: no hub may stand lower than that above the ground."""
    outfit: Outfit


def smaller_frame(case: Case, state: State, parts: Iterable[Part], *,
                  strengths: Mapping[str, Strength]) -> SmallerFrame | None:
    """The largest frame that all parts are there for and that stands level by level at every step; else None."""
    parts = tuple(parts)
    for off in range(1, case.frame.level_count - FEWEST_LEVELS + 1):
        plan = smaller_plan(case, off)
        found = outfit(case, plan, state, parts=parts, strengths=strengths)
        if found.fits:
            return _record(case, off, found)
    return None


def smaller_plan(case: Case, off: int) -> Plan:
    """Level by level from the level above the lowest `off`, which then rests on the ground."""
    frame, design = case.frame, case.design
    below = [hub.name for hub in frame.hubs if hub.level <= off]
    left_out = with_struts(frame, (*below, *design.raising.leave_out))
    plan = plan_of_placements(frame, by_levels(frame), _placements(frame, left_out), left_out=left_out)
    return with_help(plan, frame, design)


def _placements(frame: Frame, left_out: tuple[str, ...]) -> Iterator[Placement]:
    order = levels(frame, left_out)
    low_mm = min(float(frame.position_mm(name)[2]) for name in order[0])
    rim: tuple[str, ...] = ()
    for number, level in enumerate(order):
        for name in level:
            rim = (*rim, name) if number == 0 else rim
            yield Placement(name, stands_on=rim, lowered_mm=low_mm)


def _record(case: Case, off: int, found: Outfit) -> SmallerFrame:
    frame = case.frame
    rim = tuple(hub.name for hub in frame.level(off + 1) if hub.name in found.plan.step_of)
    heights_mm = [float(frame.position_mm(name)[2]) for name in rim]
    hubs = sum(place in frame.hub_index for place in found.plan.step_of)
    name = _without(off) if frame.drawn else cut_name(case.design.frame, off, hubs)
    return SmallerFrame(name, hubs, len(found.plan.step_of) - hubs, rim,
                        max(heights_mm) - min(heights_mm), _below_mm(case, rim, found), found)


def _below_mm(case: Case, rim: tuple[str, ...], found: Outfit) -> float:
    """The deepest end of an arm that carries no strut, below its hub."""
    frame, reach_mm = case.frame, case.design.hub.reach_mm
    empty = [(hub, frame.strut(arm.strut).end(3 - arm.end).hub) for hub in rim for arm in frame.hub(hub).arms
             if arm.strut not in found.plan.step_of]
    lines = [frame.position_mm(far) - frame.position_mm(hub) for hub, far in empty]
    return max((-reach_mm * float(line[2] / np.linalg.norm(line)) for line in lines), default=0.0)


def _without(off: int) -> Said:
    """What is left off a frame that is no cut of a sphere."""
    return say("the frame without its lowest level") if off == 1 else \
        say("the frame without its lowest {n} levels", n=off)


def cut_name(section: FrameSection, off: int, hubs: int) -> Value:
    """The trade's name of the cut that is left, if the rows of the sphere are the rings.

    Examples
    --------
    >>> [in_words(cut_name(FrameSection(frequency=4, cut="1/2"), 1, hubs)) for hubs in (71, 70)]
    ['5/12', 'the frame without its lowest ring']
    """
    plain = say("the frame without its lowest ring") if off == 1 else \
        say("the frame without its lowest {n} rings", n=off)
    if section.cut.strip() == FULL:
        return plain
    frequency = section.frequency
    row = rim_row(frequency, section.cut) - off
    in_cap = 1 + sum(5 * min(number, frequency) for number in range(1, row + 1))
    return str(Fraction(row, 3 * frequency)) if 0 < row <= 2 * frequency and in_cap == hubs else plain


def smaller_said(smaller: SmallerFrame) -> Said:
    """"the 5/12 frame (71 hubs, 190 struts)"."""
    sizes = {"name": smaller.name, "hubs": smaller.hubs, "struts": smaller.struts}
    if isinstance(smaller.name, str):
        return say("the {name} frame ({hubs} hubs, {struts} struts)", **sizes)
    return say("{name} ({hubs} hubs, {struts} struts)", **sizes)
