"""A force on the middle of a strut: closed forms of a beam with a point load, and equilibrium."""

import numpy as np
import pytest

from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.sections import tube
from fieldapp.statics import loads
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import Response, response
from fieldapp.statics.stiffness import Stage, factored, stage_of
from fieldapp.statics.tubes import tube_moments_nmm

C24 = material("C24")
LENGTH_MM, PUSH_N = 2000.0, 700.0
SIMPLE = [[True, True, True, True, False, False]] * 2


def _answer(make, *, fixed, force=(0.0, 0.0, -PUSH_N)):
    nodes = np.array([[0.0, 0.0, 0.0], [LENGTH_MM, 0.0, 0.0]])
    made = bare_model(nodes, np.array([[0, 1]]), make, outward=np.tile([0.0, 0.0, 1.0], (2, 1)),
                      on_ground=np.array([True, True]))
    loose = stage_of(made, made.hub_names)
    stage = Stage(made, loose.hubs, loose.struts, np.array(fixed, dtype=bool))
    load = loads.at_middles(stage, np.array([0]), np.array([force]))
    if np.all(fixed):
        return Response(stage, np.zeros((1, 2, 6)), load.arms.reshape(1, 1, 4, 3), load), load
    return response(factored(stage), load), load


def _make(joint, reach, **springs):
    section = tube(40.0, 4.0)
    return Make(JOINTS[joint], reach, section, C24, section, C24, hub_mass_kg=0.0, **springs)


@pytest.mark.parametrize(("joint", "reach"), [("flat arm", 200.0), ("bolted end", 200.0), ("spring", 0.0)])
def test_a_simple_beam_has_p_l_over_4(joint, reach):
    springs = {"stiffness_out_nmm_rad": 1e14, "stiffness_in_nmm_rad": 1e14} if joint != "flat arm" else {}
    answer, _ = _answer(_make(joint, reach, **springs), fixed=SIMPLE)
    assert np.abs(tube_moments_nmm(answer)[0, 0]).max() == pytest.approx(PUSH_N * LENGTH_MM / 4, rel=1e-6)
    assert answer.arms[0, 0, [0, 2], 1] == pytest.approx([0.0, 0.0], abs=1.0)


def test_a_clamped_beam_has_p_l_over_8_at_ends_and_middle():
    answer, load = _answer(_make("flat arm", 200.0), fixed=[[True] * 6] * 2)
    moments = tube_moments_nmm(answer)[0, 0]
    assert np.abs(answer.arms[0, 0, [0, 2], 1]) == pytest.approx([PUSH_N * LENGTH_MM / 8] * 2, rel=1e-9)
    assert np.abs(moments[8]).max() == pytest.approx(PUSH_N * LENGTH_MM / 8, rel=1e-9)
    assert np.sign(moments[8, 0]) == -np.sign(moments[0, 0])                 # hogs at the joint, sags in the middle
    assert load.hubs_n[0, :, 2] == pytest.approx([-PUSH_N / 2] * 2)
    assert np.abs(load.hubs_n[0, :, 4]) == pytest.approx([PUSH_N * LENGTH_MM / 8] * 2)


def test_along_the_strut_half_goes_to_either_end():
    answer, _ = _answer(_make("flat arm", 200.0), fixed=[[True] * 6] * 2, force=(PUSH_N, 0.0, 0.0))
    assert answer.arms[0, 0, :, 0] == pytest.approx([PUSH_N / 2] * 2 + [-PUSH_N / 2] * 2)


def test_hinges_hold_a_point_load_as_a_simple_beam():
    answer, load = _answer(_make("spring", 150.0), fixed=[[True] * 6] * 2)
    assert load.hubs_n[0, :, 3:] == pytest.approx(np.zeros((2, 3)), abs=1e-6)
    assert np.abs(tube_moments_nmm(answer)[0, 0]).max() == pytest.approx(PUSH_N * LENGTH_MM / 4, rel=1e-9)


def test_what_goes_to_the_hubs_balances_what_acts_on_the_struts(small_dome):
    _, frame, made = small_dome
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    rows, forces = np.arange(len(stage.struts)), np.random.default_rng(3).normal(size=(len(stage.struts), 3))
    load = loads.at_middles(stage, rows, forces)
    middles = made.nodes_mm[made.ends].mean(axis=1)[stage.struts]
    moment = np.cross(made.nodes_mm, load.hubs_n[..., :3]).sum(axis=1) + load.hubs_n[..., 3:].sum(axis=1)
    assert load.hubs_n[..., :3].sum(axis=1) == pytest.approx(forces, abs=1e-9)
    assert moment == pytest.approx(np.cross(middles, forces), abs=1e-6)


def test_loads_keep_their_point_loads_when_added_and_scaled(small_dome):
    _, frame, made = small_dome
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    ready = factored(stage)
    point = loads.at_middles(stage, np.array([7, 9]), np.array([[0.0, 0.0, -1.0], [0.0, 0.0, -1.0]]))
    both = response(ready, loads.weight(stage)) * 1.35 + response(ready, point) * 1500.0
    apart = tube_moments_nmm(response(ready, loads.weight(stage))) * 1.35 + tube_moments_nmm(
        response(ready, point)) * 1500.0
    assert tube_moments_nmm(both) == pytest.approx(apart, rel=1e-9, abs=1e-6)
    assert np.abs(tube_moments_nmm(response(ready, point)))[0].max(axis=(1, 2)).argmax() == 7
