"""What is told at once on loose feet is never above what was borne when the load was followed step by step.

Minutes: `python -m pytest -m bench -s tests/bench/bench_followed.py`. Prints every pair.
"""

from pathlib import Path

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design_file import read_design
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.footing import footing_of
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.feet.at_once import gust_at_once, push_at_once
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.under_weight import standing
from fieldapp.statics.limits import push_limits
from fieldapp.statics.wind import wind_limit
from tests.feet_followed import followed_gust, followed_push

pytestmark = pytest.mark.bench
FIRST = Path(__file__).parents[1] / "data" / "limits" / "first-frame.toml"


@pytest.mark.parametrize(("design", "friction", "steps"), [
    ("demo", None, (27, 43, 47, 59)), ("demo", 0.4, (28, 40, 46, 49, 52, 55, 58)),
    ("first frame", None, (13, 19, 22)), ("first frame", 0.4, (14, 20, 26))])
def test_told_at_once_is_not_above_what_was_followed(design, friction, steps):
    case = case_of(build_kit(orchard_hall() if design == "demo" else read_design(FIRST)))
    plan = way_plans(case.kit, "ring by ring")[0]
    for step in steps:
        stage, hub = analysis(case, fitted_after(plan, step)), plan.steps[step - 1].hub
        on = footing_of(case.design.ground, stage.feet) if friction is None else footing(stage.feet, friction=friction)
        feet = feet_of(stage.solved, on)
        stands = standing(feet, case.tubes)
        pinned = push_limits(stage.solved, case.tubes, [hub])[hub]
        told, found = push_at_once(stands, case.tubes, pinned), followed_push(feet, case.tubes, pinned)
        print(f"\n{design}, friction {friction}, step {step}: {told.value:.1f} of {found.value:.1f} N, {found.governs}")
        assert told.value <= found.value
        if step == steps[-1]:
            wind = wind_limit(stage.solved, case.tubes)
            gust, most = gust_at_once(stands, case.tubes, wind), followed_gust(feet, case.tubes, wind)
            print(f"gust {gust.value:.2f} of {most.value:.2f} m/s, {most.governs}")
            assert gust.value <= most.value
