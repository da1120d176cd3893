"""Checks against EN 1990:2002 Annex D: Table D.1 (k_n for the 5 % fractile) and D.7.2.

The formulas behind the table, t₀.₉₅,ₙ₋₁ √(1 + 1/n) and 1.645 √(1 + 1/n), are checked against Student's t of
scipy; the printed values are roundings of them, the largest 0.9 % off (n = 20, unknown).
"""

import math

import pytest
from scipy import stats

from fieldapp.base.errors import StaticsError
from fieldapp.statics.capacity import arm_test, fractile_factor

UNKNOWN = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
KNOWN = {1: 2.31, 2: 2.01, 3: 1.89, 4: 1.83, 5: 1.80, 6: 1.77, 8: 1.74, 10: 1.72, 20: 1.68, 30: 1.67}


@pytest.mark.parametrize(("count", "printed"), UNKNOWN.items())
def test_table_d_1_scatter_unknown(count, printed):
    assert fractile_factor(count, scatter_known=False) == printed
    assert printed == pytest.approx(stats.t.ppf(0.95, count - 1) * math.sqrt(1 + 1 / count), rel=0.009)


@pytest.mark.parametrize(("count", "printed"), KNOWN.items())
def test_table_d_1_scatter_known(count, printed):
    assert fractile_factor(count, scatter_known=True) == printed
    assert printed == pytest.approx(1.645 * math.sqrt(1 + 1 / count), rel=0.009)


@pytest.mark.parametrize("count", [7, 9, 12, 25, 50])
def test_between_the_columns_the_formula_holds(count):
    expected = stats.t.ppf(0.95, count - 1) * math.sqrt(1 + 1 / count)
    assert fractile_factor(count, scatter_known=False) == pytest.approx(expected, rel=1e-9)


def test_d_7_2_characteristic_value():
    """Six tests, mean 10.083, k_n 2.18 (computed from the table by hand: 9.154)."""
    assert arm_test([9.8, 10.4, 10.1, 9.5, 10.7, 10.0], 1.0).characteristic_moment_nmm == pytest.approx(9.154, abs=2e-3)


def test_three_more_tests_raise_the_design_moment():
    four = arm_test([118.0, 131.0, 124.0, 109.0], 600.0, factor=0.75)
    mean, scatter = four.mean_moment_nmm, four.scatter
    assert four.design_moment_nmm == pytest.approx(0.75 * mean * (1 - 2.63 * scatter))
    assert four.three_more_design_moment_nmm > four.design_moment_nmm
    assert four.three_more_gain == pytest.approx(
        (1 - fractile_factor(7, scatter_known=False) * scatter) / (1 - 2.63 * scatter) - 1)


@pytest.mark.parametrize(
    ("loads", "scatter", "words"),
    [
        ([120.0], None, r"1 break test of unknown scatter: at least 3 are needed \(EN 1990 Table D.1\)"),
        ([120.0, 119.0], None, "2 break tests of unknown scatter: at least 3"),
        ([], None, "no break loads given"),
        ([120.0, 0.0, 110.0], None, "break load must be above 0, got 0 N"),
        ([20.0, 120.0, 60.0], None, "nothing is left at the 5 % fractile"),
        ([120.0], 1.5, "known scatter must be between 0 and 1"),
    ],
)
def test_what_cannot_be_evaluated_says_why(loads, scatter, words):
    with pytest.raises(StaticsError, match=words):
        arm_test(loads, 600.0, known_scatter=scatter)


def test_one_test_of_known_scatter_is_enough():
    assert arm_test([100.0], 600.0, known_scatter=0.1).characteristic_moment_nmm == pytest.approx(60_000 * (1 - 0.231))
