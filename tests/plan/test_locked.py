"""Measured lengths lock forces in: they add to the weight in the verdict, and take from every limit, arm by arm."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.constants import GAMMA_G
from fieldapp.plan.beside import LockIn, beside, known_part
from fieldapp.plan.case import case_of
from fieldapp.plan.locked import locked_in
from fieldapp.plan.order import level_order
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.tubes import LockedTubes, tube_utilisation


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


def test_every_limit_that_an_arm_or_a_tube_ends_falls(stages):
    fits, forced = stages
    hub = fits.fitted.last[0]
    assert forced.push_limits([hub])[hub].value <= fits.push_limits([hub])[hub].value * 1.001
    assert forced.wind.frame.value <= fits.wind.frame.value * 1.001
    assert forced.lag.frame.value <= fits.lag.frame.value


def test_known_lock_in_is_taken_off_the_arm_and_the_tube_that_it_is_in(stages):
    """By hand from the forces of one case, nothing drawn."""
    _, forced = stages
    known, loaded, made = forced.locked, forced.loaded, forced.case
    uses = known.answer.arm_utilisation[0].max(axis=1) / made.model.arm_lasting
    part = known_part(known, len(made.frame.struts))
    assert part.arms.max() == pytest.approx(uses.max())
    strut, end = np.unravel_index(part.arms.argmax(), part.arms.shape)
    kept = loaded.case.model.arm_capacity / made.model.arm_capacity
    assert kept[strut, 6 * end] == pytest.approx(1 - part.arms[strut, end] * made.model.arm_lasting)
    nothing = replace(known.answer, arms=0 * known.answer.arms)
    idle = tube_utilisation(nothing, loaded.case.tubes)[0]
    assert (idle >= tube_utilisation(known.answer, made.tubes)[0] - 1e-9).all()
    at, tubes = forced.solved.stage.struts, made.tubes
    squash = np.minimum(tubes.compression_n, tubes.tension_n)[at]
    assert (idle <= part.tubes_n[at] / squash + part.tubes_nmm[at] / tubes.bending_nmm[at] + 1e-9).all()


def test_what_lasts_is_held_against_what_lasts(stages):
    """An arm with λ of what it bears for long locked in bears L (1 − λ) for long, at least 1 − λ L for a moment."""
    case, of = stages[0].case, stages[0].solved
    case = replace(case, model=replace(case.model, arm_lasting=0.6))
    arms = np.zeros((len(case.frame.struts), 2))
    arms[3, 1], arms[5, 0] = 0.5, 1.4
    tubes = LockedTubes(arms[:, 0], arms[:, 0])
    made, stage = beside(case, of, LockIn(arms, tubes, 0.0, 0.0))
    kept = made.model.arm_capacity[:, ::6] / case.model.arm_capacity[:, ::6]
    assert kept[3] == pytest.approx([1.0, 0.7])
    assert kept[5, 0] == pytest.approx(1 - 1.4 * 0.6)
    assert kept[0] == pytest.approx([1.0, 1.0])
    assert (kept * made.model.arm_lasting <= np.maximum(0.6 * (1 - arms), 1e-6) + 1e-12).all()
    assert stage.stage.model is made.model
    assert stage.weight.components[0] == pytest.approx(
        (of.weight.arms[0] / made.model.arm_capacity[of.stage.struts].reshape(-1, 4, 3)).reshape(-1, 3))
    assert made.tubes.locked is tubes
