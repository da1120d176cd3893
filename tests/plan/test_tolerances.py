"""What tolerances lock into each arm and tube of a stage: against frames drawn by geometry of the test's own."""

from itertools import product

import numpy as np
import pytest

from fieldapp.plan import tolerances
from fieldapp.plan.bounds import with_fit
from fieldapp.plan.case import case_of
from fieldapp.plan.drawn import tolerances as tolerances_of
from fieldapp.plan.fitup import fit_up
from fieldapp.plan.order import level_order
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.plan.tolerances import DRAWS, LOW_LEVELS, OPEN_EDGE, RANK, tolerated
from fieldapp.statics.governs import FIT, STABILITY
from tests.plan.own_misfits import drawn, locked_per_error, ways_to_err

FRAMES = 1000
TWENTIETH = 950


@pytest.fixture(scope="module")
def case(small_kit):
    return case_of(small_kit)


@pytest.fixture(scope="module")
def plan(small_kit):
    return level_order(small_kit.frame, small_kit.design)


def forces_of_frames(case, ready):
    """(struts, 4, 3, frames) arm forces ÷ what arms bear for long, for each pair of ways to err."""
    per_error, (length_mm, angle_rad) = locked_per_error(ready), tolerances_of(case)
    struts = len(ready.stage.struts)
    columns = np.arange(5 * struts).reshape(-1, 5)
    lengths, angles = ways_to_err(case, ready)
    by_length = [per_error[:, columns[:, 0]] @ drawn(way, FRAMES, 1) * length_mm for way in lengths]
    by_angle = [per_error[:, columns[:, 1:].ravel()] @ drawn(way, FRAMES, 2).reshape(-1, FRAMES) * angle_rad
                for way in angles]
    for one, other in product(by_length, by_angle):
        yield (one + other).reshape(struts, 4, 3, FRAMES)


@pytest.mark.parametrize("number", [9, 14, 21, 26])
def test_no_arm_and_no_tube_of_a_stage_passes_what_is_told_in_more_than_one_frame_of_twenty(case, plan, number):
    """An open ring, a few closed loops, an open edge, the whole; single errors, a saw stop, slots and jigs."""
    stage = analysis(case, fitted_after(plan, number))
    told = tolerated(case, stage.fitted, stage.tied)
    ready = tolerances._standing(case, stage.fitted, stage.tied)
    struts = ready.stage.struts
    lasting = (case.model.arm_capacity[struts].reshape(-1, 4, 3) * case.model.arm_lasting)[..., None]
    worst = 0.0
    for parts in forces_of_frames(case, ready):
        uses = np.abs(parts).sum(axis=2).reshape(len(struts), 2, 2, -1).max(axis=2)
        forces = (parts * lasting)[:, 1::2]
        axial, moment = np.abs(forces[:, :, 0]).max(axis=1), np.linalg.norm(forces[:, :, 1:], axis=2).max(axis=1)
        for drawn_now, said in ((uses, told.arms[struts]), (axial, told.tubes_n[struts]),
                                (moment, told.tubes_nmm[struts])):
            point = np.sort(drawn_now, axis=-1)[..., TWENTIETH - 1]
            assert (point <= said * 1.12 + 1e-9).all()  # hundreds of arms, each drawn anew: some come out higher
            assert np.mean(point <= said + 1e-9) > 0.9
        worst = max(worst, float(np.sort(uses.max(axis=(0, 1)))[TWENTIETH - 1]))
    assert worst <= told.arm_use * 1.02
    assert told.arms.max() <= told.arm_use


def test_what_closes_no_loop_has_nothing_locked_in(case, plan):
    """Three hubs in a row on level feet are statically determinate; nor does what is not in count."""
    stage = analysis(case, fitted_after(plan, 3))
    few, whole = tolerated(case, stage.fitted, stage.tied), fitted_after(plan, len(plan.steps))
    assert len(stage.tied) == 2
    assert few.arms.max() < 1e-9
    assert few.worst < 1e-9
    open_ring = analysis(case, fitted_after(plan, 9))
    ring = tolerated(case, open_ring.fitted, open_ring.tied)
    assert 0 < ring.arms.max() < 0.5 * tolerated(case, whole, [strut.name for strut in case.frame.struts]).arms.max()
    absent = [case.frame.strut_index[strut.name] for strut in case.frame.struts if strut.name not in open_ring.tied]
    assert not ring.arms[absent].any()


def test_large_frames_count_as_the_whole_levels_that_hold_them(case, plan, monkeypatch):
    """As the worst arm of them, with what an open edge may have more."""
    stage = analysis(case, fitted_after(plan, 21))
    own = tolerated(case, stage.fitted, stage.tied)
    monkeypatch.setattr(tolerances, "LARGE_STRUTS", 0)
    by_level = tolerated(case, stage.fitted, stage.tied)
    assert (own.arms <= by_level.arms).all()
    assert own.tubes_n.max() <= by_level.tubes_n.max()
    assert own.tubes_nmm.max() <= by_level.tubes_nmm.max()
    assert own.worst <= by_level.worst
    assert by_level.arms.max() <= own.arms.max() * OPEN_EDGE * 1.3
    assert case.frame.level_count > LOW_LEVELS


def test_it_takes_from_every_limit_and_parts_that_fit_lose_nothing(case, exact_kit, plan):
    fitted = fitted_after(plan, len(plan.steps))
    made, fits = analysis(case, fitted), analysis(case_of(exact_kit), fitted)
    assert not tolerated(fits.case, fitted, fits.tied).worst
    assert np.array_equal(fits.loaded.case.model.arm_capacity, fits.case.model.arm_capacity)
    assert made.verdict == fits.verdict
    hub = fitted.last[0]
    for one, other in ((made.push_limits([hub])[hub], fits.push_limits([hub])[hub]), (made.wind, fits.wind),
                       (made.lag, fits.lag)):
        assert one.frame.value <= other.frame.value * (1 + 1e-6)       # what slides is found from inside
    told = with_fit(made.verdict, made.bearing)
    assert told.governs.what in (FIT, STABILITY)
    assert 1 / told.value == pytest.approx(1 / made.verdict.value + made.bearing.locked.worst)
    assert made.bearing.locked.worst == pytest.approx(fit_up(case, plan).locked_utilisation, rel=0.25)
    assert RANK / DRAWS >= 0.99
