"""Fit-up: the sums of variances against a Monte Carlo of the same linear model."""

import numpy as np
import pytest

from fieldapp.frame.design import CrewSection
from fieldapp.kit.build import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.fitup import ACCEPTABLE_USE, fit_up, measured_fit, ring_gaps, settled
from fieldapp.plan.order import ring_order
from fieldapp.statics.loads import misfit
from fieldapp.statics.response import response

DRAWS = 4000


@pytest.fixture(scope="module")
def plan(small_kit):
    return ring_order(small_kit.frame, small_kit.design)


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
    ready = settled(case, [step.hub for step in plan.steps],
                    [insertion.strut for step in plan.steps for insertion in step.struts])
    _, answer = _drawn(ready, case)
    stations = np.quantile(np.abs(answer.parts).sum(axis=2), 0.95, axis=0)
    assert stations.max() == pytest.approx(fit.locked_use, rel=0.08)


def test_gap_of_a_ring_is_what_a_thousand_frames_show(case, plan):
    gap = list(ring_gaps(case, plan))[1]
    number = max(n for n, step in enumerate(plan.steps) if step.ring == gap.ring and any(i.closes for i in step.struts))
    steps = plan.steps[:number + 1]
    struts = [insertion.strut for step in steps for insertion in step.struts]
    ready = settled(case, [step.hub for step in steps], [strut for strut in struts if strut != gap.strut])
    _, answer = _drawn(ready, case)
    start, end = case.model.ends[case.model.strut_index[gap.strut]]
    line = case.model.axes.local[case.model.strut_index[gap.strut], 0]
    own = np.random.default_rng(2).uniform(-1, 1, DRAWS) * case.design.strut.length_error_mm
    gaps = (answer.displacements[:, end, :3] - answer.displacements[:, start, :3]) @ line - own
    assert np.abs(gaps).mean() == pytest.approx(gap.expected_mm, rel=0.06)
    assert np.quantile(np.abs(gaps), 0.95) == pytest.approx(gap.within_mm, rel=0.06)


def test_the_tolerances_it_asks_for_keep_a_fifth(small_kit):
    design = small_kit.design
    fit = fit_up(case_of(small_kit), ring_order(small_kit.frame, design))
    tight = design.model_copy(update={
        "strut": design.strut.model_copy(update={"length_error_mm": fit.both_mm}),
        "hub": design.hub.model_copy(update={"angle_error_deg": fit.both_deg}), "crew": CrewSection()})
    kit = build_kit(tight)
    assert fit_up(case_of(kit), ring_order(kit.frame, tight)).locked_use <= ACCEPTABLE_USE * (1 + 1e-6)


def test_no_error_no_gap(small_kit):
    design = small_kit.design
    exact = design.model_copy(update={"strut": design.strut.model_copy(update={"length_error_mm": 0.0}),
                                      "hub": design.hub.model_copy(update={"angle_error_deg": 0.0})})
    kit = build_kit(exact)
    fit = fit_up(case_of(kit), ring_order(kit.frame, exact))
    assert fit.locked_use == 0.0
    assert all(gap.within_mm == 0.0 for gap in fit.gaps)


def test_measured_struts_all_a_little_long_fit_and_lock_nothing_in(case, plan, small_kit):
    """A frame that is larger in proportion fits: errors in proportion to length, exactly (linear)."""
    errors = {s.name: 1e-3 * (s.centre_length_mm) for s in small_kit.frame.struts}
    fit = measured_fit(case, plan, errors)
    assert fit.locked_use < 1e-6
    assert all(abs(gap) < 1e-6 for _, gap in fit.gaps_mm)


def test_one_strut_that_is_too_long_shows_as_a_negative_gap_where_it_closes(case, plan):
    closing = [gap.strut for gap in ring_gaps(case, plan)][1]
    fit = measured_fit(case, plan, {closing: 3.0})
    assert dict(fit.gaps_mm)[closing] == pytest.approx(-3.0)
    assert fit.locked_use > 0
