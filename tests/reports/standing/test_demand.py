"""What places are asked for, against the judge of ways and against solving every misfit by itself."""

from dataclasses import replace

import numpy as np
import pytest
from small_frame import small_design

from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.feet_bounds import pulled_on_feet
from fieldapp.plan.judge import judge
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.standing.demand import demand
from fieldapp.reports.standing.handling import handling
from fieldapp.statics.governs import PUSH, SIGHT
from fieldapp.statics.limits import hanging_utilisations, push_utilisations
from fieldapp.statics.loads import unit_pushes
from fieldapp.statics.response import response


@pytest.fixture(scope="module")
def small_case():
    return case_of(build_kit(small_design()))


@pytest.mark.parametrize("way", ["ring by ring", "crown set on last"])
def test_stages_agree_with_the_judge_of_the_way(small_case, way):
    case = small_case
    told = judge(case, way_plans(case.kit, way)[0])
    plan, rows = told.plan, told.rows
    asked = demand(case, plan)
    assert [stage.bears for stage in asked.stages] == [row.verdict for row in rows], "the very record of the plan"
    assert [stage.push.value for stage in asked.stages if np.isfinite(stage.push.value)] == pytest.approx(
        [limit.value for step in plan.steps for limit in step.limits_of(PUSH) if np.isfinite(limit.value)])
    arms, tubes = [row.design_utilisation for row in rows], [1.35 * row.tube_utilisation for row in rows]
    assert [stage.arm.utilisation for stage in asked.stages] == pytest.approx(arms, rel=1e-9)
    assert [stage.tube_utilisation for stage in asked.stages] == pytest.approx(tubes, rel=0.02)
    assert asked.arm.max() == pytest.approx(max(row.design_utilisation for row in rows))
    worst = asked.worst_arm
    frame = case.frame
    spot = frame.strut_index[worst.arm.strut], frame.strut(worst.arm.strut).end_at(worst.arm.hub) - 1
    assert asked.arm[spot] == pytest.approx(worst.arm.utilisation, rel=1e-8)
    assert asked.arm_step[spot] == worst.step


def _exact(design):
    """Of parts that come out as drawn, so that tolerances lock nothing in."""
    return design.model_copy(update={"strut": design.strut.model_copy(update={"length_error_mm": 0.0}),
                                     "hub": design.hub.model_copy(update={"angle_error_deg": 0.0})})


@pytest.mark.parametrize("number", [16, 23, 42, 60])
def test_handling_is_the_push_of_the_plan_where_that_is_largest_and_no_direction_is_worse(full_hall, number):
    plan, crew = full_hall.plan, full_hall.case.design.crew.model_copy(update={"push_n": 2000.0})
    design = _exact(full_hall.case.design).model_copy(update={"crew": crew})
    case = replace(full_hall.case, kit=replace(full_hall.case.kit, design=design))
    step, stage = plan.steps[number - 1], _stage(case, plan, number)
    found = handling(stage, stage.solved, step, stays=True)
    most = max(found.stations.max(), found.tubes.max())
    pushed = push_utilisations(stage.solved, case.tubes, [step.hub], 2000.0)[0].utilisation
    assert pushed * (1 - 2e-3) <= most <= max(pushed * (1 + 2e-3), 1.0), "below 1 it may be the wind's or a foot's"
    at = np.array([case.model.hub_index[step.hub]])
    unit = response(stage.solved.ready, unit_pushes(stage.solved.stage, at)).components
    for direction in np.random.default_rng(number).normal(size=(500, 3)):
        push = np.tensordot(2000.0 * direction / np.linalg.norm(direction), unit, axes=1)
        assert (np.abs(stage.solved.weight.components[0] + push).sum(axis=1) <= found.stations + 1e-9).all()


def test_handling_at_its_wind_and_its_low_foot_brings_no_arm_over_its_design_value(full_hall):
    """Without a push: arms and tubes at most 1; any one foot may hang free, and asks most of some arm or tube."""
    crew = full_hall.case.design.crew.model_copy(update={"push_n": 0.0})
    design = _exact(full_hall.case.design).model_copy(update={"crew": crew})
    case = replace(full_hall.case, kit=replace(full_hall.case.kit, design=design))
    for number in (20, 42, 60):
        stage = _stage(case, full_hall.plan, number)
        found = handling(stage, stage.solved, full_hall.plan.steps[number - 1], stays=True)
        assert max(found.stations.max(), found.tubes.max()) <= 1.0 + 1e-9
        assert stage.lag.governs.what == SIGHT
        hangs = np.abs(pulled_on_feet(stage.bearing).components).sum(axis=2).max(axis=0) / case.model.arm_lasting
        assert (found.stations >= hangs - 1e-9).all()
        assert hangs.max() > stage.solved.design_utilisation
        assert (found.tubes >= 1.35 * stage.tube[1] - 1e-9).any()


@pytest.fixture(scope="module")
def doored(small_hall):
    """26 hubs, a doorway left open."""
    frame = small_hall.kit.design.frame.model_copy(update={"doorway": True})
    return type(small_hall)(small_hall.kit.design.model_copy(update={"frame": frame}))


def test_a_strut_that_hangs_on_one_arm_bends_it_by_its_weight_times_half_its_lever(doored):
    """By hand, the tube's centre of mass at the middle of the strut, the arm's own weight within a hundredth."""
    model, frame = doored.case.model, doored.kit.frame
    step = doored.plan.steps[17]
    insertion = next(i for i in step.struts if not i.closes)
    use = hanging_utilisations(model, [(insertion.strut, insertion.hub)])[insertion.strut]
    row = model.strut_index[insertion.strut]
    x, y, z = model.axes.local[row]
    weight_n = 9.80665 * 420e-9 * np.pi * 15.0**2 * (model.axes.length_mm[row] - 2 * 110.0)
    end = int(model.ends[row, 1] == model.hub_index[insertion.hub])
    n, out, within = model.arm_capacity[row].reshape(4, 3)[2 * end]
    turn = float(model.axes.twist_rad[row]) if end else 0.0
    moment_nmm = 1.35 * weight_n * model.axes.length_mm[row] / 2
    across = np.array([z * np.cos(turn) - y * np.sin(turn), y * np.cos(turn) + z * np.sin(turn)])[:, 2]
    by_hand = 1.35 * weight_n * abs(x[2]) / n + moment_nmm * abs(across[0]) / out + moment_nmm * abs(across[1]) / within
    assert use == pytest.approx(by_hand, rel=0.02)
    assert doored.asked.handled.arm[row, end] >= use
    assert frame.strut(insertion.strut).end(end + 1).hub == insertion.hub


def _stage(case, plan, number):
    fitted = fitted_after(plan, number)
    stage = analysis(case, fitted)
    return stage if stage.stands else analysis(case, replace(fitted, held=plan.steps[number - 1].holds))


def test_places_left_out_are_asked_nothing(doored):
    rows = [doored.kit.frame.strut_index[place] for place in doored.plan.left_out if place.startswith("S")]
    assert rows
    assert not doored.asked.arm[rows].any()
    assert not doored.asked.tube[rows].any()
