"""The largest factor of any load case: at it the first arm or tube comes close to its design value, second order."""

import numpy as np
import pytest
from statics_uses import design_uses

from fieldapp.base.constants import GAMMA_Q
from fieldapp.statics import loads
from fieldapp.statics.limits import Limit, solved
from fieldapp.statics.load_limit import load_limit, load_limits
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.tubes import tube_capacity


@pytest.fixture(scope="module")
def stage_two(lean_dome):
    """Two rings from the ground of that frame, and its tubes."""
    design, frame, made = lean_dome
    return solved(stage_of(made, [hub.name for hub in frame.hubs if hub.level <= 2])), tube_capacity(made, design)


def _downward(of, hubs):
    pull = np.zeros((len(hubs), *of.stage.fixed.shape))
    pull[np.arange(len(hubs)), [of.stage.model.hub_index[hub] for hub in hubs], 2] = -1.0
    return loads.on_hubs(of.stage, pull)


def test_a_factor_brings_the_first_arm_or_tube_to_its_design_value(stage_two):
    of, tubes = stage_two
    hubs = ["H11", "H15", "H20"]
    for weak in (tubes, tubes.weakened(0.05)):
        found = load_limits(of, _downward(of, hubs), weak, kind="hanging", at=hubs, most=1e4)
        assert [limit.at for limit in found] == hubs
        for limit, case in zip(found, hubs, strict=True):
            uses = design_uses(of, _downward(of, [case]) * (GAMMA_Q * limit.value), tubes=weak)
            assert 0.95 < uses.max() <= 1.0 + 1e-3
        assert load_limit(of, _downward(of, hubs), weak, kind="hanging", most=1e4).value == min(x.value for x in found)


def test_a_load_that_all_can_bear_ends_at_what_was_asked_for(stage_two):
    of, tubes = stage_two
    assert load_limit(of, _downward(of, ["H15"]), tubes, kind="hanging", most=1e-3) == Limit("hanging", 1e-3)
