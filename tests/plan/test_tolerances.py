"""What tolerances lock in takes from every limit: against frames drawn for the stage itself, and by hand."""

import numpy as np
import pytest

from fieldapp.plan.bounds import with_fit
from fieldapp.plan.case import case_of
from fieldapp.plan.fit_limits import RANK
from fieldapp.plan.fitup import fit_up
from fieldapp.plan.locked import LockedIn
from fieldapp.plan.order import level_order
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.plan.tolerances import LOW_LEVELS, TUBE_DRAWS, TUBE_RANK, Tolerated, _drawn, settled, tolerated
from fieldapp.statics.governs import FIT


@pytest.fixture(scope="module")
def case(small_kit):
    return case_of(small_kit)


@pytest.fixture(scope="module")
def plan(small_kit):
    return level_order(small_kit.frame, small_kit.design)


def test_a_stage_has_no_more_locked_in_than_the_levels_that_hold_it(case, plan):
    """Drawn for the stage itself; what it counts as holds all its struts."""
    for number in (6, 12, 16, 20, len(plan.steps)):
        stage = analysis(case, fitted_after(plan, number))
        own, told = _drawn(case, settled(case, stage.fitted, stage.tied)), tolerated(case, stage.fitted, stage.tied)
        assert own.arm_use <= told.arm_use * 1.02  # other draws
        assert own.place_use <= told.place_use * 1.05
    assert told.arm_use == pytest.approx(fit_up(case, plan).locked_utilisation, rel=0.05)
    assert told.place_use < told.worst
    assert RANK / 400 > TUBE_RANK / TUBE_DRAWS - 0.03
    assert case.frame.level_count > LOW_LEVELS


def test_it_takes_from_every_limit_and_parts_that_fit_lose_nothing(case, exact_kit, plan):
    fitted = fitted_after(plan, len(plan.steps))
    made, drawn = analysis(case, fitted), analysis(case_of(exact_kit), fitted)
    assert tolerated(drawn.case, fitted, drawn.tied) == Tolerated()
    assert drawn.bearing.spare == 1.0
    assert made.verdict == drawn.verdict
    hub = fitted.last[0]
    for one, other in ((made.push_limits([hub])[hub], drawn.push_limits([hub])[hub]), (made.wind, drawn.wind),
                       (made.lag, drawn.lag)):
        assert one.frame.value <= other.frame.value
    assert made.lag.frame.value < drawn.lag.frame.value
    told = with_fit(made.verdict, made.bearing)
    assert told.governs.what == FIT
    assert 1 / told.value == pytest.approx(1 / made.verdict.value + made.bearing.locked.worst)


def test_known_and_drawn_add_by_hand():
    drawn = Tolerated(arm_use=0.4, tube_use=0.5, place_use=0.3, pull_n=20.0)
    known = LockedIn(_Pulls(np.array([[[[7.0, 0, 0]]]])), arm_use=0.1, use=0.2)
    both = drawn.beside(known)
    assert (both.use, both.known, both.pull_n) == (pytest.approx(0.5), 0.2, 27.0)
    assert drawn.worst == 0.5


class _Pulls:
    def __init__(self, arms):
        self.arms = arms
