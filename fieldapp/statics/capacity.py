"""What a hub arm can take: from section and strength, or from the maker's own break tests."""

import math
from dataclasses import dataclass, replace

from fieldapp.base.duration import SHORTEST, lasting_share
from fieldapp.base.errors import StaticsError
from fieldapp.frame.design import Design
from fieldapp.statics.break_tests import ArmTest, arm_test
from fieldapp.statics.make import Make, make_of
from fieldapp.statics.untested import is_hinged

TORSION_SHARE = 0.5
"""Twist of an arm ÷ what it can take, against its arm use: no more than this in any stage tried [1].
Source: our choice, a bound by number (S25). Test: tests/statics/test_torsion.py"""


@dataclass(frozen=True, slots=True)
class ArmCapacity:
    """Design resistance of one arm: axial force, moment out of and within the hub's plane."""

    axial_n: float
    out_nmm: float
    in_nmm: float
    source: str
    """Where it comes from, in words."""
    lasting: float = 1.0
    """Share of it that the weight alone may use for as long as the frame stands."""


def arm_capacity(design: Design) -> ArmCapacity:
    """Design resistance of the arms of this design.

    Break tests in the design win; then the maker's own design strength; then characteristic strength
    × k_mod / γ_M (EN 1995-1-1 2.4.3) for the raising's service class and short duration. An own design strength is
    taken as one for short loads.

    Source: (S19): EN 1990 D.7.2; EN 1995-1-1 2.4.3. Test: tests/statics/test_capacity.py

    Raises
    ------
    StaticsError
        If a strength is not above zero, or the break tests cannot be evaluated.
    """
    make, raising = make_of(design), design.raising
    found = beside_torsion(_from_tests(make, _design_test(design, make)) if design.hub.test_loads_n else
                           _from_strength(make, raising.service_class))
    pull_n = joint_pull_n(design) if design.strength.hubs == "unknown" and is_hinged(design) else None
    if pull_n is not None:      # pressed no harder than it was pulled: nothing else is known of it
        found = replace(found, axial_n=min(found.axial_n, pull_n))
    return replace(found, lasting=lasting_share(make.arm_material.family, raising.service_class, raising.stands))


def beside_torsion(capacity: ArmCapacity) -> ArmCapacity:
    """What is left for axial force and bending of a flat arm that is twisted as well.

    Source: (S25): von Mises, EN 1993-1-1 6.2.1 (5); `TORSION_SHARE`. Test: tests/statics/test_torsion.py
    """
    left = 1.0 / math.sqrt(1.0 + TORSION_SHARE**2)
    return replace(capacity, axial_n=capacity.axial_n * left, out_nmm=capacity.out_nmm * left,
                   in_nmm=capacity.in_nmm * left)


def _design_test(design: Design, make: Make) -> ArmTest:
    """The break tests of the design, at the conditions of the raise."""
    hub = design.hub
    if hub.test_lever_mm is None:
        raise StaticsError(f"hub.test_loads_n holds {len(hub.test_loads_n)} break loads but hub.test_lever_mm is "
                           f"missing; give the distance in mm from the arm's root to the load")
    factor = make.arm_material.design_factor(design.raising.service_class, SHORTEST)
    return arm_test(hub.test_loads_n, hub.test_lever_mm, known_scatter=hub.test_scatter, factor=factor)


def _from_tests(make: Make, test: ArmTest) -> ArmCapacity:
    """Out of plane as tested; in plane and axially by the same stress, plywood at most its own along the arm.

    In its plane a panel is pulled along one edge and pressed along the other: how it bends flat says less of that.

    Source: (S19). Test: tests/statics/test_capacity.py
    """
    stress = test.design_moment_nmm / make.arm.modulus_out_mm3
    own = min(make.arm_material.tension_mpa, make.arm_material.compression_mpa) * test.factor
    return ArmCapacity(
        axial_n=min(stress, own) * make.arm.area_mm2,
        out_nmm=test.design_moment_nmm,
        in_nmm=(min(stress, own) if make.arm_material.family == "plywood" else stress) * make.arm.modulus_in_mm3,
        source=f"{test.count} break tests ({'at most half of the lowest' if test.few else 'EN 1990 D.7.2'})",
    )


def _from_strength(make: Make, service_class: int) -> ArmCapacity:
    """Section × design strength; plywood in its plane bears what it bears along the arm, of pull and pressure the less.

    Source: (S19). Test: tests/statics/test_capacity.py
    """
    of, arm = make.arm_material, make.arm
    own = make.arm_strength_mpa
    if own is not None and not own > 0:
        raise StaticsError(f"hub.design_strength_mpa must be above 0, got {own:g}; leave the line out to use "
                           f"the strength of {of.name}")
    factor = of.design_factor(service_class, SHORTEST)
    bending = of.bending_mpa * factor if own is None else own
    axial = min(of.tension_mpa, of.compression_mpa) * factor if own is None else own
    source = f"{of.name} × k_mod / γ_M" if own is None else "own design strength"
    edgewise = axial if of.family == "plywood" else bending
    return ArmCapacity(axial * arm.area_mm2, bending * arm.modulus_out_mm3, edgewise * arm.modulus_in_mm3, source)


def joint_pull_n(design: Design) -> float | None:
    """Pull along a strut that its joint bears, design value for short loads [N]; None where nobody tested one.

    A plug that nothing pins holds nothing that could be counted on; what a pinned or bolted one holds only a test says.
    The lower k_mod / γ_M of what is joined.

    Source: (S32): EN 1990 D.7.2 as (S19). Test: tests/plan/test_joint_bounds.py
    """
    if not design.hub.pull_test_n:
        return None
    made = make_of(design)
    factor = min(of.design_factor(design.raising.service_class, SHORTEST)
                 for of in (made.arm_material, made.tube_material))
    return arm_test(design.hub.pull_test_n, 1.0, factor=factor).design_moment_nmm
