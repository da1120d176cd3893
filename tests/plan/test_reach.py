"""Reach, crown pieces and lifters against the published figures."""

from itertools import pairwise

import pytest

from fieldapp.base.errors import PlanError
from fieldapp.base.said import in_words
from fieldapp.frame.design import CrewSection
from fieldapp.plan.lifting import chosen_piece, lifters_for_mass, top_pieces
from fieldapp.plan.planner import way_plans
from fieldapp.plan.reach import highest_grip_mm, reach


@pytest.mark.parametrize(("height_mm", "crew", "words"), [
    # DIN 33402-2:2005: women, 5th percentile, upward grip reach 1840 mm, shoes 25 mm
    (1865.0, CrewSection(), "the ground"),
    (1866.0, CrewSection(), "out of reach: needs a platform of 0.01 m or more"),
    (2900.0, CrewSection(ladder_m=1.2), "the step ladder, feet at 1.04 m or higher"),
    (3700.0, CrewSection(ladder_m=1.2, platform_m=1.9), "the platform, feet at 1.84 m or higher"),
    (2000.0, CrewSection(grip_m=2.1), "the ground"),
])
def test_reach_names_the_lowest_thing_to_stand_on(height_mm, crew, words):
    assert in_words(reach(height_mm, crew).stand_on) == words


def test_a_top_hub_out_of_reach_from_the_step_says_how_high_a_platform_would_do(lean_kit):
    step = way_plans(lean_kit, "ring by ring")[0].step_for("H46")
    assert step.height_mm == pytest.approx((1 - 0.17164) * 3000.0, abs=1)    # rim at 0.17164 R: computed
    assert highest_grip_mm(lean_kit.design.crew) == 2165.0
    assert not step.reachable
    assert in_words(step.stand_on) == "out of reach: needs a platform of 0.63 m or more"


def test_lifters_by_the_filter():
    """HSE L23 lifting filter, women, above shoulder height, close: 7 kg (our choice)."""
    assert [lifters_for_mass(mass) for mass in (1.0, 7.0, 7.1, 21.0)] == [1, 1, 2, 3]


def test_crown_pieces_grow_ring_by_ring_and_weigh_what_their_parts_weigh(lean_kit):
    pieces = top_pieces(lean_kit.frame, lean_kit, ())
    assert [len(piece.hubs) for piece in pieces] == [1, 6, 16, 31]
    assert [len(piece.struts) for piece in pieces] == [5, 25, 60, 105]
    top = pieces[0]
    parts = [lean_kit.by_place[place] for place in (*top.hubs, *top.struts)]
    assert top.mass_kg == pytest.approx(sum(part.mass_kg for part in parts))
    assert all(a.mass_kg < b.mass_kg for a, b in pairwise(pieces))


def test_the_piece_chosen_is_the_smallest_that_is_reached_or_the_largest_allowed(lean_kit):
    pieces = top_pieces(lean_kit.frame, lean_kit, ())
    design = lean_kit.design
    assert len(chosen_piece(pieces, design).hubs) == 6
    allowed = design.model_copy(update={"raising": design.raising.model_copy(update={"crown_piece_struts": 59})})
    assert len(chosen_piece(pieces, allowed).struts) == 25
    few = design.model_copy(update={"raising": design.raising.model_copy(update={"crown_piece_struts": 4})})
    with pytest.raises(PlanError, match="crown_piece_struts is 4, but the smallest crown piece of this frame has 5"):
        chosen_piece(pieces, few)
