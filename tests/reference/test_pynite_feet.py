"""Feet that press on springs and never pull, against the one-way supports of PyNiteFEA, on a frame of ours.

Both solve the same contact problem, feet held sideways by the same springs, so they must agree to rounding: REL = 1e-5.
"""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.statics import loads
from fieldapp.statics.feet.contact import Springs, at_rest, ground_forces, settle
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import HELD, starts_of
from fieldapp.statics.model import model
from fieldapp.statics.response import response
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import factored, stage_of

REL = 1e-5

_spec = importlib.util.spec_from_file_location("pynite_frame", Path(__file__).parent / "pynite_frame.py")
pynite_frame = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pynite_frame)


@pytest.fixture(scope="module")
def half_open():
    """(frame, stage, first order) of a dome of which one side is up, under its weight and a pull at its top."""
    design = Design(
        frame=FrameSection(frequency=2, cut="1/2", level_base=False, diameter_m=5.0),
        strut=StrutSection(section="tube", material="EN AW-6060 T66", outer_mm=40.0, wall_mm=2.5),
        hub=HubSection(material="birch plywood 15", reach_mm=105.0, ply_mm=15.0, arm_depth_mm=44.0, mass_kg=0.5),
    )
    frame = build_frame(design)
    made = model(frame, design)
    rings = [[hub.name for hub in frame.hubs if hub.level == level] for level in (1, 2, 3)]
    hubs = [*rings[0], *rings[1][:7], *rings[2][:3]]
    stage = stage_of(made, hubs)
    ready = factored(stage)
    first = response(ready, loads.weight(stage) + loads.on_hubs(stage, _pull(stage)))
    return frame, stage, Solved(ready, first, ready, first)


def _pull(stage):
    """(1, n, 6) a slanting pull at the last hub that is in."""
    forces = np.zeros((1, *stage.fixed.shape))
    forces[0, stage.hubs[-1], :3] = 20.0, 60.0, 90.0
    return forces


@pytest.mark.parametrize("ground", [1000.0, 100.0])
def test_feet_press_as_on_one_way_supports(half_open, ground):
    frame, stage, of = half_open
    names = [name for name in stage.names(stage.hubs) if frame.hub(name).on_ground]
    feet = feet_of(of, footing(names, friction=0.4))
    starts = starts_of(feet, [(1.0, ground, HELD, -1)])
    assert starts.states.settled.all()
    ours = ground_forces(starts.springs, starts.states)[0][0]
    twin = pynite_frame.rebuilt(stage, hub_loads=_pull(stage)[0], springs=dict.fromkeys(feet.numbers.tolist(), ground))
    theirs = np.array([[-ground * getattr(twin.nodes[f"N{hub}"], axis)["Combo 1"] for axis in ("DX", "DY", "DZ")]
                       for hub in feet.numbers])
    theirs[:, 2] = np.maximum(theirs[:, 2], 0.0)
    assert (ours[:, 2] == 0).any(), "a foot must hang free, else nothing is checked"
    assert ours == pytest.approx(theirs, abs=REL * np.abs(theirs).max())


def test_a_settled_state_is_in_equilibrium_to_a_billionth(half_open):
    """Of the weight, and of weight × span for moments; about the front mark's axis, the side's and the upright."""
    frame, stage, of = half_open
    feet = feet_of(of, footing([name for name in stage.names(stage.hubs) if frame.hub(name).on_ground], friction=0.3))
    starts = starts_of(feet)
    assert starts.states.settled.all()
    ground, pegs = ground_forces(starts.springs, starts.states)
    weight = -of.weight.load.hubs_n[0]  # with the pull
    nodes, total = stage.model.nodes_mm, weight[:, 2].sum()
    span = np.ptp(nodes[feet.numbers, :2], axis=0).max()
    moments = (np.cross(nodes, weight[:, :3]) + weight[:, 3:]).sum(axis=0)
    crept = np.array([name == "crept" for name in starts.history])
    for factor, force, free in zip(starts.weight_factor, ground + pegs, crept, strict=True):
        if not free:  # crept feet keep a millionth of a spring until a load comes
            assert force.sum(axis=0) == pytest.approx(factor * weight[:, :3].sum(axis=0), abs=1e-9 * total)
            turned = np.cross(nodes[feet.numbers], force).sum(axis=0)
            assert turned == pytest.approx(factor * moments, abs=1e-9 * total * span)


def test_the_check_can_fail(half_open):
    """On another ground the feet press otherwise."""
    frame, stage, of = half_open
    feet = feet_of(of, footing([name for name in stage.names(stage.hubs) if frame.hub(name).on_ground], friction=0.3))
    pressing = feet.pressing_n(of.weight)
    forces = []
    for ground in (100.0, 1000.0):
        springs = Springs(feet.on, np.array([ground]), np.zeros((1, feet.count)), np.array([ground]), np.array([True]))
        forces.append(ground_forces(springs, settle(feet.stiffness, pressing, springs, at_rest(1, feet.count)))[0])
    assert np.abs(forces[0] - forces[1]).max() > 1e-3 * np.abs(forces[0]).max()
