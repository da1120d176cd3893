"""Checks against EN 1990:2002 Annex D: Table D.1 (k_n for the 5 % fractile) and D.7.2.

The formulas behind the table, t₀.₉₅,ₙ₋₁ √(1 + 1/n) and 1.645 √(1 + 1/n), are checked against Student's t of
scipy; the printed values are roundings of them, the largest 0.9 % off (n = 20, unknown).
"""

import math

import pytest
from hypothesis import assume, given, strategies
from scipy import stats

from fieldapp.base.errors import StaticsError
from fieldapp.statics.break_tests import arm_test, fractile_factor

UNKNOWN = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
KNOWN = {1: 2.31, 2: 2.01, 3: 1.89, 4: 1.83, 5: 1.80, 6: 1.77, 8: 1.74, 10: 1.72, 20: 1.68, 30: 1.67}


@pytest.mark.parametrize(("known", "table"), [(False, UNKNOWN), (True, KNOWN)])
def test_table_d_1_never_below_the_printed_value(known, table):
    """Printed values are roundings of the formula, up to 0.9 % down; ours is the larger of the two."""
    for count, printed in table.items():
        ours = fractile_factor(count, scatter_known=known)
        assert printed <= ours <= printed * 1.009
        assert ours >= (1.645 if known else stats.t.ppf(0.95, count - 1)) * math.sqrt(1 + 1 / count)


@pytest.mark.parametrize("count", [7, 9, 12, 25, 50])
def test_between_the_columns_the_formula_holds(count):
    expected = stats.t.ppf(0.95, count - 1) * math.sqrt(1 + 1 / count)
    assert fractile_factor(count, scatter_known=False) == pytest.approx(expected, rel=1e-9)


def test_d_7_2_characteristic_value():
    """Six tests, mean 10.083, scatter 4.2 %, k_n 2.18: by hand 9.154 as measured, 7.885 with the floor of 0.10."""
    six = arm_test([9.8, 10.4, 10.1, 9.5, 10.7, 10.0], 1.0)
    assert six.mean_moment_nmm * (1 - six.fractile_factor * six.measured_scatter) == pytest.approx(9.154, abs=2e-3)
    assert six.characteristic_moment_nmm == pytest.approx(7.885, abs=5e-4)


def test_three_more_tests_raise_the_design_moment():
    four = arm_test([118.0, 131.0, 124.0, 109.0], 600.0, factor=0.75)
    assert four.design_moment_nmm == pytest.approx(0.75 * four.mean_moment_nmm * (1 - 2.63 * 0.10), rel=5e-4)
    assert four.three_more_gain == pytest.approx((1 - 2.077 * 0.10) / (1 - 2.631 * 0.10) - 1, rel=1e-3)


COUNTS = strategies.integers(1, 40)


def series(count, mean, scatter):
    """Results of this mean, and of this coefficient of variation (n − 1) where there are two or more."""
    places = [place - (count - 1) / 2 for place in range(count)]
    size = math.sqrt(sum(place**2 for place in places) / max(count - 1, 1)) or 1.0
    return [mean * (1 + scatter * place / size) for place in places]


def worth(results, known):
    try:
        return arm_test(results, 1.0, known_scatter=known).characteristic_moment_nmm
    except StaticsError:
        return 0.0


@given(fewer=COUNTS, more=COUNTS, scatter=strategies.floats(0.0, 0.5),
       known=strategies.none() | strategies.floats(0.01, 0.5))
def test_more_tests_of_equal_mean_and_scatter_never_lower_and_fewer_never_raise(fewer, more, scatter, known):
    fewer, more = sorted((fewer, more))
    assume(fewer > 1 or scatter == 0.0)  # one test shows no scatter
    few, many = (series(count, 100.0, scatter) for count in (fewer, more))
    assume(min(*few, *many) > 0)
    assert worth(few, known) <= worth(many, known) * (1 + 1e-9)


@given(results=strategies.lists(strategies.floats(1.0, 200.0), min_size=1, max_size=2),
       known=strategies.none() | strategies.floats(0.01, 0.4))
def test_one_or_two_are_worth_at_most_half_of_the_lowest(results, known):
    assert worth(results, known) <= min(results) / 2


@given(scatter=strategies.floats(0.0, 0.3), known=strategies.floats(0.001, 0.3), count=strategies.integers(3, 12))
def test_scatter_that_is_said_to_be_known_counts_no_lower_than_the_tests_and_the_floor(scatter, known, count):
    tested = arm_test(series(count, 100.0, scatter), 1.0, known_scatter=known)
    assert tested.scatter == pytest.approx(max(scatter, known, 0.10))


@pytest.mark.parametrize(
    ("loads", "scatter", "words"),
    [
        ([20.0, 120.0], None, r"2 break tests scatter by 101%: nothing is left"),
        ([], None, "no break loads given"),
        ([120.0, 0.0, 110.0], None, "break load must be above 0, got 0 N"),
        ([20.0, 120.0, 60.0], None, "nothing is left at the 5 % fractile"),
        ([120.0], 1.5, "known scatter must be between 0 and 1"),
    ],
)
def test_what_cannot_be_evaluated_says_why(loads, scatter, words):
    with pytest.raises(StaticsError, match=words):
        arm_test(loads, 600.0, known_scatter=scatter)
