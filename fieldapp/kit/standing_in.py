"""Whether a part of another kit is as those of a class here: by the rule of the classes, within the same tolerance."""

from collections.abc import Sequence

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.base.said import Number, Said, say
from fieldapp.frame import patterns
from fieldapp.frame.frame import FloatArray
from fieldapp.kit.kit import Kit, PartKind

ROUNDING_MM = 1e-3
"""Lengths that differ by less are equal but for rounding [mm].
Source: our choice, far below what a saw can tell. Test: tests/kit/test_standing_in.py"""


def fits_class(kit: Kit, key: tuple[PartKind, str], *, arms: Sequence[tuple[float, float]],
               cut_length_mm: float | None) -> Said | None:
    """What is in the way of a part standing in for those of a class; None if it is as they are.

    Parameters
    ----------
    kit : Kit
        Where it shall stand in.
    key : (kind, class)
    arms : sequence of (float, float)
        Of a hub: direction clockwise and dip of each arm, as it is marked. [deg]
    cut_length_mm : float, optional
        Of a strut. [mm]

    Notes
    -----
    As inside a kit: with every place of the class it makes one class, no gap or dip of an arm and no length being
    further off than the tolerance of the frame, in its own hand. Sizes and strength are asked elsewhere.
    """
    kind, name = key
    if kind == "strut":
        return _length_off(kit, name, cut_length_mm)
    own = patterns.pattern_of(*np.array(arms, dtype=float).reshape(-1, 2).T) if arms else np.zeros((0, 2))
    tolerance_deg, places = kit.design.frame.tolerance_deg, _patterns_of(kit, name)
    if all(patterns.matches(own, place, tolerance_deg) for place in places):
        return None
    if len(own) != len(places[0]):
        return say("{has} arms where {needed} belong", has=len(own), needed=len(places[0]))
    if all(patterns.matches(patterns.mirrored(own), place, tolerance_deg) for place in places):
        return say("mirror image of this hub")
    off_deg = max(float(np.abs(patterns.turns(own) - place).max(axis=(1, 2)).min()) for place in places)
    return say("its arms point up to {deg}° elsewhere", deg=Number(off_deg, 2))


def _length_off(kit: Kit, name: str, cut_length_mm: float | None) -> Said | None:
    if cut_length_mm is None:
        return say("it has no cut length")
    both_mm = 2.0 * kit.design.hub.reach_mm
    lengths = [strut.centre_length_mm - both_mm for strut in kit.frame.struts if strut.strut_class == name]
    off_mm = max((cut_length_mm - length for length in lengths), key=abs)
    if abs(off_mm) <= kit.design.frame.tolerance_mm + ROUNDING_MM:
        return None
    size = Number(abs(off_mm), 0 if abs(off_mm) >= 10.0 else 1)
    return say("{mm} mm too long", mm=size) if off_mm > 0.0 else say("{mm} mm too short", mm=size)


@remembered(64, by=lambda kit, name: (kit.design, name))
def _patterns_of(kit: Kit, name: str) -> tuple[FloatArray, ...]:
    """Arm patterns of the places of a class, each once."""
    found: dict[bytes, FloatArray] = {}
    for hub in kit.frame.hubs:
        if hub.hub_class == name:
            pattern = patterns.pattern_of(np.array([arm.azimuth_deg for arm in hub.arms]),
                                          np.array([arm.dip_deg for arm in hub.arms]))
            found[patterns.first_reading(pattern).round(6).tobytes()] = pattern
    return tuple(found.values())
