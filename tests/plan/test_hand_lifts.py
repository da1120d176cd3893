"""Up and down are mirrors: what is lifted is lowered, at the same hubs, by as much; hands do not do all."""

import itertools
import re

import pytest

from fieldapp.base.said import in_words, listed
from fieldapp.frame.design import CrewSection
from fieldapp.plan.compare import effort_of, effort_rank
from fieldapp.plan.hand_lifts import AT_ONE_HUB, CLEAR_BEYOND_MM, PROP_STEP_MM, hand_lifts, not_by_hand
from fieldapp.plan.planner import way_names, way_outlines
from fieldapp.prints.booklet.lifts import lifts_chapter
from fieldapp.reports.standing.strike import last_steps
from fieldapp.wording.lifts import lift_page_lines, props_said
from fieldapp.wording.raising import lead_lines, step_runs
from fieldapp.wording.strike import strike_lines


@pytest.fixture(scope="module")
def plans(lean_kit, small_kit, hall_kit):
    """Every order of every way of three frames, one with a doorway, unjudged: lifts are in the order, not in the
    statics."""
    return [(kit, plan) for kit in (lean_kit, small_kit, hall_kit) for way in way_names(kit)
            for plan in way_outlines(kit, way)]


def test_the_strike_lowers_what_the_raise_lifted_backwards_at_the_same_hubs(plans):
    lifted = {(kit.design.frame.name, plan.way) for kit, plan in plans if hand_lifts(kit, plan)}
    assert {way for _name, way in lifted} == {"crown first", "crown set on last"}
    assert len([kit for kit, plan in plans if hand_lifts(kit, plan)]) >= 12
    for kit, plan in plans:
        lifts = hand_lifts(kit, plan)
        fitted = {place for step in plan.steps for place in step.places}
        lowered = []
        while fitted:
            (step, places), = last_steps(plan, fitted, 1)
            fitted -= set(places)
            if step.lift_mm:
                lowered.append((step.number, step.carried_at, step.lift_mm))
        assert lowered == [(lift.step, lift.hubs, pytest.approx(lift.lift_mm)) for lift in reversed(lifts)]


def test_the_booklet_says_every_lowering_and_every_hub_to_carry_before_its_support_is_taken_out(plans):
    for kit, plan in plans:
        for step in reversed(plan.steps):
            before = plan.steps[step.number - 2] if step.number > 1 else None
            words = " ".join(strike_lines(kit, plan, step, None))
            assert ("Then lower the" in words) == bool(step.lift_mm)
            new = set(before.carried_at if before else ()) - set(step.carried_at)
            carried = re.search("(First|Then) carry (the|it) [^.]*", words)
            assert not new or carried[1] == ("Then" if step.lift_mm else "First")
            assert all(hub in carried[0] for hub in new)
        pages = [maker.args[:2] for chapter in lifts_chapter(kit, plan) for maker in chapter.makers]
        lifts = hand_lifts(kit, plan)
        assert {step.number for step in plan.steps if step.lift_mm} == {lift.step for lift in lifts}
        assert pages == [*((lift, "up") for lift in lifts), *((lift, "down") for lift in reversed(lifts))]


def test_both_pages_of_a_lift_name_the_same_hubs_people_heights_and_props(plans):
    for kit, plan in plans:
        for lift in hand_lifts(kit, plan):
            up, down = (" ".join(lift_page_lines(lift, way)) for way in ("up", "down"))
            before = plan.steps[lift.step - 2]
            assert all(f"nobody lets go{there}" in words for words, there in ((up, " there"), (down, " before"))
                       ) or not before.carried_at
            besides = {hub for step in (before, plan.steps[lift.step - 1]) for hub in step.holds
                       if hub in lift.heights_mm} - set(lift.hubs)
            for words in (up, down):
                assert set(lift.held) == besides
                assert all(hub in words for hub in besides)
                assert all(hub in words for hub in lift.hubs)
                assert all(f"{mm / 1000:.2f}" in words for hub in lift.hubs for mm in lift.props_mm(hub))
                assert f"{lift.people} people" in words
                assert "Nobody under it" in words
                assert "calls" in words
            on_card = " ".join(strike_lines(kit, plan, plan.steps[lift.step - 1], None))
            assert not lift.rises_mm or props_said(lift, "down") in on_card
            assert not lift.rises_mm or props_said(lift, "down") in down
            heights = [0.0, *lift.rises_mm, lift.lift_mm]
            assert all(0 < high - low <= PROP_STEP_MM + 1e-6 for low, high in itertools.pairwise(heights))
            assert lift.clear_mm >= lift.high_mm + CLEAR_BEYOND_MM


