"""Checks against EN 1991-1-4 through the worked example in *Steel Buildings in Europe*, part 3, appendix B.

z = 8 m, category III, 26 m/s: printed c_e 1.56 and q_p 659 Pa from rounded steps; without rounding 661.8 Pa,
so REL = 5e-3. Beaufort numbers 4 to 7 as the World Meteorological Organization begins them.
"""

import pytest

from fieldapp.statics.wind import beaufort, exposure_factor, forecast_m_s

REL = 5e-3
BASIC_PRESSURE_PA = 0.625 * 26.0**2


def test_appendix_b_exposure_and_peak_pressure():
    assert exposure_factor(8.0, "III") == pytest.approx(1.56, rel=REL)
    assert exposure_factor(8.0, "III") * BASIC_PRESSURE_PA == pytest.approx(659.0, rel=REL)
    assert exposure_factor(8.0, "III") * BASIC_PRESSURE_PA == pytest.approx(661.8, abs=0.1)


def test_the_forecast_goes_back_to_the_basic_wind():
    assert forecast_m_s(661.8, 8.0, "III") == pytest.approx(26.0, rel=1e-3)


def test_below_its_least_height_the_wind_is_taken_there():
    assert exposure_factor(1.5, "III") == exposure_factor(5.0, "III")


@pytest.mark.parametrize(("begins", "number"), [(5.5, 4), (8.0, 5), (10.8, 6), (13.9, 7)])
def test_beaufort_numbers(begins, number):
    assert (beaufort(begins - 0.01), beaufort(begins)) == (number - 1, number)
