"""What ground and pegs hold: careful where nobody measured, halved where soaked, nothing without a pull."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldapp.base.ground import COHESION_SHARE, GROUNDS, N_PER_KPA_CM2, OF_LOWEST_PULL, SATURATED, peg_hold_n
from fieldapp.frame.ground import GroundSection

pulls = st.lists(st.floats(1.0, 1e5), min_size=1, max_size=5).map(tuple)


def test_a_peg_without_value_or_pull_test_holds_nothing():
    pegged = GroundSection(held_by="pegs", per_foot=4)
    assert (pegged.peg_up_n, pegged.peg_sideways_n) == (0.0, 0.0)


def test_the_own_pull_test_beats_what_a_sheet_says():
    tested = GroundSection(held_by="pegs", pull_test_up_n=(400.0, 500.0), holds_up_n=2000.0, holds_source="a sheet")
    assert tested.peg_up_n == 400.0 * OF_LOWEST_PULL * SATURATED


@given(pulls, st.booleans())
def test_soaked_ground_halves_a_pull_made_in_the_dry(found: tuple[float, ...], pulled_wet: bool):
    wet = peg_hold_n(found, pulled_wet=pulled_wet, wet=True)
    dry = peg_hold_n(found, pulled_wet=pulled_wet, wet=False)
    assert wet == pytest.approx(dry * (1.0 if pulled_wet else 0.5))
    assert dry <= 0.5 * min(found)


@given(pulls, st.floats(1.0, 1e5))
def test_one_more_pull_never_makes_a_peg_stronger(found: tuple[float, ...], more: float):
    assert peg_hold_n((*found, more), pulled_wet=True, wet=True) <= peg_hold_n(found, pulled_wet=True, wet=True)


@pytest.mark.parametrize("ground", GROUNDS.values())
def test_wet_ground_never_holds_more(ground):
    assert ground.friction_wet <= ground.friction_dry


def test_clay_holds_by_its_cohesion_on_the_area_that_was_measured():
    """One kPa on a square metre is 1000 N; without a measured area clay holds nothing."""
    clay = GroundSection(stands_on="clay", foot_area_cm2=100.0)
    assert (clay.foot_friction, clay.most_sideways_n) == (COHESION_SHARE, pytest.approx(6.2 * 1000.0 * 0.01))
    assert GroundSection(stands_on="clay").most_sideways_n == 0.0
    assert N_PER_KPA_CM2 * 1e4 == 1000.0
    assert COHESION_SHARE <= 0.5
    dragged = GroundSection(stands_on="clay", friction=0.2, source="dragged")
    assert (dragged.foot_friction, dragged.most_sideways_n) == (0.2, math.inf)
