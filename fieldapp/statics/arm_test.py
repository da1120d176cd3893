"""Break tests of hub arms, evaluated as EN 1990 Annex D says: a few broken arms give a design moment."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fieldapp.base.constants import FRACTILE_FACTORS_KNOWN, FRACTILE_FACTORS_UNKNOWN, NORMAL_95
from fieldapp.base.errors import StaticsError

FEWEST_UNKNOWN = 3
"""Fewest break tests if the scatter is not known beforehand [1].
Source: EN 1990:2002 Table D.1 (begins there). Test: tests/reference/test_en_1990_annex_d.py"""


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
