"""One stage judged, for any set of parts."""

import numpy as np
import pytest
from statics_uses import design_uses, pushes, spread

from fieldapp.base.errors import FrameError
from fieldapp.base.said import in_words
from fieldapp.plan.bounds import SOURCES
from fieldapp.plan.case import case_of
from fieldapp.plan.motions import holds_by_step
from fieldapp.plan.planner import way_plans
from fieldapp.plan.spreading import spread_limits
from fieldapp.plan.stages import Fitted, analysis, fitted_after
from fieldapp.plan.words import feels, force
from fieldapp.statics.governs import SPREAD
from fieldapp.statics.loads import on_hubs
from fieldapp.statics.response import response


@pytest.fixture(scope="module")
def case(lean_kit):
    return case_of(lean_kit)


@pytest.fixture(scope="module")
def plan(lean_kit):
    return way_plans(lean_kit, "ring by ring")[0]


def test_the_finished_frame_has_2n_minus_3_states_of_self_stress(case, plan):
    """Triangulated cap, rim of n hubs pinned: m = 0, s = 2 n − 3, so 27 for n = 15 (Calladine 1978)."""
    stage = analysis(case, fitted_after(plan, 46))
    assert (stage.mechanisms, stage.self_stress, stage.holds) == (0, 27, ())


def test_a_push_at_the_limit_is_borne_in_every_direction_and_comes_close_to_use_in_the_worst(case, plan, monkeypatch):
    """Feet stay. 500 directions, 1.35 weight and 1.5 push (EN 1990), second order: none passes 1, one is close."""
    monkeypatch.delitem(SOURCES, "feet")
    stage = analysis(case, fitted_after(plan, 20))
    hub = plan.steps[19].hub
    limit_n = stage.push_limits([hub])[hub].value
    use = design_uses(stage.solved, pushes(stage.solved, hub, spread(500), limit_n), tubes=case.tubes).max()
    assert 0.9 < use <= 1 + 1e-3


def test_a_stage_that_needs_holding_says_so_and_stands_while_held(case):
    """A hub on one strut of pins is no stage; here: two hubs in the air that nothing ties to the ground."""
    hubs = ("H01", "H02", "H31", "H32")
    struts = tuple(s.name for s in case.frame.struts_between(hubs))
    stage = analysis(case, Fitted(hubs, struts, ("H01", "H02")))
    assert not stage.stands
    assert set(stage.falls) == {"H31", "H32"}
    assert set(stage.holds) <= {"H31", "H32"}
    held = analysis(case, Fitted(hubs, struts, ("H01", "H02"), held=stage.holds))
    assert held.mechanisms == 0


def _carried_n(stage):
    """What the struts hand to the ground, vertically."""
    ready, displacements = stage.solved.ready, stage.solved.weight.displacements
    return (ready.restoring_forces(displacements) * stage.solved.stage.fixed)[0, :, 2].sum()


def test_a_loose_strut_weighs_on_its_hub_and_has_a_limit_at_its_free_end(case, plan):
    done = fitted_after(plan, 20)
    next_strut = plan.steps[20].struts[-1]
    loose = analysis(case, Fitted(done.hubs, (*done.struts, next_strut.strut), done.stands_on, last=done.last))
    without = analysis(case, done)
    assert [strut for strut, _ in loose.loose] == [next_strut.strut]
    assert 0 < loose.free_end_limits[next_strut.strut].value < 50
    reaction = [_carried_n(stage) for stage in (loose, without)]
    tube_n = case.model.make.tube_weight_n_mm * (case.frame.strut(next_strut.strut).centre_length_mm - 160.0)
    assert reaction[0] - reaction[1] == pytest.approx(tube_n, rel=1e-6)


def test_an_arm_at_half_its_strength_is_used_twice_as_much(lean_kit, case, plan):
    fitted = fitted_after(plan, 46)
    sound = analysis(case, fitted)
    worst = sound.weight_utilisation
    end = lean_kit.frame.strut(worst.strut).end_at(worst.hub)
    weak = analysis(case_of(lean_kit, {(worst.strut, end): 0.5}), fitted)
    assert weak.weight_utilisation.utilisation == pytest.approx(2 * worst.utilisation)


def test_an_arm_that_is_gone_leaves_its_strut_loose(lean_kit, plan):
    strut = plan.steps[20].struts[0].strut
    stage = analysis(case_of(lean_kit, {(strut, 1): 0.0}), fitted_after(plan, 46))
    assert [name for name, _ in stage.loose] == [strut]
    assert strut not in stage.tied


def test_an_unknown_place_is_named(case):
    with pytest.raises(FrameError, match="there is no hub place H99"):
        analysis(case, Fitted(("H99",), (), ()))


def test_wind_and_level_are_there_and_sane(case, plan):
    stage = analysis(case, fitted_after(plan, 46))
    assert 2 < stage.wind.speed_m_s < 5, "loose on wet grass it slides"
    assert 5 < stage.wind.lift_off_m_s < 100
    assert stage.wind.act_first_m_s == pytest.approx(0.6 * stage.wind.speed_m_s)
    assert 1 < stage.lag.value < 500
    assert np.isfinite(stage.max_displacement_mm)
    assert stage.tube[1] < 1


def test_holds_followed_along_a_plan_are_those_of_its_steps(lean_kit, plan):
    assert [step.holds for step in plan.steps] == holds_by_step(lean_kit.frame, plan.steps)


def test_force_in_words_never_promises_too_much():
    assert in_words(feels(9.80665)) == "about the weight of a full 1-litre bottle"
    assert in_words(feels(9.7)) == "about the weight of a full half-litre bottle"
    assert in_words(force(9.99)) == "9.9 N"


def test_spreading_to_the_limit_uses_an_arm_up_on_pinned_feet_and_is_told_less_on_loose_ones(case, plan, monkeypatch):
    """Pushed apart by the limit, imposed as forces, the worst arm of the stage is at its design value."""
    number = next(step.number for step in plan.steps if step.level == 3 and any(i.closes for i in step.struts))
    loose = spread_limits(case, plan, number)
    monkeypatch.setattr("fieldapp.plan.spreading.spread_on_feet", lambda _stage, _pair, pinned: pinned)
    limits = spread_limits(case, plan, number)
    strut = next(iter(limits))
    done = fitted_after(plan, number)
    stage = analysis(case, done.with_struts(s for s in done.struts if s not in limits)).solved
    pair = np.zeros((1, *stage.stage.fixed.shape))
    start, end = case.model.ends[case.model.strut_index[strut]]
    along = case.model.axes.local[case.model.strut_index[strut], 0]
    pair[0, start, :3], pair[0, end, :3] = -along, along
    unit = response(stage.ready, on_hubs(stage.stage, pair))
    opening = float((unit.displacements[0, end, :3] - unit.displacements[0, start, :3]) @ along)
    parts = stage.design_components + unit.components[0] * limits[strut].value / opening
    assert 0.85 < np.abs(parts).sum(axis=1).max() <= 1.0  # in second order a little less than in first
    assert all(0 < loose[name].value < limits[name].value for name in limits)
    assert all(limit.governs and limit.kind == SPREAD for limit in limits.values())
