"""Feet as a source of bounds: loose on wet grass the frame slides, pegged as logged it holds; carried it has none."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.kit import build_kit
from fieldapp.plan.bounds import bounded
from fieldapp.plan.case import case_of
from fieldapp.plan.feet_bounds import feet_bounds, pushes_borne, wind_by_feet
from fieldapp.plan.footing import footing_of
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import all_ways, harmful_ways, starts_of
from fieldapp.statics.feet.strength import answers, cases_of
from fieldapp.statics.feet.under_weight import lasting_uses, standing
from fieldapp.statics.governs import LAG, PEG, SLIDES, TIPS, WIND
from fieldapp.statics.limits import push_limits
from fieldapp.statics.wind import wind_limit

from .conftest import exact


@pytest.fixture(scope="module")
def case(hall_kit):
    return case_of(build_kit(exact(hall_kit.design)))


@pytest.fixture(scope="module")
def fitted(case):
    return fitted_after(way_plans(case.kit, "ring by ring")[0], 43)


def test_loose_feet_slide_and_pegs_hold_as_long_as_they_are_there(case, fitted):
    loose = analysis(case, fitted)
    pegged = loose.with_pegs(loose.feet)
    hub = fitted.last[0]
    assert loose.wind.governs.what == SLIDES
    assert pegged.wind.governs.what in (PEG, TIPS)
    assert loose.wind.value < 5 < 10 < pegged.wind.value
    assert loose.push_limits([hub])[hub].governs.what == SLIDES
    assert loose.push_limits([hub])[hub].value < pegged.push_limits([hub])[hub].value
    assert not loose.breaks
    assert pegged.with_pegs(()).wind.value == loose.wind.value


def test_where_feet_end_it_first_the_answer_is_that_of_the_long_way(case, fitted):
    for pegs in ((), analysis(case, fitted).feet):
        stage = analysis(case, fitted).with_pegs(pegs)
        own = wind_limit(stage.solved, case.tubes, terrain=case.design.raising.terrain)
        (gust,) = feet_bounds(stage.bearing, WIND, [own])
        assert wind_by_feet(stage.bearing).value == pytest.approx(gust.value, rel=1e-5)
        assert stage.wind.governs == gust.governs
        assert stage.wind.forecast_m_s == pytest.approx(gust.forecast_m_s, rel=1e-5)


def test_a_push_that_pegs_end_is_that_of_the_long_way(case, fitted):
    stage = analysis(case, fitted).with_pegs(analysis(case, fitted).feet)
    hubs = fitted.hubs[-4:]
    assert pushes_borne(stage.bearing, hubs) == bounded(push_limits(stage.solved, case.tubes, hubs).values(),
                                                        stage.bearing)
    assert PEG in {limit.frame.governs.what for limit in stage.push_limits(hubs).values()}


def test_a_loose_foot_makes_arms_bear_more_than_pins_do(case, fitted):
    loose = analysis(case, fitted)
    assert loose.verdict.value < 1 / loose.design_utilisation
    assert "hangs free" in loose.verdict.governs.taken


def test_what_is_carried_or_of_another_kind_has_no_feet(case, fitted):
    bearing = analysis(case, fitted).bearing
    carried = replace(bearing, fitted=replace(fitted, carried_at=fitted.stands_on))
    assert list(feet_bounds(carried, WIND, ())) == []
    assert list(feet_bounds(bearing, LAG, ())) == []


@pytest.mark.parametrize("number", [6, 7, 8])
def test_no_way_to_stand_asks_more_of_the_weight_than_what_is_told(tiny_kit, number):
    """Both springs, every history, any one foot in the air: all tried here, some of them where it is told."""
    case = case_of(tiny_kit)
    stage = analysis(case, fitted_after(way_plans(tiny_kit, "ring by ring")[0], number))
    feet = feet_of(stage.solved, footing_of(case.design.ground, stage.fitted.stands_on))
    every = starts_of(feet)
    pinned = cases_of(feet.of.weight, every.weight_factor, np.zeros(len(every.history), dtype=np.int64))
    uses = lasting_uses(answers(feet, pinned, every.states), case.tubes, every).most
    assert every.states.settled.all()
    assert standing(feet, case.tubes).lasting.most.max() == pytest.approx(uses.max(), rel=1e-9)
    first = np.array([way in harmful_ways(feet) for way in all_ways(feet)])
    assert uses[first].max() < uses.max(), "soft ground and crept feet alone say less"
