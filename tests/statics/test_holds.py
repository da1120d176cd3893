"""The pin-jointed twin: counts of caps, which hubs move, and the fewest hubs to hold."""

import itertools

import numpy as np
import pytest

from fieldapp.frame.build import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.statics.holds import holds
from fieldapp.statics.mechanisms import mechanisms, stage_mechanisms
from fieldapp.statics.stiffness import Stage, stage_of


def _cap(frequency, cut):
    return build_frame(Design(frame=FrameSection(frequency=frequency, cut=cut, level_base=False, diameter_m=6.6)))


@pytest.mark.parametrize(("frequency", "cut", "self_stress"),
                         [(2, "1/2", 17), (3, "4/9", 27), (3, "5/9", 27), (4, "1/2", 37)])
def test_caps_free_and_with_a_pinned_rim(frequency, cut, self_stress):
    """n rim hubs: free s = 0, m = n − 3; rim pinned m = 0, s = 2 n − 3 (computed from Maxwell's rule and rank)."""
    frame = _cap(frequency, cut)
    rim = len(frame.ring(1))
    free = np.ones(frame.nodes_mm.shape, dtype=bool)
    loose = mechanisms(frame.nodes_mm, frame.ends, free)
    assert (loose.self_stress, loose.mechanisms - 6) == (0, rim - 3)
    free[:rim] = False
    pinned = mechanisms(frame.nodes_mm, frame.ends, free)
    assert (pinned.self_stress, pinned.mechanisms) == (self_stress, 0)
    assert self_stress == 2 * rim - 3


def test_large_and_small_solvers_agree(monkeypatch):
    from fieldapp.statics import mechanisms as room

    frame = _cap(4, "1/2")
    free = np.ones(frame.nodes_mm.shape, dtype=bool)
    small = mechanisms(frame.nodes_mm, frame.ends, free)
    monkeypatch.setattr(room, "_DENSE", 10)
    large = mechanisms(frame.nodes_mm, frame.ends, free)
    assert (large.self_stress, large.mechanisms) == (small.self_stress, small.mechanisms)
    assert large.moving.tolist() == small.moving.tolist()


def _held(stage, names):
    fixed = stage.fixed.copy()
    fixed[[stage.model.hub_index[name] for name in names], :3] = True
    return Stage(stage.model, stage.hubs, stage.struts, fixed)


def _stages(frame):
    order = [hub.name for hub in frame.hubs]
    return [order[:count] for count in (12, 14, 18, 19, 24, 28, 32, 34)]


def test_holding_the_holds_leaves_no_mechanism_and_none_of_them_is_idle(lean_dome):
    _, frame, made = lean_dome
    for hubs in _stages(frame):
        stage = stage_of(made, hubs)
        found = holds(stage)
        assert stage_mechanisms(_held(stage, found.hubs)).mechanisms == 0
        for hub in found.hubs:
            rest = [other for other in found.hubs if other != hub]
            assert stage_mechanisms(_held(stage, rest)).mechanisms > 0
        if stage_mechanisms(stage).mechanisms:
            assert found.hubs


def test_no_smaller_set_does_it(lean_dome):
    """Every smaller set of moving hubs is tried."""
    _, frame, made = lean_dome
    for hubs in _stages(frame)[:4]:
        stage = stage_of(made, hubs)
        found, twin = holds(stage), stage_mechanisms(stage)
        assert found.smallest
        moving = [made.hub_names[i] for i in twin.moving]
        for few in itertools.combinations(moving, max(len(found.hubs) - 1, 0)):
            assert not found.hubs or stage_mechanisms(_held(stage, few)).mechanisms > 0


def test_the_hub_that_moves_is_named(lean_dome):
    """One hub on two struts from the ground swings about the line of its two feet."""
    _, _, made = lean_dome
    stage = stage_of(made, [*(f"H{i:02d}" for i in range(1, 11)), "H11"])
    twin = stage_mechanisms(stage)
    assert [made.hub_names[i] for i in twin.moving] == ["H11"]
    assert (twin.self_stress, twin.mechanisms) == (10, 1)
    assert holds(stage).hubs == ("H11",)
