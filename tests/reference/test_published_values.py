"""Values typed a second time, from the sources that print them; a slip of either hand shows.

Eastman Kodak, *Ergonomic Design for People at Work*, vol. 2, 1986 · DIN 33402-2:2005 · HSE L23 and INDG143 (men; the
women's row our choice) · EN 1990 Tables A1.2(A) and (B), in *Steel Buildings in Europe*, part 3, Table 3.1 ·
EN 1993-1-1 5.2.1 (3) · GB 50009-2012 Table 8.3.1 no. 37 · Cardiff Council, Bute Park event guide, Wind Management Plan,
22 April 2020 · ISO 80000-3 · ISO 216 and ANSI/ASME Y14.1 · fibre saturation: common practice, no source. Strengths are
in `tests/base/test_materials.py`.
"""

import pytest

from fieldapp.base import constants, moisture
from labels import PAPERS_MM

PRINTED = {
    "GRAVITY_M_S2": 9.80665,
    "STANDING_PUSH_N": 110.0,
    "GRIP_REACH_WOMEN_5TH_MM": 1840.0,
    "SHOES_MM": 25.0,
    "LIFT_ABOVE_SHOULDER_CLOSE_KG": {"men": 10.0, "women": 7.0},
    "GAMMA_G": 1.35,
    "GAMMA_G_HOLDING": 0.9,
    "GAMMA_Q": 1.5,
    "BARE_STRUT_FORCE_COEFFICIENT": 1.2,
    "WIND_ACTION_FRACTIONS": (0.6, 0.8),
    "ALPHA_CR_FIRST_ORDER": 10.0,
}


@pytest.mark.parametrize(("name", "printed"), PRINTED.items())
def test_the_value_is_the_printed_one(name, printed):
    assert getattr(constants, name) == printed


def test_papers_and_fibre_saturation():
    assert PAPERS_MM == {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
    assert moisture.FIBRE_SATURATION_PERCENT == 30.0
