"""Ways compared, the one recommended, and the one the design chooses against advice."""

import json
import re

import pytest
from click.testing import CliRunner

from fieldapp.base.errors import PlanError
from fieldapp.base.said import in_words
from fieldapp.cli_plan import arm_test, compare, show_progress
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.template import design_text
from fieldapp.kit import build_kit
from fieldapp.plan import erection_plan, firm
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import WayReport, effort_of
from fieldapp.plan.compare import compare as compared
from fieldapp.plan.judge import judge
from fieldapp.plan.order import recommended, refused_if_breaking
from fieldapp.plan.planner import way_names, way_plans
from fieldapp.plan.teams import timetable
from fieldapp.plan.telling import listening
from fieldapp.plan.words import SAFETY
from fieldapp.prints.terminal import plan_lines
from fieldapp.prints.terminal.comparison import everything


def _with(design, **raising):
    return design.model_copy(update={"raising": design.raising.model_copy(update=raising)})


def _plan(design):
    kit = build_kit(design)
    return erection_plan(kit)


def _arms_that_broke_at(kit, load_n):
    """The same frame on arms that four break tests found so strong."""
    return build_kit(kit.design.model_copy(update={"hub": kit.design.hub.model_copy(update={
        "test_lever_mm": 600.0, "test_loads_n": tuple(load_n * share for share in (1.0, 1.02, 1.05, 0.99))})}))


def test_ring_by_ring_stands_and_crown_first_breaks(small_kit):
    found = compared(small_kit)
    assert not found.report("ring by ring").judged.breaks
    assert in_words(found.report("crown first").verdict).startswith("breaks: the arm of H")
    assert erection_plan(small_kit).way == found.recommended


def test_of_ways_that_stand_the_verdict_names_who_is_out_of_reach_and_what_is_too_high_to_lift(lean_kit, small_kit):
    """What breaks is asked of another frame; which of the two ranks first: `test_hand_lifts.py`."""
    stands = compared(small_kit).report("ring by ring").judged
    ring, set_on = (WayReport(way, stands, effort_of(lean_kit, way_plans(lean_kit, way)[0]), 9)
                    for way in ("ring by ring", "crown set on last"))
    assert in_words(ring.verdict) == "out of reach: H41, H42, H45, H43, H44, H46"
    assert set_on.effort.out_of_reach == ()
    assert in_words(set_on.verdict).startswith(
        "too high to lift by hand: it ends at 2.31 m, hands reach 1.86 m from the ground (DIN 33402-2)")


@pytest.mark.parametrize(("load_n", "broken"), [(None, 1), (22.0, 2), (1.0, 4)])
def test_a_recommendation_looks_at_fewer_ways_but_finds_the_same(small_kit, tiny_kit, load_n, broken):
    """With arms that break in one way, in half of the ways, and in every way."""
    kit = small_kit if load_n is None else _arms_that_broke_at(tiny_kit, load_n)
    found, every, plan = recommended(case_of(kit)), compared(kit), erection_plan(kit)
    assert sum(report.judged.breaks for report in every.reports) == broken
    assert (found.way, found.judged) == (every.recommended, every.report(every.recommended).judged)
    assert plan == found.judged.plan if broken < 4 else plan.breaks


def test_where_every_way_breaks_the_least_bad_is_named_with_why_and_what_would_help(tiny_kit):
    weak = _arms_that_broke_at(tiny_kit, 1.0)
    found = compared(weak)
    assert all(report.judged.breaks for report in found.reports)
    least_bad = min(report.judged.worst.worst for report in found.reports)
    assert found.report(found.recommended).judged.worst.worst == least_bad
    with pytest.raises(PlanError) as refused:
        refused_if_breaking(weak)
    said = str(refused.value)
    assert said.startswith("every way of raising is computed to break. "
                           f'The least bad is "{found.recommended}", but it ')
    assert "What would help: stronger arms" in said


def test_a_long_plan_that_breaks_is_refused_for_one_stage_that_bears_no_more_than_is_said(tiny_kit, monkeypatch):
    case, plan = case_of(tiny_kit), way_plans(tiny_kit, "crown first")[0]
    weak = case_of(_arms_that_broke_at(tiny_kit, 1.0))
    every = judge(weak, plan, depth="weight")
    monkeypatch.setattr(firm, "LONG", 0)
    monkeypatch.setattr(firm, "EVERY", 2)
    one = judge(weak, plan, depth="till it breaks")
    [row] = one.rows
    assert one.breaks
    assert one.plan.breaks
    assert one.given is plan
    assert 1.0 < row.worst <= every.rows[row.step - 1].worst
    assert row.worst == pytest.approx(every.worst.worst)
    assert len(judge(case, way_plans(tiny_kit, "ring by ring")[0], depth="weight").rows) == len(plan.steps)


