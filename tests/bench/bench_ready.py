"""What allocation and readiness cost against what they stand on, side by side in one run.

Run with `pytest -m bench -s tests/bench/bench_ready.py`.
"""

from datetime import UTC, datetime
from time import perf_counter

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import FrameSection, SparesSection
from fieldapp.kit import build_kit
from fieldapp.kit.allocate import allocate
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.match_lengths import Gaps, match_lengths
from fieldapp.log.fold import fold
from fieldapp.plan.case import case_of
from fieldapp.plan.lack_of_fit import closings, locked_rows
from fieldapp.plan.order import level_order
from fieldapp.plan.planner import way_plans
from fieldapp.reports.parts.own_numbers import Strength
from fieldapp.reports.readiness import readiness
from fieldapp.reports.readiness.seats import Seats
from fieldapp.reports.standing.demand import Demand, Handled, demand

pytestmark = pytest.mark.bench


def least_seconds(work, repeats=5):
    """The least of several runs: what it costs when nothing else is in the way."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def big_kit(frequency):
    """A half sphere of Orchard Hall's parts, and a plan without statics."""
    hall = orchard_hall()
    frame = FrameSection(prefix="OH", frequency=frequency, cut="1/2", diameter_m=2.0 * frequency)
    spares = SparesSection(hubs_most_common=3, hubs_each_other=1, struts_each=4)
    return build_kit(hall.model_copy(update={"frame": frame, "spares": spares}))


def worn(kit, random):
    """Every part with a strength of its own, a tenth of the hubs with a weak arm; struts err by a millimetre."""
    return {part.id: Strength(whole=random.uniform(0.6, 1.0), spots=((1, 0.5),) if random.uniform() < 0.1 else (),
                              off_mm=random.normal(0.0, 1.0) if part.kind == "strut" else 0.0) for part in kit.parts}


@pytest.mark.parametrize("frequency", [4, 6, 8])
def test_allocation_against_one_bare_assignment_of_all_parts(frequency):
    kit, random = big_kit(frequency), np.random.default_rng(frequency)
    plan, count = level_order(kit.frame, kit.design), len(kit.frame.struts)
    arm, tube = random.uniform(0.0, 2.0, (count, 2)), random.uniform(0.0, 0.4, count)
    steps = np.zeros((count, 2), dtype=int), np.zeros(count, dtype=int)
    asked = Demand(arm / 20, steps[0], tube / 4, steps[1], (), Handled(arm, steps[0], tube, steps[1]))
    strengths = worn(kit, random)
    meant = {place: part.id for place, part in kit.by_place.items()}
    start = perf_counter()
    groups = Seats(kit, asked, strengths).groups(kit.parts, plan.step_of)
    ratios = perf_counter() - start
    given = allocate(groups, meant)
    whole = least_seconds(lambda: allocate(groups, meant), repeats=2)
    start = perf_counter()
    case = case_of(kit)
    gaps = Gaps(case.model.strut_names, np.array([ring.per_mm for ring in closings(case, plan)]),
                {part: strength.off_mm for part, strength in strengths.items()}, locked_rows(case, plan))
    middle = perf_counter()
    matched = match_lengths(given.part_at, [g for g in groups if g.name.startswith("strut")], gaps, meant=meant,
                            worst=given.worst)
    match = perf_counter() - middle
    floor = least_seconds(lambda: linear_sum_assignment(random.uniform(size=(len(kit.parts), len(kit.parts)))))
    print(f"\nf={frequency} {len(kit.parts)} parts: ratios {ratios:.2f} s, allocation {whole:.2f} s, gaps and strain "
          f"{middle - start:.2f} s, matching {match:.2f} s; one assignment of all {floor * 1e3:.0f} ms; worst ratio "
          f"{given.before_worst:.2f} -> {given.worst:.2f}, gaps {matched.gap_before_mm:.1f} -> {matched.gap_mm:.2f} mm")
    assert given.worst < given.before_worst
    assert whole < 50 * floor


def test_readiness_against_one_pass_over_the_stages():
    kit = build_kit(orchard_hall())
    plan, case = way_plans(kit, "ring by ring")[0], case_of(kit)
    checklist, state = default_checks(kit.design), fold(kit, ())
    stages = least_seconds(lambda: demand(case, plan), repeats=3)
    now = datetime(2026, 5, 1, tzinfo=UTC)
    whole = least_seconds(lambda: readiness(plan, state, checklist, now=now), repeats=3)
    print(f"\none pass over {len(plan.steps)} stages {stages * 1e3:.0f} ms; readiness of a sound kit, asked again, "
          f"{whole / stages:.2f} times that")
    assert whole < 5 * stages
