"""Whether parts of one kit may stand in at another: as large, of the same stuff, no weaker, no less known.

The limits of the kit that takes a part are worked out for its own parts; they stay the least only where whatever
stands in bears at least as much. Sizes must therefore be the same, and strength no less; lengths and directions are
held to the tolerance that holds inside a kit. What is not known of a part never stands in for what is known.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from fieldapp.base.errors import RaisebookError
from fieldapp.base.remembered import remembered
from fieldapp.base.said import Said, say
from fieldapp.frame.design import Design
from fieldapp.kit.hub_sizes import insertion_depth_mm
from fieldapp.kit.interchange import arm_directions
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.standing_in import fits_class
from fieldapp.reports.readiness.making import ClassKey
from fieldapp.statics.capacity import arm_capacity, joint_pull_n
from fieldapp.statics.make import Make, make_of, with_section
from fieldapp.statics.untested import hubs_untested, struts_untested

SAME_SIZE_MM = 0.05
"""Sizes of sections that differ by less are the same [mm].
Source: our choice, what a calliper tells. Test: tests/reports/pool/test_alike.py"""
SAME_STIFF = 0.01
"""Stiffness that differs by less is the same [1]. Source: our choice, rounding of answers.
Test: tests/reports/pool/test_alike.py"""
MORE_MASS = 0.05
"""A part may be so much heavier [1]: 1.35 on the weight has room for it.
Source: our choice. Test: tests/reports/pool/test_alike.py"""
LEAST_STRENGTH = 1.0 - 1e-9
"""Strength, as a share of what it stands in for; 1 but for rounding (in no formula)."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Which parts of a kit may stand in for a class of another."""

    places: frozenset[str] = frozenset()
    """Those made for these places."""
    spares: frozenset[str] = frozenset()
    """Those made for no place, of these classes."""
    why: Said | None = None
    """What is in the way of all the others."""

    def has(self, part: Part) -> bool:
        """True if this part may."""
        return part.made_for in self.places if part.made_for is not None else \
            part.part_class in self.spares and not part.arms


@remembered(128, by=lambda of, here, key: (of.design, here.design, key))
def alike(of: Kit, here: Kit, key: ClassKey) -> Alike:
    """Which parts of the kit `of` may stand in for class `key` of the kit `here`.

    Source: our choice: no size, strength or knowledge less. Test: tests/reports/pool/test_alike.py
    """
    why: Said | None = None
    places, spares = set[str](), set[str]()
    for name in _classes(of, key):
        made = _differs(of, here, (key[0], name), key)
        own = [(part.made_for, part) for part in of.by_place.values()
               if (part.kind, part.part_class) == (key[0], name)]
        for place, part in (*own, (None, _spare(of, key[0], name))):
            found = fits_class(here, key, arms=arm_directions(of, part) if part.kind == "hub" else (),
                               cut_length_mm=part.cut_length_mm) or made
            if found is not None:
                why = found if why is None or found is made else why
            elif place is None:
                spares.add(name)
            else:
                places.add(place)
    return Alike(frozenset(places), frozenset(spares), None if places or spares else why)


def _spare(of: Kit, kind: str, name: str) -> Part:
    """A part of a class made for no place."""
    first = next(part for part in of.by_place.values() if (part.kind, part.part_class) == (kind, name))
    return Part("", first.kind, 0, name, None, first.mass_kg, first.cut_length_mm)


def _classes(of: Kit, key: ClassKey) -> Iterator[str]:
    placed = {part.part_class for part in of.by_place.values() if part.kind == key[0]}
    yield from sorted(placed)


def _differs(of: Kit, here: Kit, key_of: ClassKey, key: ClassKey) -> Said | None:
    """What is in the way apart from directions and lengths; a design that gives no numbers stands in for nothing."""
    try:
        if key[0] == "hub":
            return _hub_differs(of.design, here.design)
        return _strut_differs(_as_strut(of, key_of), _as_strut(here, key))
    except RaisebookError as error:
        return say("what it bears cannot be worked out: {why}", why=error.message)


def _as_strut(kit: Kit, key: ClassKey) -> Design:
    return with_section(kit.design, kit.frame.strut_class(key[1]).section)


