"""Planning: what a judged stage costs as the frame grows, all ways together, and what the order search gains.

Run with `pytest -m bench -s tests/bench/bench_plan.py`. Ratios are measured side by side in one run.
"""

from dataclasses import replace
from time import process_time

import pytest

from fieldapp.base.errors import PlanError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import CrewSection, Design, FrameSection
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import compare
from fieldapp.plan.judge import judge
from fieldapp.plan.order import level_order, refused_if_breaking
from fieldapp.plan.planner import way_plans, with_help
from fieldapp.plan.search import plan_score
from fieldapp.plan.stages import Fitted, analysis, fitted_after
from fieldapp.statics.stiffness import factored

pytestmark = pytest.mark.bench


def _seconds(work):
    start = process_time()
    answer = work()
    return answer, process_time() - start


def _kit(frequency, cut, diameter_m):
    return build_kit(Design(frame=FrameSection(frequency=frequency, cut=cut, level_base=False, diameter_m=diameter_m),
                            crew=CrewSection(people=12, teams=3)))


@pytest.mark.parametrize(("frequency", "cut", "diameter_m"), [(2, "1/2", 4.0), (3, "4/9", 6.0), (4, "1/2", 9.0)])
def test_all_stages_against_one_factorisation_of_the_finished_frame(frequency, cut, diameter_m):
    """Each stage answers weight, second order, push, free ends, level, tubes, feet, tolerances, m and s; the floor is
    one factorisation each."""
    kit = _kit(frequency, cut, diameter_m)
    case = case_of(kit)
    plan, planned_s = _seconds(lambda: way_plans(kit, "ring by ring")[0])
    judge(case, plan)
    judged, judged_s = _seconds(lambda: judge(case, plan))
    finished = analysis(case, fitted_after(plan, len(plan.steps))).solved.stage
    floor_s = min(_seconds(lambda: factored(replace(finished, model=replace(finished.model))))[1] for _ in range(5))
    each_ms = 1e3 * judged_s / len(plan.steps)
    print(f"\nf={frequency}: {len(plan.steps)} stages, order found in {planned_s:.2f} s, judged in {judged_s:.2f} s, "
          f"{each_ms:.1f} ms a stage = {each_ms / (1e3 * floor_s):.1f} factorisations of the finished frame")
    assert len(judged.rows) == len(plan.steps)
    assert each_ms < 250 * 1e3 * floor_s        # 40 until limits counted feet and tolerances


def test_a_large_frame_that_breaks_is_refused_after_few_stages():
    kit = _kit(8, "5/8", 12.0)
    case = case_of(kit)
    plan = way_plans(kit, "ring by ring")[0]
    finished = analysis(case, fitted_after(plan, len(plan.steps))).alone.stage
    floor_s = min(_seconds(lambda: factored(replace(finished, model=replace(finished.model))))[1] for _ in range(5))

    def refused():
        with pytest.raises(PlanError) as told:
            refused_if_breaking(kit)
        return str(told.value)

    said, took_s = _seconds(refused)
    print(f"\nf=8: {len(plan.steps)} stages, refused in {took_s:.1f} s = {took_s / floor_s:.0f} factorisations of the "
          f"finished frame: {said[:160]}")
    assert said.startswith("every way of raising is computed to break")
    assert took_s < 10 * len(plan.steps) * floor_s


def test_ring_stages_of_frequency_16():
    kit = _kit(16, "1/2", 14.0)
    case = case_of(kit)
    ground = tuple(hub.name for hub in kit.frame.level(1))
    total = 0.0
    for ring in range(1, kit.frame.level_count + 1):
        hubs = tuple(hub.name for hub in kit.frame.hubs if hub.level <= ring)
        stage = analysis(case, Fitted(hubs, tuple(s.name for s in kit.frame.struts_between(hubs)), ground))
        _, took_s = _seconds(lambda stage=stage: (stage.weight_utilisation, stage.mechanisms))
        total += took_s
    print(f"\nf=16: {len(kit.frame.hubs)} hubs, {kit.frame.level_count} ring stages in {total:.1f} s")
    assert total < 120


def test_what_the_order_search_gains_on_the_demo():
    kit = build_kit(orchard_hall())
    plain = plan_score(with_help(level_order(kit.frame, kit.design), kit.frame, kit.design), kit.design.crew)
    chosen = plan_score(way_plans(kit, "ring by ring")[0], kit.design.crew)
    found, took_s = _seconds(lambda: compare(kit))
    print(f"\n(held at most, held hubs × minutes, minutes, closing struts): plain {plain}, chosen {chosen}; "
          f"all {len(found.reports)} ways in {took_s:.1f} s")
    assert chosen < plain