def test_whoever_carries_is_told_so_in_every_step_until_the_piece_stands(plans):
    for kit, plan in plans:
        for before, step in itertools.pairwise(plan.steps):
            if step.carried_at or before.carried_at:
                words, _where = lead_lines(step, before, kit.frame)
                assert f"at {listed(step.carried_at or before.carried_at)}" in words
                assert ("then it stands, and they let go" in words) == (not step.carried_at)


def test_of_a_piece_that_is_tied_on_only_the_struts_are_taken_down(plans):
    runs = [run for kit, plan in plans for run in step_runs(kit.frame, plan) if run.steps[0].joins]
    assert runs
    assert not any("hub" in run.size_words for run in runs)


def test_no_prop_racks_a_piece_whose_hubs_are_not_level(plans):
    """By coordinates: at every state in between each hub is as far below where it ends as all the others."""
    uneven = 0
    for kit, plan in plans:
        for lift in hand_lifts(kit, plan):
            at_mm = {hub: float(kit.frame.position_mm(hub)[2]) for hub in lift.hubs}
            uneven += max(at_mm.values()) - min(at_mm.values()) > 50.0
            for heights_mm in zip(*(lift.props_mm(hub) for hub in lift.hubs), strict=True):
                short = [at_mm[hub] - height_mm for hub, height_mm in zip(lift.hubs, heights_mm, strict=True)]
                assert max(short) - min(short) < 1e-6
    assert uneven


def test_a_piece_is_lifted_from_where_the_step_before_left_it(plans):
    for kit, plan in plans:
        for lift in hand_lifts(kit, plan):
            before = plan.steps[lift.step - 2]
            lowered_mm = float(kit.frame.position_mm(before.hub)[2]) - before.height_mm
            assert lift.low_mm == pytest.approx(
                max(float(kit.frame.position_mm(hub)[2]) for hub in lift.hubs) - lowered_mm, abs=1.0)


def test_hands_reach_1865_mm_and_a_higher_lift_ranks_after_a_higher_platform(lean_kit):
    """DIN 33402-2:2005, women, 5th percentile, with shoes; nobody carries from a ladder."""
    crown, = hand_lifts(lean_kit, way_outlines(lean_kit, "crown set on last")[0])
    assert crown.high_mm > 1865.0
    assert "hands reach 1.86 m from the ground (DIN 33402-2)" in in_words(not_by_hand(crown, CrewSection(ladder_m=3.0)))
    assert not_by_hand(crown, CrewSection(grip_m=2.4)) is None
    crew = lean_kit.design.crew
    ring, set_on = (effort_rank(effort_of(lean_kit, way_outlines(lean_kit, way)[0]), crew.people)
                    for way in ("ring by ring", "crown set on last"))
    assert ring < set_on


def test_more_people_than_find_room_at_the_hubs_are_too_many(lean_kit):
    """HSE L23, INDG143: 10 kg for men above the shoulder, seven tenths of it for women."""
    heavy = hand_lifts(lean_kit, way_outlines(lean_kit, "crown first")[0])[-1]
    assert heavy.people > AT_ONE_HUB * len(heavy.hubs)
    assert in_words(not_by_hand(heavy, CrewSection())).startswith("too heavy to lift by hand: ")