def _hub_differs(of: Design, here: Design) -> Said | None:
    if of.hub.joint != here.hub.joint:
        return say("it holds its struts otherwise")
    tolerance_mm = here.frame.tolerance_mm
    if abs(of.hub.reach_mm - here.hub.reach_mm) > tolerance_mm or \
            abs(insertion_depth_mm(of) - insertion_depth_mm(here)) > tolerance_mm:
        return say("its arms reach further or less far")
    if not _same_sizes(of, here, ("plies", "ply_mm", "arm_depth_mm", "hole_mm")):
        return say("its arms or holes have other sizes")
    if of.hub.angle_error_deg > here.hub.angle_error_deg or of.hub.mass_kg > here.hub.mass_kg * (1.0 + MORE_MASS):
        return say("it is heavier, or made less exactly")
    if of.hub.material != here.hub.material:
        return say("it is of another material")
    if not _same_stiff(of, here, lambda make: (
            make.arm_material.youngs_modulus_mpa, make.arm_material.shear_modulus_mpa,
            make.stiffness_out_nmm_rad, make.stiffness_in_nmm_rad)):
        return say("it is stiffer or less stiff")
    if hubs_untested(of) and not hubs_untested(here):
        return say("nobody has tested what its arms bear")
    return _arms_weaker(of, here) or _joints_weaker(of, here)


def _strut_differs(of: Design, here: Design) -> Said | None:
    if of.strut.section != here.strut.section or not _same(of.strut.outer_mm, here.strut.outer_mm) or \
            not _same(of.strut.wall_mm, here.strut.wall_mm):
        return say("it is thicker or thinner")
    if of.strut.length_error_mm > here.strut.length_error_mm:
        return say("it is made less exactly")
    made, needed = make_of(of), make_of(here)
    if of.strut.material != here.strut.material:
        return say("it is of another material")
    if not _same_stiff(of, here, lambda make: (
            make.tube_material.youngs_modulus_mpa, make.tube_material.shear_modulus_mpa)):
        return say("it is stiffer or less stiff")
    if made.tube_material.density_kg_m3 > needed.tube_material.density_kg_m3 * (1.0 + MORE_MASS):
        return say("it is heavier, or made less exactly")
    if struts_untested(of) and not struts_untested(here):
        return say("nobody has tested what it bears")
    if any(getattr(made.tube_material, name) < LEAST_STRENGTH * getattr(needed.tube_material, name)
           for name in ("bending_mpa", "tension_mpa", "compression_mpa", "youngs_modulus_05_mpa")):
        return say("it bears less")
    if of.hub.joint != here.hub.joint or not _same_sizes(of, here, ("hole_mm",)):
        return say("its ends are made for other hubs")
    return _own_ends(of, here) or _joints_weaker(of, here)


def _own_ends(of: Design, here: Design) -> Said | None:
    """Ends that are the strut's own arms."""
    if here.hub.held_by.member.arm_of != "strut":
        return None
    if not _same_sizes(of, here, ("plies", "ply_mm", "arm_depth_mm")):
        return say("its arms or holes have other sizes")
    if hubs_untested(of) and not hubs_untested(here):
        return say("nobody has tested what its arms bear")
    return _arms_weaker(of, here)


def _arms_weaker(of: Design, here: Design) -> Said | None:
    """Under the conditions of the kit where it shall stand in."""
    has, needs = arm_capacity(_there(of, here)), arm_capacity(here)
    short = any(one < LEAST_STRENGTH * other for one, other in (
        (has.axial_n, needs.axial_n), (has.out_nmm, needs.out_nmm), (has.in_nmm, needs.in_nmm),
        (has.lasting, needs.lasting)))
    return say("its arms bear less") if short else None


def _joints_weaker(of: Design, here: Design) -> Said | None:
    needs = joint_pull_n(here)
    if needs is None:
        return None
    has = joint_pull_n(_there(of, here))
    if has is None:
        return say("nobody has pulled its joints apart")
    return say("its joints bear less") if has < LEAST_STRENGTH * needs else None


def _there(of: Design, here: Design) -> Design:
    """As damp, and as long, as where it shall stand in."""
    return of.model_copy(update={"raising": here.raising})


def _same_sizes(of: Design, here: Design, names: tuple[str, ...]) -> bool:
    return all(_same(getattr(of.hub, name), getattr(here.hub, name)) for name in names)


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= SAME_SIZE_MM


def _same_stiff(of: Design, here: Design, values: Callable[[Make], tuple[float, ...]]) -> bool:
    pairs = zip(values(make_of(of)), values(make_of(here)), strict=True)
    return all(abs(one - other) <= SAME_STIFF * abs(other) for one, other in pairs)
