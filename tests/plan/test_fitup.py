"""Fit-up and lack of fit: against a Monte Carlo, against every error solved by itself, and by what must be so."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.frame.design import CrewSection
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.fitup import ACCEPTABLE_UTILISATION, NORMAL_95, fit_up, level_gaps
from fieldapp.plan.lack_of_fit import closings, locked_in, locked_rows, settled
from fieldapp.plan.order import level_order
from fieldapp.plan.planner import way_plans, with_help
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.loads import misfit
from fieldapp.statics.response import response

DRAWS = 4000


@pytest.fixture(scope="module")
def plan(small_kit):
    return level_order(small_kit.frame, small_kit.design)


@pytest.fixture(scope="module")
def case(small_kit):
    return case_of(small_kit)


def _drawn(ready, case, seed=1):
    """Responses of `DRAWS` frames whose parts err evenly within the tolerances."""
    random, count = np.random.default_rng(seed), len(ready.stage.struts)
    length = case.design.strut.length_error_mm
    angle = np.radians(case.design.hub.angle_error_deg)
    errors = random.uniform(-length, length, (DRAWS, count))
    kinks = [random.uniform(-angle, angle, (DRAWS, count, 2)) for _ in range(2)]
    return errors, response(ready, misfit(ready.stage, errors, *kinks))


def test_locked_in_use_is_what_a_thousand_frames_show(case, plan):
    """Nineteen of twenty drawn frames stay under the locked-in use at its worst arm; 4000 draws, so within 8 %."""
    fit = fit_up(case, plan)
    whole = analysis(case, fitted_after(plan, len(plan.steps)))
    ready = settled(case, whole.fitted, whole.tied)
    _, answer = _drawn(ready, case)
    stations = np.quantile(np.abs(answer.components).sum(axis=2), 0.95, axis=0)
    assert stations.max() == pytest.approx(fit.locked_utilisation, rel=0.08)


def test_gap_of_a_ring_is_what_a_thousand_frames_show(case, plan):
    gap = list(level_gaps(case, plan))[1]
    ready = _before(case, plan, gap)
    _, answer = _drawn(ready, case)
    start, end = case.model.ends[case.model.strut_index[gap.strut]]
    line = case.model.axes.local[case.model.strut_index[gap.strut], 0]
    own = np.random.default_rng(2).uniform(-1, 1, DRAWS) * case.design.strut.length_error_mm
    gaps = (answer.displacements[:, end, :3] - answer.displacements[:, start, :3]) @ line - own
    assert np.abs(gaps).mean() == pytest.approx(gap.expected_mm, rel=0.06)
    assert np.quantile(np.abs(gaps), 0.95) == pytest.approx(gap.within_mm, rel=0.06)


def test_the_tolerances_it_asks_for_keep_a_fifth(small_kit):
    design = small_kit.design
    fit = fit_up(case_of(small_kit), level_order(small_kit.frame, design))
    tight = design.model_copy(update={
        "strut": design.strut.model_copy(update={"length_error_mm": fit.both_mm}),
        "hub": design.hub.model_copy(update={"angle_error_deg": fit.both_deg}), "crew": CrewSection()})
    kit = build_kit(tight)
    assert fit_up(case_of(kit), level_order(kit.frame, tight)).locked_utilisation <= ACCEPTABLE_UTILISATION * (1 + 1e-6)


def test_no_error_no_gap(small_kit):
    design = small_kit.design
    exact = design.model_copy(update={"strut": design.strut.model_copy(update={"length_error_mm": 0.0}),
                                      "hub": design.hub.model_copy(update={"angle_error_deg": 0.0})})
    kit = build_kit(exact)
    fit = fit_up(case_of(kit), level_order(kit.frame, exact))
    assert fit.locked_utilisation == 0.0
    assert all(gap.within_mm == 0.0 for gap in fit.gaps)


def _before(case, plan, closing):
    """The stage that a closing strut goes into."""
    closes = [step for step in plan.steps if any(item.closes for item in step.struts)]
    number = max(step.number for step in closes if step.level == closing.level)
    stage = analysis(case, replace(fitted_after(plan, number), held=plan.steps[number - 2].holds))
    return settled(case, stage.fitted, [strut for strut in stage.tied if strut != closing.strut])


def _apart(ready, number, load):
    """How far the hubs of a strut number move apart in each case."""
    moved, (start, end) = response(ready, load).displacements, ready.stage.model.ends[number]
    return (moved[:, end, :3] - moved[:, start, :3]) @ ready.stage.model.axes.local[number, 0]


def _finished(case, plan):
    return analysis(case, replace(fitted_after(plan, len(plan.steps)), held=plan.steps[-1].holds))


@pytest.fixture(scope="module")
def hinged(small_kit):
    """The same frame with hinges: it stands on feet that stay where they are, and on nothing less."""
    design = small_kit.design
    kit = build_kit(design.model_copy(update={"hub": design.hub.model_copy(update={"joint": "bolted end"})}))
    case = case_of(kit)
    return case, with_help(level_order(kit.frame, kit.design), kit.frame, kit.design)


@pytest.mark.parametrize("joint", ["flat arm", "bolted end"])
def test_gaps_by_reciprocity_are_those_of_every_error_solved_by_itself(case, plan, hinged, joint):
    case, plan = hinged if joint == "bolted end" else (case, plan)
    found = closings(case, plan)
    assert found
    for closing in found:
        ready = _before(case, plan, closing)
        number, count = case.model.strut_index[closing.strut], len(ready.stage.struts)
        bent = np.eye(2 * count).reshape(2 * count, count, 2)
        straight, true = np.zeros_like(bent), np.zeros((2 * count, count))
        apart = [_apart(ready, number, misfit(ready.stage, *errors)) for errors in
                 ((np.eye(count),), (true, bent, straight), (true, straight, bent))]
        singly = np.column_stack((apart[0], apart[1].reshape(count, 2), apart[2].reshape(count, 2)))
        scale = np.abs(singly).max(axis=0) + 1e-9
        assert closing.per_unit[ready.stage.struts] / scale == pytest.approx(-singly / scale, abs=1e-8)
        assert closing.per_unit[number].tolist() == [1.0, 0.0, 0.0, 0.0, 0.0]


@pytest.mark.parametrize("joint", ["flat arm", "bolted end"])
def test_known_lengths_lock_in_what_the_tolerances_say_of_nineteen_frames_in_twenty(small_kit, joint):
    """Lengths drawn within ± 1 mm, angles true: one and the same lack of fit, on hinges too; 2000 draws, within 8 %."""
    design = small_kit.design
    kit = build_kit(design.model_copy(update={
        "strut": design.strut.model_copy(update={"length_error_mm": 1.0}),
        "hub": design.hub.model_copy(update={"joint": joint, "angle_error_deg": 0.0})}))
    case, plan = case_of(kit), with_help(level_order(kit.frame, kit.design), kit.frame, kit.design)
    fit, whole = fit_up(case, plan), _finished(case, plan)
    drawn = np.random.default_rng(5).uniform(-1.0, 1.0, (2000, len(kit.frame.struts)))
    locked = np.array([locked_in(case, whole.fitted, whole.tied, row).arm_utilisation[0] for row in drawn])
    assert np.quantile(locked, 0.95, axis=0).max() == pytest.approx(fit.locked_utilisation, rel=0.08)
    gaps = np.array([closing.per_mm for closing in closings(case, plan)]) @ drawn.T
    for gap, of_gap in zip(fit.gaps, gaps, strict=True):
        assert NORMAL_95 * of_gap.std() == pytest.approx(gap.within_mm, rel=0.08)


def test_the_rows_for_matching_have_the_sum_of_squares_of_all_that_is_locked_in(case, plan):
    whole, rows = _finished(case, plan), locked_rows(case, plan)
    for seed in range(5):
        off_mm = np.random.default_rng(seed).normal(0.0, 2.0, len(case.frame.struts))
        parts = locked_in(case, whole.fitted, whole.tied, off_mm).components
        assert np.square(rows @ off_mm).sum() == pytest.approx(np.square(parts).sum(), rel=1e-9)


def test_a_frame_that_is_larger_in_proportion_fits(case, plan):
    """Errors in proportion to length: no gap and nothing locked in, exactly (linear)."""
    errors = np.array([1e-3 * strut.centre_length_mm for strut in case.frame.struts])
    whole = _finished(case, plan)
    assert locked_in(case, whole.fitted, whole.tied, errors).arm_utilisation.max() < 1e-6
    assert all(abs(closing.per_mm @ errors) < 1e-6 for closing in closings(case, plan))


def test_what_is_locked_into_the_standing_part_stays_while_the_crown_is_carried_beside_it(small_kit):
    """Two pieces, each level by itself: lengths that erred in the lower one alone lock in the same as before."""
    case, plan = case_of(small_kit), way_plans(small_kit, "crown set on last")[0]
    first = next(step for step in plan.steps if step.piece)
    errors = np.zeros(len(case.frame.struts))
    errors[[case.model.strut_index[i.strut] for step in plan.steps[:first.number - 1] for i in step.struts]] = 1.5
    errors *= np.random.default_rng(7).uniform(-1, 1, len(errors))
    before, beside = (analysis(case, fitted_after(plan, number)) for number in (first.number - 1, first.number + 2))
    assert plan.steps[first.number + 1].piece
    use = [locked_in(case, stage.fitted, stage.tied, errors).arm_utilisation.max() for stage in (before, beside)]
    assert use[0] > 0.01
    assert use[1] == pytest.approx(use[0], rel=1e-9)
