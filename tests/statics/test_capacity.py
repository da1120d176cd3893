"""Sections, arm resistance from strength or tests, and what is refused."""

import math

import pytest

from fieldapp.base.errors import DesignError, StaticsError
from fieldapp.base.sections import plies, rod, tube
from fieldapp.frame.design import Design, HubSection, RaisingSection, StrutSection
from fieldapp.statics.capacity import arm_capacity
from fieldapp.statics.limits import push_limits, solved
from fieldapp.statics.make import make_of
from fieldapp.statics.model import model
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.tubes import tube_capacity

LEFT = 1 / math.sqrt(1.25)
"""For axial force and bending, beside torsion (S25)."""


def test_sections_by_closed_form():
    assert tube(40.0, 2.5).area_mm2 == pytest.approx(math.pi * 37.5 * 2.5)
    assert rod(35.0).modulus_out_mm3 == pytest.approx(math.pi * 35.0**3 / 32)
    flat = plies(5.0, 40.0)
    assert (flat.modulus_out_mm3, flat.modulus_in_mm3) == pytest.approx((40 * 25 / 6, 5 * 1600 / 6))
    assert plies(5.0, 40.0, 2).inertia_out_mm4 == 2 * flat.inertia_out_mm4


def test_torsion_constant_of_a_square_and_of_a_thin_plate():
    """Exact values of St Venant: 0.1406 a⁴ for a square, b t³/3 for a thin plate."""
    assert plies(10.0, 10.0).torsion_mm4 == pytest.approx(0.1406e4, rel=0.003)
    assert plies(1.0, 1000.0).torsion_mm4 == pytest.approx(1000.0 / 3, rel=0.001)


def test_own_design_strength_times_section():
    design = Design(hub=HubSection(ply_mm=5.0, arm_depth_mm=40.0, design_strength_mpa=24.0))
    capacity = arm_capacity(design)
    assert (capacity.axial_n, capacity.out_nmm, capacity.in_nmm) == pytest.approx(
        (4_800.0 * LEFT, 4_000.0 * LEFT, 32_000.0 * LEFT))


def test_material_strength_in_the_wet_is_less():
    hub = HubSection(material="birch plywood 15", ply_mm=15.0, arm_depth_mm=40.0)
    dry, wet = (arm_capacity(Design(hub=hub, raising=RaisingSection(service_class=s))) for s in (2, 3))
    assert dry.out_nmm == pytest.approx(LEFT * 33.8 * 0.9 / 1.2 * 40.0 * 225.0 / 6)
    assert wet.out_nmm / dry.out_nmm == pytest.approx(0.7 / 0.9)


def test_break_tests_win_and_carry_over_to_the_other_axis():
    hub = HubSection(material="birch plywood 12", ply_mm=12.0, arm_depth_mm=45.0, plies=2, design_strength_mpa=99.0,
                     test_loads_n=(118.0, 131.0, 124.0, 109.0), test_lever_mm=600.0)
    capacity = arm_capacity(Design(hub=hub))
    assert capacity.out_nmm == pytest.approx(LEFT * 72_300.0 * (1 - 2.63 * 0.10) * 0.75, rel=5e-4)  # measured: 7.7 %
    assert capacity.in_nmm == pytest.approx(LEFT * 24.3 * 0.75 * 2 * 12.0 * 45.0**2 / 6)  # not 45 / 12 of it: edgewise
    assert capacity.source == "4 break tests (EN 1990 D.7.2)"


def test_plywood_in_its_plane_bears_no_more_than_it_does_along_the_arm():
    """Flat 33.2, across the grain 35.0 in tension and 24.3 in compression: the least counts in plane."""
    hub = HubSection(material="birch plywood 12", ply_mm=12.0, arm_depth_mm=45.0)
    bare = arm_capacity(Design(hub=hub))
    tested = arm_capacity(Design(hub=hub.model_copy(update={"test_loads_n": (900.0,) * 4, "test_lever_mm": 600.0})))
    for capacity in (bare, tested):
        assert capacity.in_nmm == pytest.approx(LEFT * 24.3 * 0.75 * 12.0 * 45.0**2 / 6)
    timber = arm_capacity(Design(hub=hub.model_copy(update={"material": "C24"})))
    assert timber.in_nmm / timber.out_nmm == pytest.approx(45.0 / 12.0)


@pytest.mark.parametrize(("stands", "share"), [("hours", 1.0), ("a weekend", 1.0), ("weeks", 0.8 / 0.9),
                                               ("for good", 0.6 / 0.9)])
def test_the_weight_alone_lasts_and_a_push_does_not(small_dome, stands, share):
    """EN 1995-1-1 3.1.3 (2): one combination, one duration, that of its shortest load."""
    steel, frame, _ = small_dome
    hub, found = steel.hub.model_copy(update={"material": "birch plywood 12", "ply_mm": 12.0}), []
    for one in ("hours", stands):
        of = steel.model_copy(update={"hub": hub, "raising": RaisingSection(stands=one)})
        made = model(frame, of)
        stage, tubes = solved(stage_of(made, [hub.name for hub in frame.hubs])), tube_capacity(made, of)
        found.append((stage.design_utilisation, tubes, push_limits(stage, tubes)))
    (brief, tubes, pushes), (lasting, later, pushed) = found
    assert brief / lasting == pytest.approx(share)
    assert later.under_weight.bending_nmm / tubes.bending_nmm == pytest.approx(share)
    assert pushes == pushed


def test_own_values_of_the_design_reach_the_model():
    made = make_of(Design(strut=StrutSection(section="rod", material="C24", outer_mm=30.0, youngs_modulus_mpa=9500.0,
                                             density_kg_m3=480.0)))
    assert made.tube_material.youngs_modulus_mpa == 9500.0
    assert made.tube_weight_n_mm == pytest.approx(480e-9 * 9.80665 * made.tube.area_mm2)


@pytest.mark.parametrize(
    ("change", "error", "words"),
    [
        ({"strut": StrutSection(section="tube", wall_mm=None)}, StaticsError, "strut.wall_mm is missing"),
        ({"strut": StrutSection(section="tube", outer_mm=50.0, wall_mm=25.0)}, StaticsError,
         "wall_mm must be below half of outer_mm"),
        ({"strut": StrutSection(material="C42")}, DesignError, "nearest: C24"),
        ({"hub": HubSection(test_loads_n=(100.0, 110.0, 105.0))}, StaticsError, "hub.test_lever_mm is missing"),
        ({"hub": HubSection(test_loads_n=(20.0, 120.0), test_lever_mm=600.0)}, StaticsError, "nothing is left"),
    ],
)
def test_designs_without_an_answer_say_why(change, error, words):
    with pytest.raises(error, match=words):
        arm_capacity(Design(**change))
