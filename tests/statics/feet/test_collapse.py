"""Collapse: more to hold on never lowers it, the ball of pushes is inside what is borne, no friction bears nothing."""

import numpy as np
import pytest
from feet_block import APEX, FEET, block, on_feet
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import StaticsError
from fieldapp.statics.feet.collapse import CollapseProgram, slides_apart
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.inscribed import CLOSE, inscribed
from fieldapp.statics.feet.middle import middle_of, surely_borne
from fieldapp.statics.feet.pushes import unit_pushes
from fieldapp.statics.feet.reduced import feet_of

SHARP = 1e-5
"""What the cone program is exact to."""


@pytest.fixture(scope="module")
def squat():
    return block(3000.0, 1500.0)


def _borne(of, direction, **holds):
    feet, _ = on_feet(of, **holds)
    pressing = np.asarray(direction) @ feet.pressing_n(unit_pushes(feet, APEX))
    found = CollapseProgram(feet, 0.9 * feet.pressing_n(of.weight)[0], pressing[None], 1e5).farthest(np.ones(1))
    assert found.settled
    return float(found.loads[0]) if found.stands else 0.0


forces = st.lists(st.floats(0.0, 300.0), min_size=4, max_size=4)


@settings(max_examples=25, deadline=None)
@given(mu=st.floats(0.05, 0.9), more=st.floats(0.0, 0.5), up=forces, side=forces, extra=st.floats(0.0, 200.0),
       angle=st.floats(0.0, 6.28), rise=st.floats(-1.0, 1.0))
def test_more_friction_and_stronger_pegs_never_lower_what_is_borne(squat, mu, more, up, side, extra, angle, rise):
    direction = np.array([np.cos(angle), np.sin(angle), rise])
    pegs = {"peg_up_n": dict(zip(FEET, up, strict=True)), "peg_side_n": dict(zip(FEET, side, strict=True))}
    there = _borne(squat, direction, friction=mu, **pegs)
    assert _borne(squat, direction, friction=mu + more, **pegs) >= there * (1 - SHARP) - SHARP
    stronger = {name: {foot: value + extra for foot, value in by.items()} for name, by in pegs.items()}
    assert _borne(squat, direction, friction=mu, **stronger) >= there * (1 - SHARP) - SHARP
    assert there >= _borne(squat, direction, friction=mu) * (1 - SHARP) - SHARP


HOLDS = [{"friction": 0.4}, {"friction": 0.1, "peg_up_n": 200.0, "peg_side_n": 150.0},
         {"friction": 0.3, "peg_up_n": {"H01": 80.0}, "peg_side_n": {"H01": 60.0, "H03": 90.0}},
         {"friction": 0.0, "peg_side_n": 150.0, "peg_up_n": 90.0}]


@pytest.mark.parametrize("holds", HOLDS)
def test_what_is_surely_borne_is_borne(squat, holds):
    feet, _ = on_feet(squat, **holds)
    pressing = feet.pressing_n(unit_pushes(feet, APEX))
    ball = inscribed(CollapseProgram(feet, feet.lightest_n, pressing, 1e4)).radius
    sure = [push for push in np.linspace(0.0, 1.2, 25) * ball if surely_borne(feet, pressing, push)]
    assert 0.2 * ball < max(sure) <= ball * (1 + CLOSE)


@pytest.mark.parametrize("holds", HOLDS)
def test_a_load_that_forces_in_the_middle_bear_is_borne(squat, holds):
    feet, _ = on_feet(squat, **holds)
    turns = np.random.default_rng(5).normal(size=(60, 3)) * np.geomspace(1.0, 3000.0, 60)[:, None]
    pressing = turns @ feet.pressing_n(unit_pushes(feet, APEX))
    sure = middle_of(feet).bear(pressing)
    borne = [CollapseProgram(feet, feet.lightest_n, one[None], 1.0).farthest(np.ones(1)) for one in pressing]
    assert sure.any()
    assert not sure.all()
    assert all(found.stands and found.loads[0] >= 1 - SHARP for found, good in zip(borne, sure, strict=True) if good)


def test_on_ice_no_push_is_surely_borne(squat):
    feet, _ = on_feet(squat, friction=0.0)
    assert not surely_borne(feet, feet.pressing_n(unit_pushes(feet, APEX)), 1.0)


def test_the_ball_is_inside_and_near(squat):
    feet, _ = on_feet(squat, friction=0.4)
    pressing = feet.pressing_n(unit_pushes(feet, APEX))
    ball = inscribed(CollapseProgram(feet, 0.9 * feet.pressing_n(squat.weight)[0], pressing, 1e4))
    assert ball.settled
    turns = np.random.default_rng(3).normal(size=(40, 3))
    turns /= np.linalg.norm(turns, axis=1, keepdims=True)
    borne = np.array([_borne(squat, turn, friction=0.4) for turn in turns])
    assert (ball.reach(turns) <= np.minimum(borne, 1e4 * 2) * (1 + SHARP)).all()
    assert ball.radius <= borne.min()
    assert _borne(squat, ball.worst, friction=0.4) <= ball.radius * (1 + 3 * CLOSE)


def test_without_friction_nothing_is_borne_sideways(squat):
    feet, _ = on_feet(squat, friction=0.0)
    assert feet.on.peg_before_anything == FEET
    assert _borne(squat, (1.0, 0.0, 0.0), friction=0.0) == pytest.approx(0.0, abs=0.05)


def test_six_movements_strain_nothing_and_a_held_hub_takes_three(squat):
    feet, _ = on_feet(squat, friction=0.4)
    assert feet.rigid.shape == (12, 6)


def test_a_foot_that_is_not_pinned_is_refused(squat):
    with pytest.raises(StaticsError, match="H05 is given as a foot but is not pinned in this stage"):
        feet_of(squat, footing([*FEET, APEX], friction=0.4))


def test_hinged_legs_slide_apart_without_friction_unless_their_feet_are_held():
    """Four legs of hinges with nothing between their feet spread flat on ice."""
    assert not slides_apart(on_feet(block(3000.0, 1500.0), friction=0.4)[0])
    assert slides_apart(on_feet(block(3000.0, 1500.0, braced=False), friction=0.4)[0])
    assert not slides_apart(on_feet(block(3000.0, 1500.0, braced=False), friction=0.4, peg_side_n=5000.0)[0])
