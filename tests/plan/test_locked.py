"""Measured lengths lock forces in: they add to the weight in the verdict, and take from every limit."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.constants import GAMMA_G
from fieldapp.plan.case import case_of
from fieldapp.plan.locked import less, locked_in, spare_beside
from fieldapp.plan.order import level_order
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.governs import ARM, PUSH, SLIDES, Governs, Limit


@pytest.fixture(scope="module")
def stages(exact_kit):
    """The finished frame of sound parts, and with one strut 6 mm too long."""
    case, plan = case_of(exact_kit), level_order(exact_kit.frame, exact_kit.design)
    fitted, strut = fitted_after(plan, len(plan.steps)), exact_kit.frame.struts[-1].name
    return analysis(case, fitted), analysis(replace(case, off_mm=((strut, 6.0),)), fitted)


def test_the_verdict_is_that_of_weight_and_lock_in_together(stages):
    fits, forced = stages
    strut, off = forced.case.off_mm[0]
    lengths = np.zeros(len(fits.case.frame.struts))
    lengths[fits.case.frame.strut_index[strut]] = off
    alone = locked_in(fits.case, fits.fitted, fits.tied, lengths)
    both = [np.abs(GAMMA_G * weight.components[0] + alone.components[0]).sum(axis=1).max()
            for weight in fits.solved.weights]
    assert forced.design_utilisation == pytest.approx(max(both) / fits.case.model.arm_lasting)
    assert forced.verdict.value < fits.verdict.value
    assert forced.verdict.value <= 1 / forced.design_utilisation
    assert fits.locked is None
    assert fits.bearing.spare == 1.0


def test_every_limit_that_an_arm_or_a_tube_ends_falls(stages):
    fits, forced = stages
    hub, spare = fits.fitted.last[0], forced.bearing.spare
    assert 0 < spare < 1
    assert forced.push_limits([hub])[hub].value <= fits.push_limits([hub])[hub].value * 1.001
    assert forced.wind.frame.value <= fits.wind.frame.value * 1.001
    assert forced.lag.frame.value < fits.lag.frame.value
    assert less(Limit(PUSH, 100.0, hub, Governs(ARM)), spare).value == pytest.approx(100.0 * spare)
    assert less(Limit(PUSH, 100.0, hub, Governs(SLIDES)), spare).value == 100.0


def test_what_is_left_is_by_hand():
    assert spare_beside(0.4, 0.3) == pytest.approx(0.5)  # of 0.6 that the weight leaves, 0.3 is locked in
    assert spare_beside(0.7, 0.3) == pytest.approx(0.0)
    assert spare_beside(1.2, 0.3) == 0.0
