"""What a hub arm can take: from section and strength, or from the maker's own break tests as EN 1990 Annex D says."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fieldapp.base.constants import FRACTILE_FACTORS_KNOWN, FRACTILE_FACTORS_UNKNOWN, NORMAL_95
from fieldapp.base.errors import StaticsError
from fieldapp.base.materials import Duration
from fieldapp.frame.design import Design
from fieldapp.statics.make import Make, make_of

FEWEST_UNKNOWN = 3
"""Fewest break tests if the scatter is not known beforehand [1].
Source: EN 1990:2002 Table D.1 (begins there). Test: tests/reference/test_en_1990_annex_d.py"""

RAISING: Duration = "short"
"""Load duration of a raise: less than a week, own weight included while the stage stands.
Source: EN 1995-1-1 Table 2.2. Test: tests/statics/test_capacity.py"""


@dataclass(frozen=True, slots=True)
class ArmTest:
    """What a series of break tests says."""

    count: int
    mean_moment_nmm: float
    scatter: float
    """Coefficient of variation, measured or known."""
    scatter_known: bool
    fractile_factor: float
    """k_n of EN 1990 Table D.1."""
    characteristic_moment_nmm: float
    """5 % fractile."""
    factor: float
    """Conversion over partial factor, η / γ_M (for wood k_mod / γ_M)."""
    design_moment_nmm: float
    three_more_design_moment_nmm: float
    """Design moment if three further tests gave the same mean and scatter."""

    @property
    def three_more_gain(self) -> float:
        """How much more that would be, as a fraction of the present design moment."""
        return self.three_more_design_moment_nmm / self.design_moment_nmm - 1.0


def fractile_factor(count: int, *, scatter_known: bool) -> float:
    """k_n for the 5 % fractile of `count` tests.

    Source: (S19): EN 1990:2002 Table D.1. Test: tests/reference/test_en_1990_annex_d.py

    Notes
    -----
    The printed values of EN 1990:2002 Table D.1 where it has a column; between columns its formulas,
    t₀.₉₅,ₙ₋₁ √(1 + 1/n) and 1.645 √(1 + 1/n) (the printed values are roundings of these).

    Examples
    --------
    >>> fractile_factor(6, scatter_known=False)
    2.18
    >>> round(fractile_factor(7, scatter_known=False), 3)
    2.077
    """
    printed = FRACTILE_FACTORS_KNOWN if scatter_known else FRACTILE_FACTORS_UNKNOWN
    if count in printed:
        return printed[count]
    spread = math.sqrt(1 + 1 / count)
    return (NORMAL_95 if scatter_known else _student_95(count - 1)) * spread


def _student_95(dofs: int) -> float:
    """95 % point of Student's t.

    Source: (S19): EN 1990:2002 D.7.2. Test: tests/reference/test_en_1990_annex_d.py
    """
    from scipy.special import stdtrit  # here: scipy would slow the start of the server

    return float(stdtrit(dofs, 0.95))


def arm_test(loads_n: Sequence[float], lever_mm: float, known_scatter: float | None = None, *, factor: float = 1.0
             ) -> ArmTest:
    """Evaluate break tests of arms by EN 1990 Annex D, D.7.2 (normal distribution).

    Source: (S19): EN 1990:2002 D.7.2. Test: tests/reference/test_en_1990_annex_d.py

    Parameters
    ----------
    loads_n : sequence of float
        Load at which each arm broke. [N]
    lever_mm : float
        Distance from the arm's root to the load. [mm]
    known_scatter : float, optional
        Coefficient of variation known beforehand; None if it comes from these tests.
    factor : float
        η / γ_M from the characteristic to the design value; for wood k_mod / γ_M.

    Returns
    -------
    ArmTest
        Moments in N mm.

    Raises
    ------
    StaticsError
        For a load or lever not above zero, fewer than three tests of unknown scatter, or tests that
        scatter so much that nothing is left.

    Examples
    --------
    >>> arm_test([9.8, 10.4, 10.1, 9.5, 10.7, 10.0], 1.0).characteristic_moment_nmm.__round__(2)
    9.15
    """
    _check(loads_n, lever_mm, known_scatter)
    moments = [load * lever_mm for load in loads_n]
    mean = math.fsum(moments) / len(moments)
    known = known_scatter is not None
    scatter = known_scatter if known_scatter is not None else _scatter(moments, mean)
    k_now, k_later = (fractile_factor(len(moments) + more, scatter_known=known) for more in (0, 3))
    characteristic = mean * (1 - k_now * scatter)
    if not characteristic > 0:
        raise StaticsError(f"{len(moments)} break tests scatter by {scatter:.0%}: nothing is left at the 5 % fractile "
                           f"(k_n = {k_now:g}); break more arms, or sort out why they differ")
    return ArmTest(len(moments), mean, scatter, known, k_now, characteristic, factor, characteristic * factor,
                   mean * (1 - k_later * scatter) * factor)


def _scatter(moments: list[float], mean: float) -> float:
    """Coefficient of variation with n − 1."""
    return math.sqrt(math.fsum((m - mean) ** 2 for m in moments) / (len(moments) - 1)) / mean


def _check(loads_n: Sequence[float], lever_mm: float, known_scatter: float | None) -> None:
    """Refuse what cannot be evaluated."""
    if not loads_n:
        raise StaticsError("no break loads given; give at least three, in N")
    bad = [load for load in loads_n if not (load > 0 and math.isfinite(load))]
    if bad or not lever_mm > 0:
        name, value = ("break load", f"{bad[0]:g} N") if bad else ("lever", f"{lever_mm:g} mm")
        raise StaticsError(f"{name} must be above 0, got {value}")
    if known_scatter is not None and not 0 < known_scatter < 1:
        raise StaticsError(f"known scatter must be between 0 and 1 (0.10 is 10 %), got {known_scatter:g}")
    if known_scatter is None and len(loads_n) < FEWEST_UNKNOWN:
        raise StaticsError(f"{len(loads_n)} break test{'s' * (len(loads_n) > 1)} of unknown scatter: at least "
                           f"{FEWEST_UNKNOWN} are needed (EN 1990 Table D.1); break more arms, or give the scatter "
                           f"if it is known from earlier tests")


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
        source=f"{test.count} break tests (EN 1990 D.7.2)",
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