def test_steps_carry_what_a_phone_needs(small_kit):
    plan = erection_plan(small_kit)
    above = [step for step in plan.steps if step.level > 1]
    assert all(step.limits_of("push")[0].value > 0 and step.stand_on and step.use_weight < 1 for step in above)
    assert all(limit.value > 0 for step in plan.steps for limit in step.limits_of("free end"))
    first = above[0]
    assert in_words(first.cautions[0]).startswith("Hold the free ends: no more than ")
    assert first.hub in first.holds


def test_a_way_that_breaks_needs_the_explicit_line_and_warns_on_every_step_concerned(small_kit):
    crown = _with(small_kit.design, way="crown first")
    with pytest.raises(PlanError, match=r'raising.way is "crown first", but it (breaks|folds).*What would help: .*'
                                        r"write accept_breaking = true under \[raising\]"):
        refused_if_breaking(build_kit(crown))
    refused_if_breaking(build_kit(_with(crown, accept_breaking=True)))
    plan = _plan(crown)
    assert plan.breaks
    assert plan.helps
    breaking = [step for step in plan.steps if step.use_weight * 1.35 > 1]
    assert breaking
    assert all(re.search("computed to break here|fold here", in_words(step.cautions[0])) for step in breaking)


def test_a_stage_that_falls_if_let_go_says_who_must_hold(small_kit):
    report = compared(small_kit).report("wedge by wedge")
    assert report.falls_if_let_go
    for number in report.falls_if_let_go:
        step = report.judged.plan.steps[number - 1]
        assert any(f"It stands only while {', '.join(step.holds)} " in in_words(said) for said in step.cautions)


def test_a_frame_of_hinges_stands_only_while_its_holds_are_held(tiny_kit, monkeypatch):
    monkeypatch.setattr("fieldapp.plan.compare.way_names", lambda kit: ("ring by ring",))
    design = tiny_kit.design
    hinges = design.model_copy(update={"hub": design.hub.model_copy(
        update={"joint": "spring", "stiffness_out_nm_rad": 0.0, "stiffness_in_nm_rad": 0.0})})
    lines, record, _ = everything(build_kit(hinges))
    ring, = record["ways"]
    assert ring["falls_if_let_go"]
    assert json.loads(json.dumps(record, allow_nan=False)) == record
    assert any("arms within whatever anybody makes" in line for line in lines)


def test_an_own_order_is_judged_like_the_others(tiny_kit, monkeypatch):
    order = tuple(hub.name for hub in tiny_kit.frame.hubs)
    kit = build_kit(_with(tiny_kit.design, own_order=order))
    assert way_names(kit) == (*way_names(tiny_kit), "own order")
    monkeypatch.setattr("fieldapp.plan.compare.way_names", lambda kit: ("own order",))
    found = compared(kit)
    assert len(found.report("own order").judged.rows) == len(order)


def test_a_capacity_of_zero_has_its_message():
    design = orchard_hall()
    with pytest.raises(Exception, match="design_strength_mpa"):
        _plan(design.model_copy(update={"hub": design.hub.model_copy(
            update={"design_strength_mpa": 0.0, "test_loads_n": ()})}))


def test_more_teams_take_less_time_and_never_start_before_what_they_wait_for(hall_kit):
    plan = way_plans(hall_kit, "ring by ring")[0]
    holds = [step.holds for step in plan.steps]
    one, three = (timetable(plan.steps, teams=teams, minutes_per_step=4.0, holds=holds) for teams in (1, 3))
    assert one.total_min == 4.0 * len(plan.steps)
    assert three.total_min < 0.7 * one.total_min
    end = dict(zip((step.hub for step in plan.steps), three.end_min, strict=True))
    assert all(end[step.hub] >= end[hub] + 4.0 for step in plan.steps for hub in step.waits_for)


@pytest.fixture
def folder(tmp_path, small_kit):
    (tmp_path / "design.toml").write_text(design_text(small_kit.design), encoding="utf-8")
    return tmp_path


