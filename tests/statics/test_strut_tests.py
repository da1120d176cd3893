"""Break tests of struts by hand, and what a design says of parts that nobody tested."""

import math

import pytest
from small_frame import small_design

from fieldapp.base.errors import DesignError
from fieldapp.frame.design_file import design_of
from fieldapp.frame.given.record import GivenLines
from fieldapp.frame.strength import StrengthSection
from fieldapp.frame.struts import NamedStrut
from fieldapp.statics.capacity import arm_capacity, joint_pull_n
from fieldapp.statics.make import make_of, strut_material, with_section
from fieldapp.statics.untested import hubs_untested, is_untested, struts_untested

LOADS_N, SPAN_MM = (1200.0, 1320.0, 1260.0), 1000.0


def _design(**answers):
    return small_design().model_copy(update={"strength": StrengthSection(**answers)})


def test_bending_by_hand():
    """M = F L / 4; three tests: k_n 3.37 of EN 1990 Table D.1 with a scatter of no less than 0.10; W = π d³ / 32."""
    tested = strut_material(_design(strut_loads_n=LOADS_N, strut_span_mm=SPAN_MM))
    by_hand_mpa = 1260.0 * SPAN_MM / 4 * (1 - 3.37 * 0.10) / (math.pi * 30.0**3 / 32)
    assert tested.bending_mpa == pytest.approx(by_hand_mpa, rel=1e-3)


def test_what_was_not_tested_never_passes_the_table():
    table = strut_material(_design())
    for share in (0.3, 1.0, 5.0):
        tested = strut_material(_design(strut_loads_n=tuple(share * load for load in LOADS_N), strut_span_mm=SPAN_MM))
        less = min(1.0, tested.bending_mpa / table.bending_mpa)
        assert tested.tension_mpa == pytest.approx(less * table.tension_mpa)
        assert tested.compression_mpa == pytest.approx(less * table.compression_mpa)
        assert tested.youngs_modulus_05_mpa == pytest.approx(less * table.youngs_modulus_05_mpa)
        assert tested.youngs_modulus_mpa == table.youngs_modulus_mpa


def test_one_test_is_worth_half_of_it_at_most():
    one = strut_material(_design(strut_loads_n=(1000.0,), strut_span_mm=SPAN_MM))
    assert one.bending_mpa <= 0.5 * 1000.0 * SPAN_MM / 4 / make_of(small_design()).tube.modulus_out_mm3 + 1e-9


def test_known_once_tested():
    assert not is_untested(small_design())
    old = _design(struts="unknown", hubs="unknown")
    assert (struts_untested(old), hubs_untested(old)) == (True, True)
    half = _design(struts="unknown", hubs="unknown", strut_loads_n=LOADS_N, strut_span_mm=SPAN_MM)
    assert (struts_untested(half), hubs_untested(half)) == (False, True)
    hub = half.hub.model_copy(update={"test_loads_n": (118.0, 131.0, 124.0), "test_lever_mm": 600.0})
    assert not is_untested(half.model_copy(update={"hub": hub}))


def test_a_span_is_asked_for():
    with pytest.raises(DesignError, match=r"strength.strut_span_mm is missing, but strength.strut_loads_n lists 3"):
        design_of({"frame": {"diameter_m": 4.0}, "strength": {"strut_loads_n": [800.0, 820.0, 790.0]}}, source="it")


def test_tests_of_one_section_say_nothing_of_another():
    """A load that breaks a pole of 30 mm would make one of 15 mm eight times as strong as it is."""
    thin = NamedStrut(name="thin", section="rod", material="C24", outer_mm=15.0)
    lines = GivenLines(points=(("A", 0.0, 0.0, 0.0), ("B", 1000.0, 0.0, 0.0), ("C", 0.0, 1000.0, 0.0)),
                       lines=((0, 1), (1, 2)), sections=("", "thin"))
    both = _design(struts="unknown", strut_loads_n=LOADS_N, strut_span_mm=SPAN_MM).model_copy(
        update={"struts": (thin,), "given": lines})
    assert strut_material(with_section(both, "thin")).bending_mpa == 24.0
    assert struts_untested(both)
    own = thin.model_copy(update={"strut_loads_n": (150.0, 160.0, 155.0), "strut_span_mm": 800.0})
    tested = both.model_copy(update={"struts": (own,)})
    by_hand_mpa = 155.0 * 800.0 / 4 * (1 - 3.37 * 0.10) / (math.pi * 15.0**3 / 32)
    assert strut_material(with_section(tested, "thin")).bending_mpa == pytest.approx(by_hand_mpa, rel=1e-3)
    assert strut_material(tested).bending_mpa == strut_material(both).bending_mpa
    assert not struts_untested(tested)


def test_ends_of_struts_are_broken_section_by_section():
    thin = NamedStrut(name="thin", section="tube", material="S235", outer_mm=20.0, wall_mm=1.5, plies=1, ply_mm=3.0,
                      arm_depth_mm=28.0)
    lines = GivenLines(points=(("A", 0.0, 0.0, 0.0), ("B", 1000.0, 0.0, 0.0), ("C", 0.0, 1000.0, 0.0)),
                       lines=((0, 1), (1, 2)), sections=("", "thin"))
    old = _design(hubs="unknown")
    hub = old.hub.model_copy(update={"joint": "bolted end", "stiffness_out_nm_rad": 50.0, "stiffness_in_nm_rad": 50.0,
                                     "test_loads_n": (118.0, 131.0, 124.0), "test_lever_mm": 600.0})
    both = old.model_copy(update={"hub": hub, "struts": (thin,), "given": lines})
    assert hubs_untested(both), "nobody broke an end of the thin ones"
    own = thin.model_copy(update={"test_loads_n": (30.0, 32.0, 31.0), "test_lever_mm": 400.0})
    tested = both.model_copy(update={"struts": (own,)})
    assert not hubs_untested(tested)
    assert arm_capacity(with_section(tested, "thin")).out_nmm < 31.0 * 400.0 < arm_capacity(tested).out_nmm


def test_hinged_hubs_are_known_by_pulling_and_pressed_no_harder():
    old = _design(hubs="unknown")
    hinged = old.hub.model_copy(update={"joint": "spring", "stiffness_out_nm_rad": 0.0, "stiffness_in_nm_rad": 0.0,
                                        "test_loads_n": (118.0, 131.0, 124.0), "test_lever_mm": 600.0})
    assert hubs_untested(old.model_copy(update={"hub": hinged}))
    pulled = old.model_copy(update={"hub": hinged.model_copy(update={"pull_test_n": (620.0, 700.0, 655.0)})})
    assert not hubs_untested(pulled)
    assert arm_capacity(pulled).axial_n <= joint_pull_n(pulled)
