"""Feet under the weight: forces within their cones, in all histories; one that hangs free presses not at all."""

import numpy as np
import pytest

from fieldapp.statics.feet.contact import ground_forces, settle
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.pegs_held import on_springs
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import CREPT, HELD, LAID_ON, starts_of
from fieldapp.statics.feet.strength import answers, cases_of
from fieldapp.statics.response import response

ONE = np.zeros(1, dtype=np.int64)


@pytest.fixture(scope="module")
def starts(half_up):
    of, _tubes, names, _top = half_up
    return starts_of(feet_of(of, footing(names, friction=0.25)))


def test_every_way_settles_and_keeps_to_its_law(starts):
    assert starts.states.settled.all()
    ground, pegs = ground_forces(starts.springs, starts.states)
    press, side = ground[:, :, 2], np.linalg.norm(ground[:, :, :2], axis=2)
    history = np.array(starts.history)
    assert (press >= 0).all()
    assert not pegs.any()
    assert (side <= 0.25 * press + 1e-9)[history != HELD].all()
    assert side[history == CREPT] == pytest.approx(0.0, abs=1e-9)
    assert (side > 0.25 * press + 1.0)[history == HELD].any()
    hangs = starts.hanging >= 0
    assert press[hangs, starts.hanging[hangs]] == pytest.approx(0.0)
    assert set(starts.history) == {LAID_ON, CREPT, HELD}
    assert "hangs free" in starts.taken(int(np.flatnonzero(hangs)[0]))


def test_on_very_hard_ground_that_holds_feet_stand_as_if_pinned(half_up):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.25))
    start = starts_of(feet, [(1.0, 1e9, HELD, -1)])
    held = -ground_forces(start.springs, start.states)[0].reshape(1, -1)
    pressing = feet.pressing_n(of.weight)
    assert (pressing[0, 2::3] < 0).all(), "no foot may be pulled here, else it would lift"
    assert held == pytest.approx(pressing, rel=1e-4, abs=1e-3)
    moved = answers(feet, cases_of(of.weight, np.ones(1), ONE), start.states)
    assert moved.arms == pytest.approx(of.weight.arms, rel=1e-4, abs=1.0)


def test_moved_feet_answer_as_displacements_given_to_the_frame(half_up):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.25))
    start = starts_of(feet, [(1.0, 100.0, LAID_ON, 0)])
    given = np.zeros((1, *of.stage.fixed.shape))
    given[0, feet.numbers, :3] = start.states.moved_mm[0]
    whole = response(of.ready, of.weight.load, given)
    moved = answers(feet, cases_of(of.weight, np.ones(1), ONE), start.states)
    assert moved.arms == pytest.approx(whole.arms, rel=1e-9, abs=1e-6)
    ground, _ = ground_forces(start.springs, start.states)
    reactions = of.ready.reactions(whole.displacements, of.weight.load.hubs_n)[:, feet.numbers, :3]
    assert ground == pytest.approx(reactions, abs=1e-6)


def test_springs_that_pegs_keep_to_balance_what_pushes(half_up):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.25, peg_up_n=100.0, peg_side_n=100.0))
    share = on_springs(feet, 1000.0)
    assert feet.rigid.T @ share == pytest.approx(feet.rigid.T, abs=1e-6)


def test_more_than_feet_can_hold_does_not_settle_and_is_not_told_as_standing(half_up):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.25))
    start = starts_of(feet, [(0.9, 1000.0, LAID_ON, -1)])
    shove = start.pressing_n.copy()
    shove[0, 0::3] += 100.0
    there = settle(feet.stiffness, shove, start.springs, start.states)
    assert not there.settled.any()
    assert there.moved_mm == pytest.approx(start.states.moved_mm)
