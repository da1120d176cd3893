"""The ways of raising, their orders and holds."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.errors import PlanError
from fieldapp.plan.case import case_of
from fieldapp.plan.motions import Motions, directions, holds_by_step, motions_by_step, motions_of, smallest_holds
from fieldapp.plan.order import level_order
from fieldapp.plan.plan import Plan
from fieldapp.plan.planner import way_names, way_plans, with_help
from fieldapp.plan.search import plan_score
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.plan.supports import supports_of
from fieldapp.plan.ways import evenly_spaced

GENERATED = ("ring by ring", "crown first", "crown set on last", "wedge by wedge")


@pytest.mark.parametrize("way", GENERATED)
def test_every_way_fills_every_place_once_and_in_an_order_that_can_be_followed(lean_kit, way):
    plan = way_plans(lean_kit, way)[0]
    hubs = [step.hub for step in plan.steps if not step.joins]
    struts = [insertion.strut for step in plan.steps for insertion in step.struts]
    assert sorted(hubs) == sorted(lean_kit.frame.hub_index)
    assert sorted(struts) == sorted(lean_kit.frame.strut_index)
    standing = set()
    for step in plan.steps:
        assert set(step.waits_for) <= standing
        standing.add(step.hub)


def test_unknown_way_names_the_ways_there_are(lean_kit):
    with pytest.raises(PlanError, match="there is no way of raising called 'sideways'; ways are ring by ring, "
                                        "crown first, crown set on last, wedge by wedge, own order"):
        way_plans(lean_kit, "sideways")[0]


def _plain(kit):
    return with_help(level_order(kit.frame, kit.design), kit.frame, kit.design)


def test_the_order_chosen_holds_fewer_hubs_for_a_shorter_time_than_plain_clockwise(hall_kit):
    """Measured on the demo: its doorway leaves ring 2 open, so that plain clockwise must hold two hubs."""
    crew = hall_kit.design.crew
    plain = plan_score(_plain(hall_kit), crew)
    chosen = plan_score(way_plans(hall_kit, "ring by ring")[0], crew)
    assert chosen[0] < plain[0]
    assert chosen[1] < 0.8 * plain[1]


@pytest.mark.parametrize("kit", ["lean_kit", "small_kit", "hall_kit"])
def test_the_order_chosen_is_never_worse(kit, request):
    kit = request.getfixturevalue(kit)
    plain = plan_score(_plain(kit), kit.design.crew)
    assert plan_score(way_plans(kit, "ring by ring")[0], kit.design.crew) <= plain


def test_crown_first_lifts_before_each_ring_and_works_near_the_ground(lean_kit):
    steps = way_plans(lean_kit, "crown first")[0].steps
    lifts = [step for step in steps if step.lift_mm]
    assert [step.level for step in lifts] == [3, 2, 1]
    assert all(len(step.carried_at) == 3 for step in lifts)
    assert max(step.height_mm for step in steps) < 400.0
    assert steps[-1].carried_at == ()
    assert len(steps[-1].stands_on) == 15


def test_crown_set_on_last_waits_for_the_whole_piece_and_lifts_once(lean_kit):
    steps = way_plans(lean_kit, "crown set on last")[0].steps
    joins = [step for step in steps if step.joins]
    piece = {step.hub for step in steps if step.piece and not step.joins}
    assert piece <= {*joins[0].waits_for, joins[0].hub}
    assert [bool(step.lift_mm) for step in joins] == [True, *[False] * (len(joins) - 1)]
    assert all(insertion.closes for step in joins for insertion in step.struts)


def test_evenly_spaced_spreads_and_never_repeats():
    assert evenly_spaced([f"H{i}" for i in range(15)], 5) == ("H0", "H3", "H6", "H9", "H12")
    assert evenly_spaced(["a", "b"], 5) == ("a", "b")


@pytest.mark.parametrize("kit", ["lean_kit", "small_kit"])
def test_the_weight_of_a_piece_lies_between_those_who_carry_it_in_every_order(kit, request):
    """By masses and places: one that lies outside would tip."""
    kit, carried = request.getfixturevalue(kit), 0
    for way in ("crown first", "crown set on last"):
        for plan in way_plans(kit, way):
            for step in (step for step in plan.steps if step.lift_mm):
                piece = {place for one in plan.steps[:step.number - 1] if one.piece for place in one.places}
                hubs = [hub for hub in piece if hub[0] == "H"]
                masses = [kit.by_place[hub].mass_kg for hub in hubs]
                middle = np.average([kit.frame.position_mm(hub)[:2] for hub in hubs], axis=0, weights=masses)
                away = np.array([kit.frame.position_mm(hub)[:2] for hub in step.carried_at]) - middle
                round_it = np.sort(np.arctan2(away[:, 1], away[:, 0]))
                carried += 1
                assert np.diff(round_it, append=round_it[0] + math.tau).max() < 0.9 * math.pi, (step.hub, plan.way)
    assert carried > 6


def test_a_piece_held_on_one_side_alone_tips_out_of_the_hands(small_kit):
    case, plan = case_of(small_kit), way_plans(small_kit, "crown first")[-1]
    lift = next(step for step in reversed(plan.steps) if step.lift_mm)
    whole = fitted_after(plan, lift.number - 1)
    level = small_kit.frame.hub(lift.carried_at[0]).level
    rim = [hub.name for hub in small_kit.frame.hubs if hub.level == level]
    round_it, on_one_side, one_idle = (analysis(case, replace(whole, carried_at=tuple(rim[at] for at in ats)))
                                       for ats in ((0, 2, 4, 6, 8), (0, 1, 2, 3), (0, 1, 2, 3, 7)))
    assert (round_it.stands, on_one_side.stands, one_idle.stands) == (True, False, True)
    assert round_it.lag.value > 0.0
    assert (one_idle.lag.value, one_idle.lag.at) == (0.0, rim[2])      # it bears nothing, and would be left behind


def _mechanisms(frame, steps):
    """Mechanisms the long way: 3 j − rank of the whole compatibility matrix, supports as rows of it."""
    column = {hub: 3 * i for i, hub in enumerate(dict.fromkeys(step.hub for step in steps))}
    rows = []
    for hub, supports in supports_of(frame, steps[-1]).items():
        for row in np.zeros((len(supports), 3 * len(column))):
            rows.append(row)
        for row, support in zip(rows[-len(supports):], supports, strict=True):
            row[column[hub]:column[hub] + 3] = support
    for step in steps:
        for far, unit in directions(frame, step):
            row = np.zeros(3 * len(column))
            for hub, sign in ((step.hub, 1.0), (far, -1.0)):
                row[column[hub]:column[hub] + 3] = sign * unit
            rows.append(row)
    return 3 * len(column) - np.linalg.matrix_rank(np.array(rows), 1e-9)


def test_a_piece_that_is_tied_on_moves_as_the_stage_it_makes(tiny_kit):
    """A hub that its ring holds still already gets its last struts; it is no new one, and nobody holds it."""
    for way in way_names(tiny_kit):
        steps = way_plans(tiny_kit, way)[0].steps
        for number, motions in enumerate(motions_by_step(tiny_kit.frame, steps), start=1):
            fitted = fitted_after(Plan(way, steps[:number], {}), number)
            rests = supports_of(tiny_kit.frame, steps[number - 1])
            anew = motions_of(tiny_kit.frame, fitted.hubs, fitted.struts, rests)
            assert (motions.count, sorted(motions.hubs)) == (anew.count, sorted(anew.hubs)), (way, number)


@pytest.mark.parametrize("way", GENERATED)
def test_mechanisms_followed_step_by_step_equal_the_rank_of_the_whole_matrix(lean_kit, way):
    """Maxwell 1864 and Calladine 1978: m = 3 j − rank, counted afresh for some stages."""
    steps = way_plans(lean_kit, way)[0].steps
    followed = motions_by_step(lean_kit.frame, steps)
    for number in range(8, len(steps), 17):
        assert followed[number].count == _mechanisms(lean_kit.frame, steps[:number + 1])


def test_a_cap_with_its_rim_free_has_n_minus_3_mechanisms_beyond_the_rigid_motions(lean_kit):
    """Triangulated cap with n rim hubs, free: m = n − 3 (Cauchy–Dehn; 6 rigid motions added)."""
    motions = Motions()
    for step in way_plans(lean_kit, "ring by ring")[0].steps:
        motions = motions.with_hub(step.hub, directions(lean_kit.frame, step))
    assert motions.count == 15 - 3 + 6


@pytest.mark.parametrize("way", GENERATED)
def test_holding_the_holds_leaves_no_motion_and_one_fewer_does(lean_kit, way):
    steps = way_plans(lean_kit, way)[0].steps
    for motions, holds in zip(motions_by_step(lean_kit.frame, steps), holds_by_step(lean_kit.frame, steps),
                              strict=True):
        assert motions.without(holds).count == 0
        for hub in holds:
            assert motions.without([other for other in holds if other != hub]).count > 0


def test_whoever_holds_a_hub_keeps_it_where_that_needs_no_more_people():
    motions = Motions().with_hub("A", []).with_hub("B", [("A", np.array([1.0, 0.0, 0.0]))])
    one_left = motions.without(["A"])
    assert smallest_holds(one_left) == ("B",)
    assert len(smallest_holds(motions, prefer=("B",))) == 2
