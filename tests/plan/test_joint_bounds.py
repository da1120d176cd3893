"""Joints that are pulled apart: nothing is said where nobody tested one; a weak one ends every limit; by hand."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.joint_bounds import OF_PULL, joint_bounds, most_pulled, pulls_n
from fieldapp.plan.order import level_order
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics import loads
from fieldapp.statics.capacity import joint_pull_n
from fieldapp.statics.governs import FREE_END, JOINT, LAG, PUSH, WEIGHT, WIND, Governs, Limit
from fieldapp.statics.response import response


def _stage(kit, *pulls_n):
    design = kit.design.model_copy(update={"hub": kit.design.hub.model_copy(update={"pull_test_n": pulls_n})})
    plan = level_order(kit.frame, kit.design)
    return analysis(case_of(build_kit(design)), fitted_after(plan, len(plan.steps) - 1))


def test_one_test_is_worth_half_of_what_came_apart_at_most_and_none_is_unknown(small_kit):
    untested, tested = _stage(small_kit), _stage(small_kit, 600.0)
    assert joint_pull_n(untested.case.design) is None
    assert 0 < joint_pull_n(tested.case.design) < 300.0
    assert all(list(joint_bounds(untested.bearing, kind, [])) == [] for kind in (WEIGHT, PUSH, FREE_END, WIND))
    assert list(joint_bounds(tested.bearing, LAG, [])) == []


def test_a_weak_joint_ends_every_limit_and_a_strong_one_none(small_kit):
    weak, strong, untested = _stage(small_kit, 2.0), _stage(small_kit, 1e5), _stage(small_kit)
    hub = weak.fitted.last[0]
    for stage, ends in ((weak, True), (strong, False)):
        assert (stage.push_limits([hub])[hub].governs.what == JOINT) == ends
        assert (stage.wind.governs.what == JOINT) == ends
        assert (stage.verdict.governs.what == JOINT) == ends
    assert strong.verdict == untested.verdict
    assert weak.verdict.value < untested.verdict.value


def test_a_push_pulls_a_joint_by_hand(exact_kit):
    stage, pull = _stage(exact_kit, 600.0), joint_pull_n(_stage(exact_kit, 600.0).case.design)
    of, hub = stage.solved, stage.fitted.last[0]
    bearing = replace(stage.bearing, fitted=replace(stage.fitted, carried_at=stage.fitted.stands_on))  # feet that stay
    (limit,) = joint_bounds(bearing, PUSH, [Limit(PUSH, np.inf, hub)])
    at = np.array([of.stage.model.hub_index[hub]])
    towards = np.random.default_rng(5).normal(size=(400, 3))
    towards *= limit.value / OF_PULL * GAMMA_Q / np.linalg.norm(towards, axis=1, keepdims=True)
    force = np.zeros((400, *of.stage.fixed.shape))
    force[:, at[0], :3] = towards
    base = GAMMA_G * pulls_n(of.weight)[0]
    assert most_pulled(bearing).value == pytest.approx(max(0.0, base.max()))
    pulled = np.maximum(base, 0) + pulls_n(response(of.ready, loads.on_hubs(of.stage, force)))
    assert 0.95 * pull < pulled.max() <= pull * (1 + 1e-9)


def test_the_free_end_of_a_strut_pulls_its_own_joint(small_kit):
    stage = _stage(small_kit, 600.0)
    strut, hub = stage.case.frame.struts[-1].name, stage.case.frame.struts[-1].end_1.hub
    own = [Limit(FREE_END, 50.0, strut, Governs(JOINT, strut, hub))]
    found = [limit for limit in joint_bounds(stage.bearing, FREE_END, own) if limit.governs.strut == strut]
    assert found[0].value == pytest.approx(OF_PULL / GAMMA_Q * (joint_pull_n(stage.case.design) - GAMMA_G * (
        stage.case.model.make.tube_weight_n_mm * stage.case.model.axes.length_mm[-1])))
