"""Which feet are pegged before which step, with how much; and that plans keep it."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldapp.base.errors import PlanError
from fieldapp.frame.ground import GroundSection
from fieldapp.plan.case import case_of
from fieldapp.plan.foot_needs import PEG_GUST_M_S, foot_demands, needs_pegs
from fieldapp.plan.footing import ballast_needed_n, footing_of
from fieldapp.plan.judge import judge
from fieldapp.plan.kept import keep_plan, kept_plan
from fieldapp.plan.pegging import LEAST_N, ROUND_UP_N, FootNeed, peggings_of
from fieldapp.plan.plan import Step
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.prints.tables import foot_rows
from fieldapp.statics.wind import beaufort
from fieldapp.wording.pegs import plan_pegs

NAMES = [f"H{number:02d}" for number in range(1, 6)]


def steps(count):
    return [Step(number, f"H{number:02d}", 1, (), ()) for number in range(1, count + 1)]


@st.composite
def demands(draw):
    """Feet come in one by one; from some stage on all of them are asked for."""
    count = draw(st.integers(1, 8))
    begun, force = draw(st.integers(1, 9)), st.sampled_from([0.0, 0.01, 3.0, 47.0])
    return [{hub: FootNeed(draw(force), draw(force), is_needed=number >= begun) for hub in NAMES[:number]}
            for number in range(1, count + 1)]


@given(demands(), st.sets(st.sampled_from(NAMES)))
def test_every_foot_that_needs_it_is_held_in_time_by_enough_and_once(needs, always):
    found = peggings_of(steps(len(needs)), needs, always)
    told = [foot for pegging in found for foot in pegging.feet]
    assert len({foot.hub for foot in told}) == len(told)
    before = {foot.hub: pegging.before for pegging in found for foot in pegging.feet}
    came_in = {hub: next(n for n, stage in enumerate(needs, start=1) if hub in stage) for hub in needs[-1]}
    for number, stage in enumerate(needs, start=1):
        for hub, need in stage.items():
            if need.is_needed:
                foot = next(one for one in told if one.hub == hub)
                assert before[hub] <= max(number, came_in[hub] + 1)
                assert foot.up_n >= need.up_n - LEAST_N
                assert foot.sideways_n >= need.sideways_n - LEAST_N
                assert foot.needed_from <= number
    assert {hub for hub in needs[-1] if hub in always} <= set(before)
    assert all(before[hub] > came_in[hub] for hub in before)
    assert [pegging.before for pegging in found] == sorted({pegging.before for pegging in found})
    assert all(foot.up_n % ROUND_UP_N == 0 for foot in told)


@pytest.fixture(scope="module")
def judged(small_kit):
    return judge(case_of(small_kit), way_plans(small_kit, "ring by ring")[0])


def test_all_feet_are_pegged_before_anything_is_put_upon_them_with_enough_for_every_stage(judged, small_kit):
    """The ground ring lies there for itself; the first hub above it is the first that could fall on somebody."""
    plan = judged.plan
    first = next(step.number for step in plan.steps if not small_kit.frame.hub(step.hub).on_ground)
    (pegging,) = plan.peggings
    assert pegging.before == first
    assert pegging.hubs == tuple(hub.name for hub in small_kit.frame.hubs if hub.on_ground)
    later = [one for one in judged.feet if int(one.stage) >= first]
    assert pegging.up_n >= max(one.must_hold_up_n for one in later)
    assert pegging.sideways_n >= max(one.must_hold_side_n for one in later)
    assert any(one.lifts for one in later)


def test_pegs_are_told_to_hold_until_people_have_left():
    """At 80 % of the gust it is Beaufort 5, at which people come down from ladders."""
    assert beaufort(0.8 * PEG_GUST_M_S) == 5


def test_the_table_of_feet_has_every_foot_of_every_stage_and_no_force_is_rounded_down(judged, small_kit):
    rows = list(foot_rows(judged))
    last = [row for row in rows if row[0] == str(len(judged.plan.steps))]
    assert [row[1] for row in last] == [hub.name for hub in small_kit.frame.hubs if hub.on_ground]
    for row, demand in zip(rows, judged.feet, strict=True):
        assert float(row[6]) >= demand.must_hold_up_n - 1e-6


def test_planned_pegs_are_in_the_stages_that_follow(judged):
    plan = judged.plan
    first = plan.peggings[0]
    assert set(first.hubs) <= set(fitted_after(plan, first.before).pegged)
    assert not set(first.hubs) & set(fitted_after(plan, first.before - 1).pegged)


def test_a_kept_plan_keeps_its_pegs(judged, small_kit, tmp_path):
    keep_plan(tmp_path, small_kit.design, judged.plan)
    assert kept_plan(tmp_path, small_kit.design) == judged.plan


def test_pegs_count_by_the_pull_tests_of_the_design_and_for_nothing_without():
    tested = GroundSection(held_by="pegs", per_foot=2, pull_test_up_n=(400.0,), pull_test_sideways_n=(600.0,))
    on = footing_of(tested, ("H01", "H02"), held=("H02",))
    assert (on.peg_up_n.tolist(), on.peg_side_n.tolist()) == ([0.0, 200.0], [0.0, 300.0])
    untested = footing_of(replace_ground(tested), ("H01",), held=("H01",))
    assert not untested.is_held
    heavy = footing_of(GroundSection(held_by="ballast", ballast_kg=10.0, per_foot=2), ("H01",), held=("H01",))
    assert heavy.ballast_n.tolist() == [pytest.approx(0.9 * 20 * 9.80665)]
    assert footing_of(GroundSection(stands_on="clay"), ("H01",)).peg_before_anything == ("H01",)


def replace_ground(ground):
    return ground.model_copy(update={"pull_test_up_n": (), "pull_test_sideways_n": ()})


@given(st.floats(0.0, 500.0), st.floats(0.0, 500.0), st.sampled_from(["grass", "gravel", "concrete"]))
def test_ballast_of_the_told_weight_neither_lifts_nor_slides(up_n, sideways_n, stands_on):
    ground = GroundSection(stands_on=stands_on)
    weight_n = 0.9 * ballast_needed_n(ground, up_n, sideways_n)
    assert weight_n >= up_n - 1e-9
    assert ground.foot_friction * (weight_n - up_n) >= sideways_n - 1e-9
    assert math.isinf(ballast_needed_n(GroundSection(stands_on="clay"), up_n, sideways_n + 1.0))


def test_the_grounds_own_spring_counts_beside_firm_and_soft_ground(small_kit):
    """1000 and 100 N/mm in any case, the worst of all: an answer can lower what is told, never raise it."""
    assert footing_of(GroundSection(), ["H01"]).stiffnesses_n_mm == (1000.0, 100.0)
    own = footing_of(GroundSection(gives_n_mm=10.0), ["H01"])
    assert own.stiffnesses_n_mm == (1000.0, 100.0, 10.0)
    case, plan = case_of(small_kit), way_plans(small_kit, "ring by ring")[0]
    ground = small_kit.design.ground.model_copy(update={"gives_n_mm": 30.0})
    soft = replace(case, kit=replace(case.kit, design=small_kit.design.model_copy(update={"ground": ground})))
    told = [[analysis(on, fitted_after(plan, number)).verdict.value for on in (soft, case)] for number in range(18, 27)]
    assert all(own <= ours * (1.0 + 1e-9) for own, ours in told)
    assert any(own < 0.98 * ours for own, ours in told)


def test_a_foot_that_is_none_is_named(small_kit):
    wrong = small_kit.design.model_copy(update={"ground": GroundSection(
        held_by="pegs", which_feet=("H01", "H26"))})
    kit = replace(small_kit, design=wrong)
    plan = way_plans(kit, "ring by ring")[0]
    with pytest.raises(PlanError, match=r"ground\.which_feet names H26, which is no foot of this frame; its feet"):
        judge(replace(case_of(small_kit), kit=kit), plan)


def test_a_ring_on_the_ground_waits_for_its_pegs_and_what_stands_on_it_does_not(small_kit, judged):
    """Without anything above the ground nothing can fall, however light it is and however slippery the ground."""
    case = case_of(small_kit)
    ring, above = (analysis(case, replace(fitted_after(judged.plan, number), pegged=())) for number in (10, 11))
    assert not needs_pegs(ring, foot_demands(ring, 15))
    assert needs_pegs(above, foot_demands(above, 16))


def test_feet_without_any_grip_are_pegged_before_anything_else(tiny_kit):
    """Clay of which no area was measured holds nothing."""
    clay = tiny_kit.design.model_copy(update={"ground": GroundSection(stands_on="clay")})
    kit = replace(tiny_kit, design=clay)
    found = judge(replace(case_of(tiny_kit), kit=kit), way_plans(kit, "ring by ring")[0]).plan
    assert [pegging.before for pegging in found.peggings][:3] == [2, 3, 4]
    assert found.peggings[0].hubs == ("H01",)
    assert plan_pegs(found, clay.ground)[0].startswith("Nothing is known of the grip of this ground")
