"""What the next raise breaks, against the mixture written out: a Poisson chance averaged over a Gamma rate.

Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, sections 2.6 and 2.7 (from memory): the mixture is negative
binomial. Integrated numerically by scipy, so that shape and rate cannot be confused unnoticed.
"""

import numpy as np
import pytest
from scipy import integrate, stats

from fieldapp.reports.readiness.spares import PRIOR, Odds


@pytest.mark.parametrize(("broke", "fitted", "parts"), [(0, 0, 20), (0, 300, 30), (3, 46, 46), (7, 120, 70)])
@pytest.mark.parametrize("kind", ["hub", "strut"])
def test_chance_is_the_average_over_the_rate(kind, broke, fitted, parts):
    odds = Odds(*PRIOR[kind]).after(broke, fitted).on(parts)
    rate = stats.gamma(PRIOR[kind][0] + broke, scale=1.0 / (PRIOR[kind][1] + fitted))
    for spares in (0, 1, 3):
        def both(share, spares=spares):
            return stats.poisson.cdf(spares, parts * rate.ppf(share))
        average, _ = integrate.quad(both, 0.0, 1.0, limit=200)
        assert odds.chance(spares) == pytest.approx(average, abs=1e-5)
    assert odds.mean == pytest.approx(parts * rate.mean())


def test_history_moves_the_rate_from_the_prior_to_what_was_seen():
    hubs = Odds(*PRIOR["hub"])
    assert hubs.on(100).mean == pytest.approx(2.0)
    assert hubs.after(100, 1000).on(100).mean == pytest.approx(10.0, rel=0.03)
    assert np.all(np.diff([hubs.after(broke, 46).on(46).quantile(0.95) for broke in range(6)]) >= 0)