def test_compare_prints_the_table_the_advice_and_the_caution_and_draws_the_picture(folder):
    picture = folder / "ways.svg"
    result = CliRunner().invoke(compare, [str(folder), "--picture", str(picture)])
    assert result.exit_code == 0, result.output
    text = picture.read_text(encoding="utf-8")
    assert all(text.count(f">{way}<") == 1
               for way in ("ring by ring", "crown first", "crown set on last", "wedge by wedge"))
    assert "above this line it breaks" in text
    for words in ("way ", "ring by ring", "wedge by wedge", "Recommended: ",
                  "Lifting the crown from ring 3 up", "Fit: ", SAFETY):
        assert words in result.stdout


def test_long_work_says_how_far_it_is(tmp_path, tiny_kit, monkeypatch):
    (tmp_path / "design.toml").write_text(design_text(tiny_kit.design), encoding="utf-8")
    monkeypatch.setattr("fieldapp.plan.compare.judge", judge.__wrapped__)       # not what another test has judged
    monkeypatch.setattr("fieldapp.plan.compare.way_names", lambda kit: ("crown first",))
    heard = []
    with listening(lambda *told: heard.append(told)):
        result = CliRunner().invoke(compare, [str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert {("crown first", 1, 11), ("crown first", 11, 11), ("holds", 1, 11)} <= set(heard)
    assert result.stderr == "", "a small frame is done before anybody wonders"


def test_where_nobody_watches_only_long_work_has_a_line(capsys):
    for done in range(1, 461):
        show_progress("ring by ring", done, 460)
        show_progress("wedge by wedge", min(done, 60), 60)
    assert capsys.readouterr().err == "… ring by ring, 460 steps\n"


def test_compare_as_json_has_the_picture_one_value_a_step(folder):
    record = json.loads(CliRunner().invoke(compare, [str(folder), "--json"]).stdout)
    assert record["recommended"] in record["arm_use_by_step"]
    for way in record["ways"]:
        assert len(record["arm_use_by_step"][way["way"]]) == way["steps"]
    assert record["caution"] == SAFETY


def test_tables_of_any_way(folder):
    out = folder / "tables"
    result = CliRunner().invoke(compare, [str(folder), "--way", "crown first", "--tables", str(out)])
    assert result.exit_code == 0, result.output
    steps = (out / "steps.csv").read_text(encoding="utf-8").splitlines()
    stages = (out / "stages.csv").read_text(encoding="utf-8").splitlines()
    assert steps[0] == "step,hub,ring,struts,waits_for,holds,height_mm,reachable,push_limit_n,push_governs,push_where"
    assert stages[0] == ("step,hubs,struts,mechanisms,self_stress,holds,arm_use_weight,"
                         "level_tolerance_mm,wind_limit_m_s,max_displacement_mm,small_rotations,design_weight_borne,"
                         "weight_governs,weight_where,level_governs,level_where,wind_governs,wind_where")
    assert len(steps) == len(stages) == 27
    feet = (out / "feet.csv").read_text(encoding="utf-8").splitlines()
    assert feet[0] == ("step,foot,pegged,press_n,pull_n,sideways_n,must_hold_up_n,must_hold_sideways_n,under,"
                       "wind_from_deg,lifts,slips")
    again = folder / "again"
    CliRunner().invoke(compare, [str(folder), "--way", "crown first", "--tables", str(again)])
    assert (again / "stages.csv").read_bytes() == (out / "stages.csv").read_bytes()


def test_tables_without_a_way_are_refused(folder):
    result = CliRunner().invoke(compare, [str(folder), "--tables", str(folder / "t")])
    assert isinstance(result.exception, PlanError)
    assert "name it with --way" in str(result.exception)


def test_make_is_told_the_way_the_fit_and_the_caution(small_kit):
    lines = list(plan_lines(small_kit))
    assert lines[0].startswith("Raising: ring by ring, 26 steps, about ")
    assert "; out of reach: H21, " in lines[0]
    assert lines[-1] == SAFETY


def test_arm_test_says_the_design_moment_and_what_three_more_would_give():
    """EN 1990:2002 Table D.1, V unknown: k = 2.63 for 4 tests, 1.92 … for 7; mean of the demo's 72.3 N m."""
    result = CliRunner().invoke(arm_test, ["118", "131", "124", "109", "--lever", "600"])
    assert "4 arms, mean 72.30 N m, scatter 7.7% (measured), counted as 10.0%" in result.stdout
    assert "k = 2.63" in result.stdout
    assert "Three more tests like these would give" in result.stdout
    assert SAFETY in result.stdout


def test_arm_test_of_one_piece_is_worth_half_of_it():
    result = CliRunner().invoke(arm_test, ["118", "--lever", "600"])
    assert "(at most half of the lowest, 70.80 N m; our choice for fewer than 3 tests): 35.40 N m" in result.stdout
