"""Checks against EN 1991-1-4 through the worked example in *Steel Buildings in Europe*, part 3, appendix B.

z = 8 m, category III, 26 m/s: printed c_e 1.56 and q_p 659 Pa from rounded steps; without rounding 661.8 Pa,
so REL = 5e-3. Beaufort numbers 4 to 7 as the World Meteorological Organization begins them.
"""

import numpy as np
import pytest

from fieldapp.base.constants import BEAUFORT_BEGINS_M_S, TERRAIN_LEAST_HEIGHT_M, TERRAIN_ROUGHNESS_M
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection
from fieldapp.statics.loads import wind
from fieldapp.statics.model import model
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.wind import beaufort, exposure_factor, forecast_m_s, gust_ratio, sign_below
from fieldapp.statics.wind_forces import arm_breadth_mm, rectangle_coefficient

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


def test_flat_bars_by_depth_and_breadth():
    """EN 1991-1-4 Figure 7.23, the printed corners; in between no more than either neighbour."""
    for ratio, printed in ((0.2, 2.0), (0.6, 2.35), (0.7, 2.4), (1.0, 2.1), (2.0, 1.65), (5.0, 1.0), (10.0, 0.9)):
        assert rectangle_coefficient(ratio) == pytest.approx(printed)
    assert 2.1 < rectangle_coefficient(0.8) < 2.4


def test_arms_and_hubs_are_pushed_as_flat_bars():
    """Plywood arm 24 × 45 mm: 2.312 × 45 across its face. A hub whose arms are all bare is pushed as its arms alone."""
    design = Design(frame=FrameSection(diameter_m=5.0),
                    hub=HubSection(joint="flat arm", reach_mm=95.0, plies=2, ply_mm=12.0, arm_depth_mm=45.0))
    frame = build_frame(design)
    made = model(frame, design)
    assert arm_breadth_mm(made.make) * 1.2 == pytest.approx(2.312 * 45.0, rel=1e-3)
    hubs = [hub.name for hub in frame.hubs]
    blow = np.array([[1.0, 0.0, 0.0]])
    whole = wind(stage_of(made, hubs), blow).hubs_n[0, :, 0].sum()
    last = wind(stage_of(made, hubs, [s.name for s in frame.struts[1:]]), blow).hubs_n[0, :, 0].sum()
    along = made.axes.local[0, 0, 0]
    arms, sine = 2 * 95.0 * 1.2 * arm_breadth_mm(made.make), np.sqrt(1 - along**2)
    tube = 1.2 * made.make.tube.wind_width_mm * (made.axes.length_mm[0] - 190.0)
    assert whole - last == pytest.approx((arms + tube) * sine - arms, rel=1e-3)


@pytest.mark.parametrize("terrain", ["0", "I", "II", "III", "IV"])
def test_the_gusts_that_belong_to_a_sign_are_not_above_the_gust_it_stands_for(terrain):
    """(4.8): gust ÷ mean = √(1 + 7 I_v); a sign is a mean of ten minutes. One number higher would be too late."""
    ratio = gust_ratio(terrain)
    assert ratio**2 == pytest.approx(1 + 7 / np.log(TERRAIN_LEAST_HEIGHT_M[terrain] / TERRAIN_ROUGHNESS_M[terrain]))
    for gust in (2.0, 3.6, 5.5, 8.0, 13.0):
        number = sign_below(gust, terrain)
        assert BEAUFORT_BEGINS_M_S[number] * ratio <= gust < BEAUFORT_BEGINS_M_S[number + 1] * ratio
