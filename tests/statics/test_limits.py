"""Limits hold: at the limit no direction or hub that was tried is used beyond 1, and the worst comes close to it."""

from dataclasses import replace

import numpy as np
import pytest
from statics_uses import design_uses, pushes, spread, sunk

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.statics import loads
from fieldapp.statics.limits import (
    Governs,
    Limit,
    free_end_limits,
    lag_limit,
    push_limits,
    push_utilisations,
    solved,
    weight_utilisation,
)
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.tubes import tube_capacity
from fieldapp.statics.wind import bears_gust, wind_directions, wind_limit


@pytest.fixture(scope="module")
def stage_two(lean_dome):
    """Two rings from the ground, first order."""
    _, frame, made = lean_dome
    return solved(stage_of(made, [hub.name for hub in frame.hubs if hub.level <= 2]))


@pytest.fixture(scope="module")
def tubes(lean_dome):
    """Tubes a thousand times as strong as that frame's, so that arms govern everything."""
    design, _, made = lean_dome
    real = tube_capacity(made, design)
    return replace(real.weakened(1e3), critical_n=real.critical_n * 1e3)


def test_no_direction_is_worse_than_the_worst(lean_dome, stage_two):
    """In second order, by either moduli; in the worst direction more than nine tenths are used."""
    design, _, made = lean_dome
    real = tube_capacity(made, design)
    limit = push_limits(stage_two, real, ["H15"])["H15"]
    uses = design_uses(stage_two, pushes(stage_two, "H15", spread(1000), limit.value), tubes=real)
    assert uses.max() <= 1.0 + 1e-3
    assert uses.max() > 0.9
    assert limit.governs.what in ("arm", "tube")


def test_the_worst_direction_reaches_the_use_that_is_reported(stage_two, tubes):
    (worst,) = push_utilisations(stage_two, tubes, ["H15"], 110.0)
    on = np.zeros((1, *stage_two.stage.fixed.shape))
    on[0, 14, :3] = 110.0 * np.array(worst.direction)
    both = stage_two.weight + response(stage_two.ready, loads.on_hubs(stage_two.stage, on))
    assert both.arm_utilisation.max() == pytest.approx(worst.utilisation, rel=1e-9)
    assert worst.utilisation > weight_utilisation(stage_two).utilisation


def test_push_limits_of_all_hubs_leave_out_the_held_ones(stage_two, tubes):
    assert sorted(push_limits(stage_two, tubes)) == [f"H{i}" for i in range(11, 21)]
    assert push_limits(stage_two, tubes, []) == {}


def test_level_tolerance_is_reached_at_its_hub_and_at_no_other_before(lean_dome, stage_two):
    design, _, made = lean_dome
    real, hubs = tube_capacity(made, design), [f"H{i:02d}" for i in range(1, 11)]
    tolerance = lag_limit(stage_two, np.arange(10), real)
    uses = design_uses(stage_two, *sunk(stage_two, hubs, tolerance.value), tubes=real).max(axis=0)
    assert uses.max() <= 1.0 + 1e-3


def test_nothing_depends_on_the_level_of_a_lone_hub(stage_two, tubes):
    assert lag_limit(stage_two, np.array([], dtype=np.int64), tubes) == Limit("low hub", np.inf)


def test_wind_limit_is_where_an_arm_or_tube_reaches_its_design_value(lean_dome, stage_two):
    design, _, made = lean_dome
    tubes = tube_capacity(made, design)
    limit = wind_limit(stage_two, tubes, terrain=design.raising.terrain)
    gust = loads.wind(stage_two.stage, wind_directions()) * (GAMMA_Q * 0.625e-6 * limit.speed_m_s**2)
    assert 0.9 < design_uses(stage_two, gust, tubes=tubes).max() <= 1.0 + 1e-3
    assert limit.governs.what in ("tube", "stability")
    assert (limit.act_first_m_s, limit.act_last_m_s) == pytest.approx((0.6 * limit.speed_m_s, 0.8 * limit.speed_m_s))
    assert limit.forecast_m_s < limit.speed_m_s
    assert limit.lift_off_m_s < limit.speed_m_s
    assert limit.uplift_n > 0
    assert bears_gust(stage_two, tubes, 0.98 * limit.value)
    assert not bears_gust(stage_two, tubes, 1.05 * limit.value)


def test_nothing_lifts_off_below_the_lift_off_gust(lean_dome, stage_two):
    design, _, made = lean_dome
    speed = wind_limit(stage_two, tube_capacity(made, design)).lift_off_m_s
    for factor, lifts in ((0.99, False), (1.01, True)):
        gust = response(stage_two.ready, loads.wind(stage_two.stage, wind_directions()))
        scale = GAMMA_Q * 0.625e-6 * (speed * factor) ** 2
        up = [(stage_two.ready.reactions(stage_two.weight.displacements, stage_two.weight.load.hubs_n)[0] * 0.9
               + scale * stage_two.ready.reactions(one.displacements, one.load.hubs_n)[0])[:10, 2].min()
              for one in (_case(gust, case) for case in range(24))]
        assert bool(min(up) < 0) is lifts


