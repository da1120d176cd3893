"""Struts of two sections: forces by stiffness, strength and weight of each its own, one section as it always was.

Three bars that hang a load: S. Timoshenko, Strength of Materials, Part I, statically indeterminate bars (from memory):
with the middle bar upright and the others at α to it, the middle one takes P / (1 + 2 (E₁A₁ / E₂A₂) cos³ α).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.errors import StaticsError
from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.sections import rod, tube
from fieldapp.frame.design import Design, HubSection, StrutSection
from fieldapp.frame.struts import NamedStrut
from fieldapp.statics import loads
from fieldapp.statics.capacity import arm_capacity
from fieldapp.statics.governs import Governs
from fieldapp.statics.limits import free_end_limits
from fieldapp.statics.make import Make, Makes, with_section
from fieldapp.statics.model import bare_model, model
from fieldapp.statics.response import response
from fieldapp.statics.stage import Stage
from fieldapp.statics.stiffness import factored
from fieldapp.statics.tubes import tube_capacity

POLE = NamedStrut(name="pole", section="rod", material="C24", outer_mm=48.0)


def _bar(section, name):
    arm = rod(20.0)
    return Make(JOINTS["spring"], 0.0, arm, material("S235"), section, material(name), hub_mass_kg=0.0)


@pytest.mark.parametrize("alpha_deg", [30.0, 55.0])
def test_three_bars_share_a_load_by_their_stiffness(alpha_deg):
    alpha, height = math.radians(alpha_deg), 1000.0
    side = height * math.tan(alpha)
    nodes = np.array([[0.0, 0, height], [-side, 0, height], [side, 0, height], [0.0, 0, 0.0], [0.0, height, 0.0]])
    middle, slanted = _bar(rod(30.0), "S235"), _bar(tube(40.0, 3.0), "EN AW-6060 T66")
    made = bare_model(nodes, np.array([[3, 0], [3, 1], [3, 2], [3, 4]]),
                      Makes((middle, slanted), np.array([0, 1, 1, 1])), outward=np.tile([0.0, 1.0, 0.2], (5, 1)),
                      on_ground=np.array([True, True, True, False, True]))
    fixed = np.zeros((5, 6), dtype=bool)
    fixed[[0, 1, 2, 4], :3] = True
    stage, down = Stage(made, np.arange(5), np.arange(4), fixed), np.zeros((1, 5, 6))
    down[0, 3, 2] = -1000.0
    found = response(factored(stage), loads.on_hubs(stage, down)).arms[0, :, 0, 0]
    stiff = [make.tube_material.youngs_modulus_mpa * make.tube.area_mm2 for make in (slanted, middle)]
    upright = 1000.0 / (1 + 2 * stiff[0] / stiff[1] * math.cos(alpha) ** 3)
    assert found[0] == pytest.approx(upright, rel=1e-9)
    assert found[1:3] == pytest.approx([(1000.0 - upright) / 2 / math.cos(alpha)] * 2, rel=1e-9)


@pytest.fixture(scope="module")
def mixed(lean_dome):
    """The lean dome, its class A of poles."""
    design, frame, _ = lean_dome
    of = replace(frame, strut_classes=tuple(replace(each, section="pole" if each.letter == "A" else "")
                                            for each in frame.strut_classes))
    asked = design.model_copy(update={"struts": (POLE,)})
    return of, asked, model(of, asked)


def test_every_strut_is_as_if_all_were_of_its_section(mixed, lean_dome):
    frame, design, made = mixed
    alone = {name: with_section(design, name) for name in ("", "pole")}
    models = {name: model(lean_dome[1], of) for name, of in alone.items()}
    tubes = {name: tube_capacity(models[name], of) for name, of in alone.items()}
    both = tube_capacity(made, design)
    for number, name in enumerate(frame.section_of):
        for field in ("stiffness", "weight_n", "arm_per_wind", "tube_weight_n_mm", "arm_capacity"):
            np.testing.assert_array_equal(getattr(made, field)[number], getattr(models[name], field)[number])
        for field in ("bending_nmm", "tension_n", "compression_n", "critical_n", "amplifies", "lasting"):
            assert getattr(both, field)[number] == getattr(tubes[name], field)[number]
        np.testing.assert_array_equal(made.softer.stiffness[number], models[name].softer.stiffness[number])
    held = [("S001", "H01"), (next(s.name for s in frame.struts if s.strut_class == "A"), None)]
    held[1] = (held[1][0], frame.strut(held[1][0]).end_1.hub)
    for strut, hub in held:
        name = frame.class_of(strut).section
        assert free_end_limits(made, both, [(strut, hub)])[strut] == \
            free_end_limits(models[name], tubes[name], [(strut, hub)])[strut]


def test_asked_for_the_one_make_a_mixed_model_refuses(mixed):
    with pytest.raises(StaticsError, match="have 2 sections"):
        _ = mixed[2].make


def test_flattened_ends_are_as_strong_as_their_own_tube():
    pair = Design(strut=StrutSection(section="tube", material="S235", outer_mm=27.0, wall_mm=1.5),
                  struts=(NamedStrut(name="thick", section="tube", material="S235", outer_mm=42.0, wall_mm=3.0, plies=2,
                                     ply_mm=3.0, arm_depth_mm=60.0),),
                  hub=HubSection(joint="bolted end", hole_mm=8.0, material="S235", plies=2, ply_mm=1.5,
                                 arm_depth_mm=40.0))
    thin, thick = (arm_capacity(with_section(pair, name)).axial_n for name in ("", "thick"))
    assert thick / thin == pytest.approx(2 * 60.0 / 40.0)


def test_a_strut_on_one_ball_bears_nothing_and_is_said_to_turn(lean_dome):
    design, frame, _ = lean_dome
    balls = design.model_copy(update={"hub": design.hub.model_copy(update={"joint": "ball node"})})
    made = model(frame, balls)
    assert made.dofs_per_hub == 3
    limit = free_end_limits(made, tube_capacity(made, balls), [("S001", "H01")])["S001"]
    assert (limit.value, limit.governs) == (0.0, Governs("hinge", "S001", "H01"))
