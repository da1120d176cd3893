"""An exchange in the standing frame is worked out before anything moves; every state of it is judged anew, plainly."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.constants import WHOLE_BODY_PUSH_N
from fieldapp.frame.design import CrewSection, FrameSection
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of, weaker
from fieldapp.plan.exchange import ExchangeCase, exchange, way_back
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import fitted_after
from tests.plan.plain_frame import plain_stage

from .conftest import lean_design


@pytest.fixture(scope="module")
def frames(lean_kit, small_kit):
    """Three frames with their plans: on weak arms with feet far apart, of frequency 2, of frequency 1."""
    stepped = small_kit.design.model_copy(update={"crew": CrewSection(ladder_m=1.0)})
    tiny = stepped.model_copy(update={"frame": FrameSection(frequency=1, cut="2/3", diameter_m=3.6)})
    return [(case_of(kit), way_plans(kit, "ring by ring")[0]) for kit in map(build_kit, (
        lean_design(ladder_m=2.0), stepped, tiny))]


@settings(max_examples=5, deadline=None)
@given(st.data())
def test_every_state_of_a_safe_exchange_stands_with_its_holds_by_plain_beams(frames, data):
    case, plan = data.draw(st.sampled_from(frames[1:]))
    feet = sum(hub.on_ground for hub in case.frame.hubs)       # a lone strut on a foot lies down, and nobody minds
    steps = data.draw(st.integers(feet + 1, min(len(plan.steps), feet + 8)))
    fitted = fitted_after(plan, steps)
    place = data.draw(st.sampled_from([*fitted.hubs, *fitted.struts]))
    order = exchange(ExchangeCase(case, case, replace(fitted, last=())), place)
    held = {hold.hub: hold for hold in order.holds}
    if not order.safe:
        assert not order.ticks
        return
    assert order.people <= case.design.crew.people
    assert [tick.place for tick in order.ticks if tick.goes == "in"] == list(reversed(order.touches))
    for state in order.between:
        hands = [hub for hub in held if hub in state.fitted.hubs]
        own = [place] if place in case.frame.hub_index and place not in state.out else []
        stands, stress, forces = plain_stage(case, replace(state.fitted, held=tuple(hands)), state.hanging)
        if not stands and own:
            stands, stress, forces = plain_stage(case, replace(state.fitted, held=(*hands, *own)), state.hanging)
        assert stands
        assert stress < 1.0
        assert all(forces[hub] <= 1.05 * held[hub].force_n + 1.0 for hub in hands if held[hub].force_n)
        assert all(hold.prop_only or hold.force_n <= WHOLE_BODY_PUSH_N for hold in order.holds)


def test_the_plain_beams_see_what_falls(frames):
    """Else the check above could not fail: without the struts that tie it, a hub is loose."""
    case, plan = frames[2]
    fitted = fitted_after(plan, len(plan.steps))
    gone = {arm.strut for arm in case.frame.hub(plan.steps[-1].hub).arms}
    assert plain_stage(case, fitted)[0]
    assert not plain_stage(case, fitted.with_struts(s for s in fitted.struts if s not in gone))[0]


def test_a_foot_comes_out_with_hands_at_the_hubs_that_stood_on_it_named_before(frames):
    case, plan = frames[0]
    order = exchange(ExchangeCase(case, case, fitted_after(plan, len(plan.steps))), "H05")
    assert order.safe
    assert {hold.hub for hold in order.holds} == {"H19", "H20"}
    assert order.people == 5
    assert order.touches[-1] == "H05"


def test_a_strut_on_deep_arms_comes_out_only_once_one_of_its_hubs_is_loosened(frames):
    case, plan = frames[0]
    order = exchange(ExchangeCase(case, case, fitted_after(plan, len(plan.steps))), "S073")
    assert order.safe
    assert order.loosened in ("H23", "H36")
    assert order.between[2].hanging


def test_out_of_reach_the_strike_goes_back_to_the_latest_stage_at_which_it_can_be_done(small_kit):
    plan = way_plans(small_kit, "ring by ring")[0]
    case = case_of(small_kit)
    of = ExchangeCase(case, case, fitted_after(plan, len(plan.steps)))
    assert exchange(of, "H13").hindered == "reach"
    back = way_back(of, plan, "H13").step
    def at(number):
        return exchange(replace(of, fitted=replace(fitted_after(plan, number), last=())), "H13").safe
    assert at(back)
    assert not any(at(number) for number in range(back + 1, len(plan.steps)))


def test_a_crew_that_is_too_small_is_told_so_and_is_given_no_ticks(frames):
    case, plan = frames[0]
    few = case.design.model_copy(update={"crew": case.design.crew.model_copy(update={"people": 4})})
    short = replace(case, kit=replace(case.kit, design=few))
    order = exchange(ExchangeCase(short, short, fitted_after(plan, len(plan.steps))), "H05")
    assert (order.hindered, order.people, order.ticks) == ("people", 5, ())


def test_of_a_carried_piece_those_who_carry_are_counted_and_it_is_as_high_as_it_is_now(small_kit):
    case, plan = case_of(small_kit), way_plans(small_kit, "crown first")[-1]
    lift = [step.number for step in plan.steps if step.lift_mm][-1]
    fitted = replace(fitted_after(plan, lift - 1), last=())
    up = ExchangeCase(case, case, fitted)
    assert exchange(up, "H13").hindered == "reach"        # its crown, up on its place
    low = replace(up, low=fitted.hubs, lowered_mm=float(case.frame.position_mm("H11")[2]))
    order = exchange(low, "H13")
    assert order.hindered != "reach"
    assert order.carried_at == fitted.carried_at != ()
    assert order.people == len(order.holds) + 3 + len(fitted.carried_at)


def test_a_frame_that_the_damage_alone_brings_down_gives_no_exchange_and_no_way_back(frames):
    """All arms of a whole ring gone at once: what stood on it is not to be worked at."""
    case, plan = frames[1]
    ring = {hub.name for hub in case.frame.level(2)}
    arms = {(strut.name, end): 0.0 for strut in case.frame.struts for end in (1, 2) if strut.end(end).hub in ring}
    broken = weaker(case, arms, {})
    of = ExchangeCase(broken, broken, fitted_after(plan, len(plan.steps)))
    assert not exchange(of, "H26").safe
    assert way_back(of, plan, "H12").step is None