def _case(answer, case):
    one = slice(case, case + 1)
    load = loads.Load(answer.load.hubs_n[one], answer.load.arms[one], answer.load.across_n_mm[one])
    return type(answer)(answer.stage, answer.displacements[one], answer.arms[one], load)


def test_free_end_of_a_level_strut_by_hand(lean_dome, tubes):
    """Ground strut: level, its arm tilted; the push across the weak axis governs: (M_d − moments of weight) ÷ lever."""
    _, frame, made = lean_dome
    strut = frame.strut("S001")
    limit = free_end_limits(made, tubes, [("S001", strut.end_1.hub)])["S001"]
    lever = strut.centre_length_mm - 90.0
    arm_n, tube_n = made.make.arm_weight_n_mm * 90.0, made.make.tube_weight_n_mm * (lever - 90.0)
    moment = GAMMA_G * (arm_n * 45.0 + tube_n * (lever + 90.0) / 2)
    out_nmm, in_nmm = made.arm_capacity[0, 1:3]
    assert (out_nmm, in_nmm) == pytest.approx(
        (150.0 / 1.1 * 45.0 / np.sqrt(1.25), 150.0 / 1.1 * 450.0 / np.sqrt(1.25)))
    z, y = made.axes.local[0, 2], made.axes.local[0, 1]
    there = np.array([-moment * z[2] / out_nmm, -moment * y[2] / in_nmm])
    angle = np.linspace(0, 2 * np.pi, 7201)
    slope = GAMMA_Q * lever * np.stack((np.cos(angle) / out_nmm, np.sin(angle) / in_nmm), axis=1)
    low, high = np.zeros(len(angle)), np.full(len(angle), 1e4)
    for _ in range(60):
        middle = (low + high) / 2
        fits = np.abs(there + middle[:, None] * slope).sum(axis=1) <= 1.0
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    assert limit.value == pytest.approx(low.min(), rel=1e-3)
    assert limit.value == pytest.approx(1.358, rel=1e-3)    # computed, a regression value


def test_more_wind_or_weaker_arms_never_help(lean_dome, tubes):
    _, frame, made = lean_dome
    capacity = made.arm_capacity.copy()
    capacity[20:40] *= 0.5
    sound, weak = (solved(stage_of(of, [h.name for h in frame.hubs if h.level <= 2]))
                   for of in (made, replace(made, arm_capacity=capacity)))
    before, after = ({hub: limit.value for hub, limit in push_limits(of, tubes).items()} for of in (sound, weak))
    assert all(after[hub] <= before[hub] * (1 + 1e-9) for hub in before)
    assert min(after.values()) < 0.7 * min(before.values())


@pytest.mark.parametrize("amplifies", [False, True])
def test_where_tubes_are_weaker_than_arms_they_govern_every_limit(lean_dome, stage_two, tubes, amplifies):
    """No direction is worse than the limit says, and it is at most √2 times too careful."""
    _, _, made = lean_dome
    each = np.full(len(tubes.lasting), amplifies)
    weak = replace(tubes.weakened(2e-4), amplifies=each, critical_n=tubes.critical_n * 1e-3)
    limit = push_limits(stage_two, weak, ["H15"])["H15"]
    assert limit.governs.what == "tube"
    assert 0 < limit.value < push_limits(stage_two, tubes, ["H15"])["H15"].value
    for push_n, most in ((limit.value, 1.0 + 1e-3), (limit.value * np.sqrt(2) * 1.1, np.inf)):
        use = design_uses(stage_two, pushes(stage_two, "H15", spread(500), push_n), tubes=weak).max()
        assert use <= most
    assert use > 1.0
    low = lag_limit(stage_two, np.arange(10), weak)
    assert low.governs.what == "tube"
    assert 0.98 < design_uses(stage_two, *sunk(stage_two, [low.at], low.value), tubes=weak).max() <= 1.0 + 1e-3
    free_mm = float(made.axes.length_mm[0]) - 2 * made.make.reach_mm
    own_nmm = GAMMA_G * made.make.tube_weight_n_mm * free_mm**2 / 2
    bending = np.full(len(made.ends), own_nmm + GAMMA_Q * 0.5 * free_mm)
    end = free_end_limits(made, replace(weak, bending_nmm=bending), [("S001", "H01")])["S001"]
    assert (end.governs, end.value) == (Governs("tube", "S001", "H01"), pytest.approx(0.5))

