"""Hanging, a ladder, a strut lost: whole frames against PyNiteFEA, as `test_pynite.py` compares them (REL 1e-6)."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from fieldapp.statics import loads
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import factored, stage_of

_spec = importlib.util.spec_from_file_location("test_pynite", Path(__file__).parent / "test_pynite.py")
pynite = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pynite)


@pytest.fixture(scope="module")
def small():
    return pynite._made(2, "1/2", level=False)


@pytest.mark.parametrize(("strut", "force"), [
    ("S040", (0.0, 0.0, -1000.0)),                     # one person hangs from the middle of a strut
    ("S055", (120.0, 156.0, 0.0)),                     # a ladder leans there
])
def test_a_force_on_the_middle_of_a_strut(small, strut, force):
    frame, made = small
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    number = made.strut_index[strut]
    load = loads.weight(stage) + loads.at_middles(stage, np.searchsorted(stage.struts, [number]), np.array([force]))
    twin = pynite.pynite_frame.rebuilt(stage, middle=(number, force))
    pynite._compare(stage, load, twin)
    tube = twin.members[f"M{number}.1"]
    ours = np.sqrt(np.square(_moments(stage, load)[np.searchsorted(stage.struts, number), 8]).sum())
    theirs = np.hypot(tube.moment("My", tube.L() / 2), tube.moment("Mz", tube.L() / 2))
    assert ours == pytest.approx(theirs, rel=1e-6)


def _moments(stage, load):
    from fieldapp.statics.tubes import tube_moments_nmm

    return tube_moments_nmm(response(factored(stage), load))[0]


@pytest.mark.parametrize("lost", ["S001", "S030", "S065"])
def test_a_strut_lost(small, lost):
    frame, made = small
    left = [strut.name for strut in frame.struts if strut.name != lost]
    stage = stage_of(made, [hub.name for hub in frame.hubs], left)
    whole = pynite.pynite_frame.rebuilt(stage)
    pynite._compare(stage, loads.weight(stage), whole)


def test_the_comparison_can_fail(small):
    frame, made = small
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    number = made.strut_index["S040"]
    load = loads.weight(stage) + loads.at_middles(stage, np.array([number]), np.array([[0.0, 0.0, -1000.0]]))
    with pytest.raises(AssertionError):
        pynite._compare(stage, load, pynite.pynite_frame.rebuilt(stage, middle=(number, (0.0, 0.0, -1001.0))))
