"""Breakages of one class against the printed table of the cumulative Poisson distribution.

Table as in most handbooks of statistics (e.g. Wackerly, Mendenhall and Scheaffer, Mathematical Statistics with
Applications, 7th ed. 2008, Appendix 3, Table 3; from memory). Printed to 3 decimals.

With a very long history the Gamma rate is known and the negative binomial becomes the Poisson
distribution, so the same code must show the printed values.
"""

import pytest

from fieldapp.reports.readiness.spares import Odds

CUMULATIVE = {  # mean: chance of at most 0, 1, 2 ... breakages
    0.5: (0.607, 0.910, 0.986, 0.998),
    1.0: (0.368, 0.736, 0.920, 0.981, 0.996, 0.999),
    2.0: (0.135, 0.406, 0.677, 0.857, 0.947, 0.983, 0.995),
    4.0: (0.018, 0.092, 0.238, 0.433, 0.629, 0.785, 0.889, 0.949, 0.979),
}
LONG = 1e9
"""Parts fitted so far: the rate is then known."""


@pytest.mark.parametrize("mean", CUMULATIVE)
def test_chance_of_no_more_than_so_many(mean):
    odds = Odds(mean * LONG, LONG).on(1)
    assert [odds.chance(count) for count in range(len(CUMULATIVE[mean]))] == pytest.approx(CUMULATIVE[mean], abs=5e-4)


@pytest.mark.parametrize(("mean", "spares"), [(0.5, 2), (1.0, 3), (2.0, 5), (4.0, 8)])
def test_spares_for_95_percent_are_the_first_column_over_0_95(mean, spares):
    assert Odds(mean * LONG, LONG).on(1).quantile(0.95) == spares


def test_little_history_asks_for_more_than_the_table():
    assert Odds(2.0, 1.0).on(1).quantile(0.95) > Odds(2.0 * LONG, LONG).on(1).quantile(0.95)
