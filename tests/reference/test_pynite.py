"""Whole stages of our frames against PyNiteFEA (general-purpose frame library), each strut as three members.

Both solve the same linear frame (Euler–Bernoulli), so they must agree to rounding: REL = 1e-6.
Moments are compared with the largest of their stage, since small ones are differences of large ones.
"""

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.frame.struts import NamedStrut
from fieldapp.statics import loads
from fieldapp.statics.lift import lifted_stage
from fieldapp.statics.model import model
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import factored, stage_of

REL = 1e-6

_spec = importlib.util.spec_from_file_location("pynite_frame", Path(__file__).parent / "pynite_frame.py")
pynite_frame = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pynite_frame)


def _made(frequency, cut, *, level=True):
    design = Design(
        frame=FrameSection(frequency=frequency, cut=cut, level_base=level, diameter_m=5.6),
        strut=StrutSection(section="tube", material="EN AW-6060 T66", outer_mm=40.0, wall_mm=2.5),
        hub=HubSection(material="birch plywood 15", reach_mm=105.0, ply_mm=15.0, arm_depth_mm=44.0, mass_kg=0.5),
    )
    frame = build_frame(design)
    return frame, model(frame, design)


@pytest.fixture(scope="module")
def small():
    return _made(2, "1/2", level=False)


@pytest.fixture(scope="module")
def large():
    return _made(3, "4/9")


def _rings(frame, numbers):
    return [hub.name for hub in frame.hubs if hub.level in numbers]


def _compare(stage, load, twin, imposed=None):
    answer = response(factored(stage), load, imposed)
    theirs = pynite_frame.displacements(twin, stage)
    for part in (slice(0, 3), slice(3, 6)):
        size = np.abs(theirs[:, part]).max()
        assert answer.displacements[0, :, part] == pytest.approx(theirs[:, part], rel=0, abs=REL * size)
    forces = pynite_frame.arm_forces(twin, stage, stage.model.reach_mm)
    for part in range(3):
        size = forces[..., part].max()
        assert np.abs(answer.arms[0, ..., part]) == pytest.approx(forces[..., part], rel=0, abs=REL * size)


def _point_load(stage, hub, force):
    on = np.zeros((1, *stage.fixed.shape))
    on[0, stage.model.hub_index[hub], :3] = force
    return on


@pytest.mark.parametrize("upto", [2, 3, 4])
def test_stages_from_the_ground_under_weight_and_a_push(small, upto):
    frame, made = small
    stage = stage_of(made, _rings(frame, range(1, upto + 1)))
    push = _point_load(stage, stage.names(stage.hubs)[-1], (110.0, 40.0, -30.0))
    twin = pynite_frame.rebuilt(stage, hub_loads=push[0])
    _compare(stage, loads.weight(stage) + loads.on_hubs(stage, push), twin)


def test_an_unfinished_ring_of_the_level_frame_under_weight_and_a_push(large):
    frame, made = large
    stage = stage_of(made, [*_rings(frame, (1,)), *_rings(frame, (2,))[:6]])
    push = _point_load(stage, "H19", (0.0, 110.0, 0.0))
    twin = pynite_frame.rebuilt(stage, hub_loads=push[0])
    _compare(stage, loads.weight(stage) + loads.on_hubs(stage, push), twin)


def test_the_whole_level_frame_under_weight_and_a_push(large):
    frame, made = large
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    push = _point_load(stage, "H35", (0.0, 110.0, -50.0))
    twin = pynite_frame.rebuilt(stage, hub_loads=push[0])
    _compare(stage, loads.weight(stage) + loads.on_hubs(stage, push), twin)


def test_a_crown_lifted_at_its_rim(large):
    frame, made = large
    stage = lifted_stage(made, _rings(frame, (3, 4, 5)), [hub.name for hub in frame.level(3)][::2])
    _compare(stage, loads.weight(stage), pynite_frame.rebuilt(stage))


def test_the_whole_frame_with_one_ground_hub_sunk_by_20_mm(small):
    frame, made = small
    stage = stage_of(made, _rings(frame, range(1, 5)))
    sunk = np.zeros((1, *stage.fixed.shape))
    sunk[0, 3, 2] = -20.0
    _compare(stage, loads.weight(stage), pynite_frame.rebuilt(stage, imposed={3: 20.0}), imposed=sunk)


def test_wind_on_the_bare_struts(small):
    frame, made = small
    stage = stage_of(made, _rings(frame, range(1, 5)))
    direction = np.array([0.6, 0.8, 0.0])
    twin = pynite_frame.rebuilt(stage, wind=(100e-6, direction), weight=False)
    _compare(stage, loads.wind(stage, direction[None]) * 100e-6, twin)


def test_the_comparison_can_fail(small):
    frame, made = small
    stage = stage_of(made, _rings(frame, (1, 2)))
    push = _point_load(stage, stage.names(stage.hubs)[-1], (110.0, 0.0, 0.0))
    twin = pynite_frame.rebuilt(stage, hub_loads=push[0] * (1 + 1e-4))
    with pytest.raises(AssertionError):
        _compare(stage, loads.weight(stage) + loads.on_hubs(stage, push), twin)


def test_struts_of_two_sections_under_weight_wind_and_a_push(small):
    """Every second length is a solid pole of another material: each strut bends, weighs and catches wind as its own."""
    frame, _ = small
    pole = NamedStrut(name="pole", section="rod", material="C24", outer_mm=52.0)
    mixed = replace(frame, strut_classes=tuple(replace(each, section="pole" if each.bands % 2 else "")
                                               for each in frame.strut_classes))
    made = model(mixed, Design(
        strut=StrutSection(section="tube", material="EN AW-6060 T66", outer_mm=40.0, wall_mm=2.5), struts=(pole,),
        hub=HubSection(material="birch plywood 15", reach_mm=105.0, ply_mm=15.0, arm_depth_mm=44.0, mass_kg=0.5)))
    stage = stage_of(made, _rings(frame, range(1, 5)))
    assert len(set(made.makes.at[stage.struts])) == 2
    push, blows = _point_load(stage, stage.names(stage.hubs)[-1], (110.0, 40.0, -30.0)), np.array([0.6, 0.8, 0.0])
    twin = pynite_frame.rebuilt(stage, hub_loads=push[0], wind=(2e-4, blows))
    _compare(stage, loads.weight(stage) + loads.on_hubs(stage, push) + loads.wind(stage, blows[None]) * 2e-4, twin)
