"""Kinds of limit: a plan keeps them whole, and a kind that is new in the table is told everywhere by that alone."""

import math

import pytest

from fieldapp.base.said import Number, in_words, say
from fieldapp.plan.case import case_of
from fieldapp.plan.judge import judge
from fieldapp.plan.kept import keep_plan, kept_plan
from fieldapp.plan.limits import LIMITS, LimitKind, limits_now
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.standing.records import Standing
from fieldapp.statics.limits import Limit
from fieldapp.wording.place import limit_words
from fieldapp.wording.raising import notes
from fieldapp.wording.standing import limit_words as words_now


@pytest.fixture(scope="module")
def kit(tiny_kit):
    return tiny_kit


def test_limits_say_what_governs_and_are_kept_with_the_plan(kit, tmp_path):
    plan = judge(case_of(kit), way_plans(kit, "ring by ring")[0]).plan
    pushes = [step.limits_of("push")[0] for step in plan.steps]
    assert {limit.frame.governs.what for limit in pushes if limit.value < math.inf} <= {"arm", "tube", "peg", "slides"}
    assert all(limit.value <= 225.0 for limit in pushes if limit.value < math.inf), "nobody is told more than a push"
    assert all(limit.at == step.hub for limit, step in zip(pushes, plan.steps, strict=True))
    design = kit.design.model_copy(update={"raising": kit.design.raising.model_copy(update={"way": "ring by ring"})})
    keep_plan(tmp_path, design, plan)
    assert kept_plan(tmp_path, design).steps == plan.steps


def test_a_new_kind_in_the_table_is_told_everywhere(kit, monkeypatch):
    """A rope on a hub, invented for this test: page, booklet, caution and what stands say it, none of them changed."""
    def rope(_stage, step):
        return (Limit("rope", 12.0, step.hub),)

    def rope_now(stage, _alone):
        return (Limit("rope", 12.0, stage.fitted.hubs[0]),)

    def said(limit):
        return say("Rope on {hub}: {limit}.", hub=limit.at, limit=Number(limit.value, 0, "N"))

    kind = LimitKind(
        name="rope", unit="N", of_step=rope, of_now=rope_now,
        caution=lambda step, found: [say("Mind the rope on {hub}.", hub=step.hub)] if found else [],
        note=lambda _step, found: map(said, found), at_place=lambda limit: [said(limit)],
        now=lambda found, _lean_n: map(said, found))
    monkeypatch.setitem(LIMITS, "rope", kind)
    case = case_of(kit)
    plan = judge.__wrapped__(case, way_plans(kit, "ring by ring")[0]).plan
    step = plan.steps[3]
    assert f"Mind the rope on {step.hub}." in [in_words(one) for one in step.cautions]
    assert f"Rope on {step.hub}: 12 N." in notes(step)
    assert f"Rope on {step.hub}: 12 N." in limit_words(plan, step.hub)
    now = Standing(("H01",), limits=limits_now(analysis(case, fitted_after(plan, 4)), alone=True))
    assert "Rope on H01: 12 N." in words_now(now, "lean")
