"""The least of all that can give way: no limit that is told is above any source's bound, and all say the same cause."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.said import in_words
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.kit import build_kit
from fieldapp.plan import bounds
from fieldapp.plan.case import case_of
from fieldapp.plan.judge import judge
from fieldapp.plan.limits import LIMITS
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stage_row import broken
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.prints.tables import step_rows
from fieldapp.statics.buckling import buckling_factor, strut_tension_n
from fieldapp.statics.causes import gives_way
from fieldapp.statics.governs import FOOT_LIFTS, HANDS, PEG, PUSH, STABILITY, WEIGHT, Governs, Limit
from fieldapp.statics.limits import push_limits
from fieldapp.wording.place import limit_words
from fieldapp.wording.raising import notes

from .conftest import exact


def _paper(frame):
    """Paper tubes on steel arms: strong arms, weak tubes."""
    return build_kit(Design(
        frame=frame,
        strut=StrutSection(section="tube", material="paper tube", outer_mm=60.0, wall_mm=4.0, stock_mm=3000.0,
                           length_error_mm=0.0),
        hub=HubSection(joint="flat arm", material="S235", reach_mm=120.0, plies=1, ply_mm=6.0, arm_depth_mm=40.0,
                       mass_kg=1.6, angle_error_deg=0.0)))


@pytest.fixture(scope="module", autouse=True)
def no_feet():
    """Feet are a source of their own (`test_feet_bounds`): here what arms, tubes and stability bear."""
    feet = bounds.SOURCES.pop("feet")
    yield
    bounds.SOURCES["feet"] = feet


LEAST, LARGER = (FrameSection(frequency=frequency, cut=cut, diameter_m=size)
                 for frequency, cut, size in ((1, "2/3", 3.0), (2, "1/2", 6.0)))


@pytest.fixture(scope="module", params=["plywood", "paper", *(
    pytest.param(f"{made}, 26 hubs", marks=pytest.mark.thorough) for made in ("plywood", "paper"))])
def told(request, exact_kit, tiny_kit):
    """A case and its judged plan, ring by ring."""
    made, *larger = request.param.split(", ")
    plywood = exact_kit if larger else build_kit(exact(tiny_kit.design))
    case = case_of(plywood if made == "plywood" else _paper(LARGER if larger else LEAST))
    return case, judge(case, way_plans(case.kit, "ring by ring")[0])


def test_no_limit_that_is_told_is_above_the_bound_of_any_source(told):
    case, judged = told
    for number in {len(judged.rows) * share // 26 for share in (8, 16, 21, 26)}:
        stage, row = analysis(case, fitted_after(judged.plan, number)), judged.rows[number - 1]
        if not stage.stands:
            continue
        own = push_limits(stage.solved, case.tubes)
        found = stage.push_limits()
        assert set(found) == set(own)
        assert all(found[hub].value == min(own[hub].value, 225.0) for hub in own)
        assert all(found[hub].frame.value == own[hub].value for hub in own)
        tension = strut_tension_n(stage.solved.first_weight)[0] * 1.35
        stability = buckling_factor(stage.solved.first_ready, tension)
        of_all = (1 / stage.design_utilisation, 1 / stage.design_tube[1], stability)
        assert row.verdict.value == pytest.approx(min(of_all), rel=1e-6)
        assert row.verdict.governs.what == ("arm", "tube", STABILITY)[int(np.argmin(of_all))]


def test_paper_tubes_fold_before_steel_arms_and_the_verdict_says_so():
    case = case_of(_paper(LEAST))
    judged = judge(case, way_plans(case.kit, "ring by ring")[0])
    assert judged.worst.verdict.governs.what == "tube"
    assert judged.worst.worst == pytest.approx(max(row.tube_utilisation for row in judged.rows) * 1.35, rel=0.05)


def test_page_booklet_and_table_say_the_same_number_and_the_same_cause(told):
    _case, judged = told
    plan = judged.plan
    heads = ("step", "hub", "ring", "struts", "waits_for", "holds", "height_mm", "reachable", "n", "what", "where")
    for step, cells in zip(plan.steps, step_rows(plan), strict=True):
        row = dict(zip(heads, cells, strict=True))
        (limit,) = step.limits_of(PUSH)
        if math.isinf(limit.value):
            assert row["n"] == row["what"] == ""
            continue
        assert float(row["n"]) == pytest.approx(limit.frame.value, rel=1e-2, abs=0.1)
        assert row["what"] == limit.frame.governs.what
        page = " ".join(limit_words(plan, step.hub))
        paper = " ".join(notes(step))
        words = f"{step.hub} bears more than a person pushes." if limit.governs.what == HANDS else \
            in_words(gives_way(limit.governs))
        assert words in page
        assert words in paper


def test_nothing_is_told_beyond_hands_and_eyes(told):
    _case, judged = told
    most = {"push": 225.0, "free end": 225.0, "lag": 100.0, "low hub": 100.0}
    limits = [limit for step in judged.plan.steps for limit in step.limits] + [row.level for row in judged.rows]
    assert all(limit.value <= most[limit.kind] or math.isinf(limit.value) for limit in limits)
    finite = (limit for limit in limits if math.isfinite(limit.value))
    said = [in_words(one) for limit in finite for one in LIMITS[limit.kind].at_place(limit)]
    hands = any(limit.governs and limit.governs.what == HANDS for limit in limits)
    assert any("more than a person pushes" in one for one in said) == hands
    assert not [one for one in said if "any push" in one or "inf" in one]


def test_a_hub_that_is_carried_is_promised_nothing(small_kit):
    case = case_of(small_kit)
    plan = way_plans(small_kit, "crown set on last")[0]
    step = next(step for step in plan.steps if step.carried_at)
    stage = analysis(case, fitted_after(plan, step.number))
    carried = stage.push_limits([step.carried_at[0]])[step.carried_at[0]]
    assert math.isinf(carried.value)
    assert list(LIMITS[PUSH].at_place(carried)) == []


def test_a_new_source_counts_everywhere_and_a_loose_foot_is_no_break(told, monkeypatch):
    """Pegs and loose feet, invented for this test: a peg that gives way breaks, a foot that lifts asks for a peg."""
    case, judged = told
    fitted = fitted_after(judged.plan, len(judged.rows))

    def pegs(_stage, kind, own):
        if kind == PUSH:
            yield from (Limit(PUSH, 7.0, limit.at, Governs(PEG, hub="H03")) for limit in own)
        if kind == WEIGHT:
            yield Limit(WEIGHT, 0.5, "H01", Governs(FOOT_LIFTS, hub="H01"))

    monkeypatch.setitem(bounds.SOURCES, "pegs", pegs)
    stage = analysis(case, fitted)
    assert {(limit.value, limit.governs.what) for limit in stage.push_limits().values()} == {(7.0, PEG)}
    assert not stage.breaks
    assert [limit.governs.hub for limit in stage.asks_for_pegs] == ["H01"]
    monkeypatch.setitem(bounds.SOURCES, "weak pegs", lambda _stage, kind, _own: [
        Limit(WEIGHT, 0.8, "H03", Governs(PEG, hub="H03"))] if kind == WEIGHT else [])
    assert analysis(case, fitted).breaks


def test_where_arms_and_tubes_would_bear_more_than_the_whole_frame_stability_governs(told):
    """Parts a thousand times as strong and no stiffer: what is left is the factor of the buckling problem itself."""
    case, judged = told
    fitted = fitted_after(judged.plan, len(judged.rows))
    strong = replace(case, model=replace(case.model, arm_capacity=case.model.arm_capacity * 1e3),
                     tubes=case.tubes.weakened(1e3))
    stage = analysis(strong, fitted)
    tension = strut_tension_n(stage.solved.first_weight)[0] * 1.35
    assert (stage.verdict.governs.what, stage.verdict.value) == (
        STABILITY, pytest.approx(buckling_factor(stage.solved.first_ready, tension)))
    assert not stage.breaks


def test_a_tube_that_folds_without_end_is_told_as_more_than_ten_times(told):
    """Tubes a thousandth as strong: their own weight folds them, the amplified moment has no end."""
    case, judged = told
    weak = replace(case, tubes=case.tubes.weakened(1e-4))
    row = judge(weak, judged.plan).worst
    assert (row.verdict.governs.what, row.worst > 10.0) == ("tube", True)
    assert "more than 10 of its strength" in in_words(broken(row))
