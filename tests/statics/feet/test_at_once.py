"""What is told at once is careful: not above what feet followed step by step bear, nor above pinned feet.

More of it, in seconds a limit: tests/bench/bench_followed.py.
"""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.constants import GAMMA_G_HOLDING
from fieldapp.statics.feet.at_once import OF_COLLAPSE, gust_at_once, push_at_once
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.gusts import BETWEEN_GUSTS, as_wind_limit, collapse_in_gusts, unit_gusts
from fieldapp.statics.feet.pushes import feet_push_collapse
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import CREPT, LAID_ON
from fieldapp.statics.feet.under_weight import standing, weight_at_once
from fieldapp.statics.governs import ARM, FOOT_LIFTS, FOOT_SLIDES, PEG, SLIDES, TIPS, TUBE, UNKNOWN, Limit
from fieldapp.statics.limits import push_limits
from fieldapp.statics.wind import wind_limit
from tests.feet_followed import between, followed_push

CAUSES = {ARM, TUBE, SLIDES, TIPS, FOOT_SLIDES, FOOT_LIFTS}


@pytest.fixture(scope="module")
def loose(half_up):
    of, tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.3))
    return feet, standing(feet, tubes)


def test_pushes_told_at_once_are_careful(half_up, loose):
    of, tubes, _names, top = half_up
    feet, stands = loose
    pinned = push_limits(of, tubes, [top])[top]
    told, whole = push_at_once(stands, tubes, pinned), feet_push_collapse(feet, top, pinned.value)
    ways = [(GAMMA_G_HOLDING, 1000.0, history, foot) for history in (LAID_ON, CREPT) for foot in (-1, 0)]
    detail = followed_push(feet, tubes, pinned, ways)
    assert told.settled
    assert detail.settled
    assert 0 < told.value <= detail.value <= min(whole.value, pinned.value)
    assert {told.governs.what, detail.governs.what} <= CAUSES


def test_an_answer_on_pegs_names_the_peg_and_is_above_loose_feet(half_up, loose):
    of, tubes, names, top = half_up
    pinned, limit = push_limits(of, tubes, [top])[top], wind_limit(of, tubes)
    pegged = standing(feet_of(of, footing(names, friction=0.3, peg_up_n=200.0, peg_side_n=120.0)), tubes)
    told, gust = push_at_once(pegged, tubes, pinned), gust_at_once(pegged, tubes, limit)
    assert told.value > push_at_once(loose[1], tubes, pinned).value
    assert gust.value > gust_at_once(loose[1], tubes, limit).value
    assert PEG in (told.governs.what, gust.governs.what)
    stronger = standing(feet_of(of, footing(names, friction=0.3, peg_up_n=300.0, peg_side_n=240.0)), tubes)
    assert gust_at_once(stronger, tubes, limit).value >= gust.value
    assert push_at_once(stronger, tubes, pinned).value >= told.value


def test_the_weight_is_looked_at_in_every_way_of_standing(half_up, loose):
    of, tubes, _names, top = half_up
    stands = loose[1]
    bound = weight_at_once(stands)
    assert bound.value < 1.0 / of.design_utilisation
    assert "weight × 1.35" in bound.governs.taken
    wild = replace(stands, starts=replace(stands.starts, states=replace(
        stands.starts.states, settled=np.zeros(len(stands.starts.history), dtype=bool))))
    unknown = weight_at_once(wild)
    assert (unknown.counts, unknown.settled, unknown.governs.what) == (0.0, False, UNKNOWN)
    assert push_at_once(wild, tubes, Limit("push", 100.0, top)).counts == 0.0
    assert unknown.limit("own weight").governs.what == UNKNOWN


def test_wind_is_careful_from_all_directions_and_slides_where_it_is_expected(half_up, loose):
    of, tubes, _names, _top = half_up
    feet, stands = loose
    pinned = wind_limit(of, tubes)
    whole = collapse_in_gusts(feet, unit_gusts(feet), pinned.value)
    assert whole.governs.what == SLIDES
    assert 4.5 < whole.value < 9.0
    assert gust_at_once(stands, tubes, pinned).value < whole.value < pinned.value
    told = as_wind_limit(whole, pinned)
    assert told.forecast_m_s / told.value == pytest.approx(pinned.forecast_m_s / pinned.value)
    assert told.beaufort <= pinned.beaufort
    assert told.governs.what == SLIDES
    assert as_wind_limit(replace(whole, value=1e3), pinned) is pinned


def test_wind_told_makes_no_jump_where_pinned_feet_bear_just_what_slides_the_frame(half_up, loose):
    """A hair more or less on pinned feet: collapse is looked for as far as twice the pressure that is told."""
    of, tubes, _names, _top = half_up
    feet, stands = loose
    pinned = wind_limit(of, tubes)
    slides = collapse_in_gusts(feet, unit_gusts(feet), pinned.value).value / np.sqrt(BETWEEN_GUSTS)
    told = [gust_at_once(stands, tubes, replace(pinned, value=slides * part)).value for part in (0.999, 1.001)]
    assert told[0] == pytest.approx(told[1], rel=0.01)
    assert told[0] <= slides * np.sqrt(OF_COLLAPSE)


def test_directions_proven_between_others_are_those_that_are_looked_at(half_up, monkeypatch):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.3, peg_up_n=200.0, peg_side_n=120.0))
    gust = unit_gusts(feet)
    asked = (10.0, 15.0, 20.0, 60.0)
    found = [collapse_in_gusts(feet, gust, speed) for speed in asked]
    monkeypatch.setattr("fieldapp.statics.feet.gusts._AT_ONCE", 1)
    assert found == [collapse_in_gusts(feet, gust, speed) for speed in asked]
    assert np.isinf(found[0].value)
    assert found[-1].value < asked[-1]


def test_wind_between_two_directions_that_are_looked_at_is_on_the_careful_side(half_up, loose, monkeypatch):
    of, tubes, _names, _top = half_up
    feet, pinned = loose[0], wind_limit(of, tubes)
    told = collapse_in_gusts(feet, unit_gusts(feet), pinned.value).value
    turn = np.linspace(0, 2 * np.pi, 97)[:-1]
    every = np.stack((np.sin(turn), np.cos(turn), np.zeros(len(turn))), axis=1)
    monkeypatch.setattr("fieldapp.statics.feet.gusts.wind_directions", lambda: every)
    assert told <= collapse_in_gusts(feet, unit_gusts(feet), pinned.value).value / np.sqrt(BETWEEN_GUSTS)


def test_what_lies_between_the_directions_of_pushes():
    assert between(np.vstack((np.eye(3), -np.eye(3)))) == pytest.approx(1 / np.sqrt(3))
