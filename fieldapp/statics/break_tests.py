"""What break tests of arms are worth, as EN 1990 Annex D says; of one or two tests at most half of the lowest."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fieldapp.base.constants import FRACTILE_FACTORS_KNOWN, FRACTILE_FACTORS_UNKNOWN, NORMAL_95
from fieldapp.base.errors import StaticsError

FEWEST_UNKNOWN = 3
"""From this many break tests on their scatter counts; fewer are worth at most `SHARE_OF_FEW` of the lowest [1].
Source: EN 1990:2002 Table D.1 (begins there). Test: tests/reference/test_en_1990_annex_d.py"""

LEAST_SCATTER = 0.10
"""Scatter below which no series is believed, whatever it measured and whatever is said to be known of it [1].
Source: our choice, as EN 1990:2002 D.7.1 (5) asks for unknown scatter (from memory).
Test: tests/reference/test_en_1990_annex_d.py"""

SHARE_OF_FEW = 0.5
"""One or two break tests are worth at most this share of the lowest [1].
Source: our choice; EN 1990 gives nothing for so few. Test: tests/reference/test_en_1990_annex_d.py"""


@dataclass(frozen=True, slots=True)
class ArmTest:
    """What a series of break tests says."""

    count: int
    mean_moment_nmm: float
    lowest_moment_nmm: float
    scatter: float
    """Coefficient of variation that counts: the largest of measured, known and `LEAST_SCATTER`."""
    measured_scatter: float
    """Of these tests; 0 for one."""
    scatter_known: bool
    characteristic_moment_nmm: float
    """5 % fractile; of one or two tests at most half of the lowest."""
    factor: float
    """Conversion over partial factor, η / γ_M (for wood k_mod / γ_M)."""
    three_more_design_moment_nmm: float
    """Design moment if three further tests gave the same mean and scatter."""

    @property
    def few(self) -> bool:
        """Too few for a fractile."""
        return self.count < FEWEST_UNKNOWN

    @property
    def fractile_factor(self) -> float:
        """k_n; that of three tests where there are fewer."""
        return _factor_of(self.count, scatter_known=self.scatter_known)

    @property
    def design_moment_nmm(self) -> float:
        """Characteristic moment × factor."""
        return self.characteristic_moment_nmm * self.factor

    @property
    def three_more_gain(self) -> float:
        """How much more that would be, as a fraction of the present design moment."""
        return self.three_more_design_moment_nmm / self.design_moment_nmm - 1.0


def fractile_factor(count: int, *, scatter_known: bool) -> float:
    """k_n for the 5 % fractile of `count` tests.

    Source: (S19): EN 1990:2002 Table D.1. Test: tests/reference/test_en_1990_annex_d.py

    Notes
    -----
    The larger of the value printed in EN 1990:2002 Table D.1 and that of its formula, t₀.₉₅,ₙ₋₁ √(1 + 1/n) or
    1.645 √(1 + 1/n). Some printed values are rounded down (20 tests: 1.76 for 1.772), so that the 21st test would
    lower the result; the larger of both never rises with the count.

    Examples
    --------
    >>> fractile_factor(6, scatter_known=False)
    2.18
    >>> [round(fractile_factor(n, scatter_known=False), 3) for n in (7, 20, 21)]
    [2.077, 1.772, 1.765]
    """
    printed = FRACTILE_FACTORS_KNOWN if scatter_known else FRACTILE_FACTORS_UNKNOWN
    formula = (NORMAL_95 if scatter_known else _student_95(count - 1)) * math.sqrt(1 + 1 / count)
    return max(formula, printed.get(count, 0.0))


def _factor_of(count: int, *, scatter_known: bool) -> float:
    """The same; fewer than three tests count with the factor of three where their scatter is unknown."""
    return fractile_factor(count if scatter_known else max(count, FEWEST_UNKNOWN), scatter_known=scatter_known)


def _student_95(dofs: int) -> float:
    """95 % point of Student's t.

    Source: (S19): EN 1990:2002 D.7.2. Test: tests/reference/test_en_1990_annex_d.py
    """
    from scipy.special import stdtrit  # here: scipy would slow the start of the server

    return float(stdtrit(dofs, 0.95))


def arm_test(loads_n: Sequence[float], lever_mm: float, known_scatter: float | None = None, *, factor: float = 1.0
             ) -> ArmTest:
    """Evaluate break tests of arms by EN 1990 Annex D, D.7.2 (normal distribution).

    Source: (S19): EN 1990:2002 D.7.2; one or two tests our choice. Test: tests/reference/test_en_1990_annex_d.py

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
        For a load or lever not above zero, or tests that scatter so much that nothing is left.

    Notes
    -----
    The scatter that counts is never below what the tests show, nor below 0.10. One or two tests are worth half of the
    lowest, and no more than three of the same mean and scatter would be: a test left out never raises the result.
    The lognormal form of D.7.2 would give more for the same tests (1 − x ≤ exp(−x)).

    Examples
    --------
    >>> arm_test([9.8, 10.4, 10.1, 9.5, 10.7, 10.0], 1.0).characteristic_moment_nmm.__round__(3)
    7.885
    >>> arm_test([118.0, 131.0], 1.0).characteristic_moment_nmm
    59.0
    """
    _check(loads_n, lever_mm, known_scatter)
    moments = [load * lever_mm for load in loads_n]
    mean, measured = math.fsum(moments) / len(moments), _scatter(moments)
    known, scatter = known_scatter is not None, max(measured, known_scatter or 0.0, LEAST_SCATTER)
    characteristic = mean * (1 - _factor_of(len(moments), scatter_known=known) * scatter)
    if not characteristic > 0:
        raise StaticsError(f"{len(moments)} break tests scatter by {scatter:.0%}: nothing is left at the 5 % fractile "
                           f"(k_n = {_factor_of(len(moments), scatter_known=known):.3g}); break more arms, or sort out "
                           f"why they differ")
    if len(moments) < FEWEST_UNKNOWN:
        characteristic = min(SHARE_OF_FEW * min(moments), characteristic)
    later = mean * (1 - fractile_factor(len(moments) + 3, scatter_known=known) * scatter)
    return ArmTest(len(moments), mean, min(moments), scatter, measured, known, characteristic, factor, later * factor)


def _scatter(moments: list[float]) -> float:
    """Coefficient of variation with n − 1; 0 for one test."""
    mean = math.fsum(moments) / len(moments)
    return math.sqrt(math.fsum((m - mean) ** 2 for m in moments) / max(len(moments) - 1, 1)) / mean


def _check(loads_n: Sequence[float], lever_mm: float, known_scatter: float | None) -> None:
    """Refuse what cannot be evaluated."""
    if not loads_n:
        raise StaticsError("no break loads given; give one for each arm that broke, in N")
    bad = [load for load in loads_n if not (load > 0 and math.isfinite(load))]
    if bad or not lever_mm > 0:
        name, value = ("break load", f"{bad[0]:g} N") if bad else ("lever", f"{lever_mm:g} mm")
        raise StaticsError(f"{name} must be above 0, got {value}")
    if known_scatter is not None and not 0 < known_scatter < 1:
        raise StaticsError(f"known scatter must be between 0 and 1 (0.10 is 10 %), got {known_scatter:g}")
