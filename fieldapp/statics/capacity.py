"""What a hub arm can take: from section and strength, or from the maker's own break tests."""

from dataclasses import dataclass

from fieldapp.base.errors import StaticsError
from fieldapp.base.materials import Duration
from fieldapp.frame.design import Design
from fieldapp.statics.break_tests import ArmTest, arm_test
from fieldapp.statics.make import Make, make_of

RAISING: Duration = "short"
"""Load duration of a raise: less than a week, own weight included while the stage stands.
Source: EN 1995-1-1 Table 2.2. Test: tests/statics/test_capacity.py"""


@dataclass(frozen=True, slots=True)
class ArmCapacity:
    """Design resistance of one arm: axial force, moment out of and within the hub's plane."""

    axial_n: float
    out_nmm: float
    in_nmm: float
    source: str
    """Where it comes from, in words."""


def arm_capacity(design: Design) -> ArmCapacity:
    """Design resistance of the arms of this design.

    Break tests in the design win; then the maker's own design strength; then characteristic strength
    × k_mod / γ_M (EN 1995-1-1 2.4.3) for the raising's service class and short duration.

    Source: (S19): EN 1990 D.7.2; EN 1995-1-1 2.4.3. Test: tests/statics/test_capacity.py

    Raises
    ------
    StaticsError
        If a strength is not above zero, or the break tests cannot be evaluated.
    """
    make = make_of(design)
    if design.hub.test_loads_n:
        return _from_tests(make, _design_test(design, make))
    return _from_strength(make, design.raising.service_class)


def _design_test(design: Design, make: Make) -> ArmTest:
    """The break tests of the design, at the conditions of the raise."""
    hub = design.hub
    if hub.test_lever_mm is None:
        raise StaticsError(f"hub.test_loads_n holds {len(hub.test_loads_n)} break loads but hub.test_lever_mm is "
                           f"missing; give the distance in mm from the arm's root to the load")
    factor = make.arm_material.design_factor(design.raising.service_class, RAISING)
    return arm_test(hub.test_loads_n, hub.test_lever_mm, known_scatter=hub.test_scatter, factor=factor)


def _from_tests(make: Make, test: ArmTest) -> ArmCapacity:
    """Out of plane as tested; in plane and axially by the same stress, axially at most the material's own.

    Source: (S19). Test: tests/statics/test_capacity.py
    """
    stress = test.design_moment_nmm / make.arm.modulus_out_mm3
    own = min(make.arm_material.tension_mpa, make.arm_material.compression_mpa) * test.factor
    return ArmCapacity(
        axial_n=min(stress, own) * make.arm.area_mm2,
        out_nmm=test.design_moment_nmm,
        in_nmm=stress * make.arm.modulus_in_mm3,
        source=f"{test.count} break tests ({'at most half of the lowest' if test.few else 'EN 1990 D.7.2'})",
    )


def _from_strength(make: Make, service_class: int) -> ArmCapacity:
    """Section × design strength."""
    of, arm = make.arm_material, make.arm
    own = make.arm_strength_mpa
    if own is not None and not own > 0:
        raise StaticsError(f"hub.design_strength_mpa must be above 0, got {own:g}; leave the line out to use "
                           f"the strength of {of.name}")
    factor = of.design_factor(service_class, RAISING)
    bending = of.bending_mpa * factor if own is None else own
    axial = min(of.tension_mpa, of.compression_mpa) * factor if own is None else own
    source = f"{of.name} × k_mod / γ_M" if own is None else "own design strength"
    return ArmCapacity(axial * arm.area_mm2, bending * arm.modulus_out_mm3, bending * arm.modulus_in_mm3, source)
