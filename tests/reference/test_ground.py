"""Checks against published friction and cohesion of grounds.

International Building Code 2012, Table 1806.2 (as printed: friction 0.35 and 0.25, cohesion 130 lbf/ft²); US Navy,
NAVFAC DM 7.02 (1986), Table 1 (masonry on wood 0.50; steel sheet piles on soil 0.40, 0.30, 0.25, 0.20); BS 5975:2008 as
The Concrete Society quotes it (plain steel on cast concrete 0.10). Of several values for one ground the least counts.
"""

import pytest

from fieldapp.base.ground import GROUNDS

PSF_KPA = 4.4482216 / 0.3048**2 / 1000.0
NAVFAC_STEEL = {"gravel": 0.40, "sand": 0.30, "silty sand": 0.25, "silt": 0.20}


def test_gravel_sand_and_clay_as_the_building_code_has_them():
    assert GROUNDS["gravel"].friction_wet == min(0.35, NAVFAC_STEEL["gravel"])
    assert GROUNDS["sand"].friction_wet == min(0.25, NAVFAC_STEEL["sand"])
    assert GROUNDS["clay"].friction_dry == 0.0
    assert GROUNDS["clay"].cohesion_kpa == pytest.approx(130 * PSF_KPA, abs=0.05)


def test_what_no_source_gives_is_more_careful_than_what_they_give():
    assert GROUNDS["grass"].friction_dry <= min(NAVFAC_STEEL.values())
    assert GROUNDS["grass"].friction_wet < min(NAVFAC_STEEL.values())
    assert GROUNDS["wooden floor"].friction_dry < 0.50
    assert GROUNDS["concrete"].friction_dry <= 0.10
