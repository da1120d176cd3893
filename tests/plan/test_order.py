"""The order of erection: what a step brings, what it waits for, what stays empty."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import PlanError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, RaisingSection
from fieldapp.plan import level_order
from fieldapp.plan.assemble import plan_of_placements
from fieldapp.plan.doorway import HEAD_HEIGHT_MM, doorway_hub
from fieldapp.plan.ways import from_ground, own_order


def _frame(**raising):
    """26 hubs, 65 struts; the second ring stands at head height."""
    design = Design(frame=FrameSection(frequency=2, cut="1/2", diameter_m=5.2), raising=RaisingSection(**raising))
    return build_frame(design), design


def _fills_every_place_once(plan, frame):
    hubs = [step.hub for step in plan.steps if not step.joins]
    struts = [insertion.strut for step in plan.steps for insertion in step.struts]
    assert sorted([*hubs, *struts, *plan.left_out]) == sorted([*frame.hub_index, *frame.strut_index])


def _waits_only_for_what_stands(plan):
    standing = set()
    for step in plan.steps:
        assert set(step.waits_for) <= standing
        standing.add(step.hub)


def test_ring_order_goes_up_ring_by_ring_clockwise_from_the_front_mark():
    frame, design = _frame()
    plan = level_order(frame, design)
    assert [step.hub for step in plan.steps] == [hub.name for hub in frame.hubs]
    _fills_every_place_once(plan, frame)
    _waits_only_for_what_stands(plan)


def test_each_strut_goes_onto_the_standing_hub_first_at_its_own_end_and_arm():
    frame, design = _frame()
    for step in level_order(frame, design).steps:
        for insertion in step.struts:
            end = frame.strut(insertion.strut).end(insertion.end)
            assert (end.hub, end.arm) == (insertion.hub, insertion.arm)
            assert insertion.hub in step.waits_for


def test_the_strut_that_closes_the_ring_comes_last_and_is_marked():
    frame, design = _frame()
    steps = level_order(frame, design).steps
    last_on_ground = steps[9]
    assert [insertion.closes for insertion in last_on_ground.struts] == [False, True]
    assert last_on_ground.struts[1].hub == "H01"


def test_doorway_opens_from_the_ground_to_head_height():
    frame, _ = _frame()
    hub = doorway_hub(frame)
    around = [frame.hub(name) for name in level_order(frame, Design()).step_for(hub.name).waits_for]
    assert any(neighbour.on_ground for neighbour in around)
    tops = [frame.position_mm(other)[2] for arm in hub.arms
            for other in (frame.strut(arm.strut).end_1.hub, frame.strut(arm.strut).end_2.hub)]
    assert max(tops) >= HEAD_HEIGHT_MM


def test_a_hub_left_out_takes_its_struts_with_it():
    frame, design = _frame(leave_out=("H26",))
    plan = level_order(frame, design)
    assert plan.left_out == ("H26", *(s.name for s in frame.struts if "H26" in (s.end_1.hub, s.end_2.hub)))
    with pytest.raises(PlanError, match="place H26 is in no step of the way 'ring by ring'"):
        plan.step_for("H26")


def test_leaving_out_an_unknown_place_names_it_and_what_there_is():
    frame, design = _frame(leave_out=("H99",))
    with pytest.raises(PlanError, match=r"raising\.leave_out names H99, which is no place of this frame; hubs run from "
                                        r"H01 to H26, struts from S001 to S065"):
        level_order(frame, design)


@pytest.mark.parametrize(("order", "message"), [
    ((), "raising.own_order is empty; list every hub place once"),
    (("H01", "H02", "H01"), r"raising.own_order repeats hub H01 \(entry 3\)"),
    (("H01", "H02"), "raising.own_order forgets H03, H04, H05, H06, H07, H08 and 18 more"),
    (("H01", "H77"), "there is no hub place H77"),
])
def test_own_order_is_refused_with_the_reason(order, message):
    frame, _ = _frame()
    with pytest.raises(PlanError if "H77" not in order else Exception, match=message):
        list(own_order(frame, (), order))


def test_a_hub_in_the_air_is_refused():
    frame, _ = _frame()
    order = ["H26", *(hub.name for hub in frame.hubs if hub.name != "H26")]
    with pytest.raises(PlanError, match="hub H26 would hang in the air in step 1: no strut ties it to a hub that "
                                        "stands; put one of its neighbours"):
        plan_of_placements(frame, "own order", own_order(frame, (), order))


@settings(max_examples=25, deadline=None)
@given(st.randoms(use_true_random=False))
def test_any_order_that_builds_on_what_stands_fills_every_place_once(random):
    frame, _ = _frame()
    placed, waiting = [], [hub.name for hub in frame.hubs]
    near = {hub.name: {n for arm in hub.arms for n in (frame.strut(arm.strut).end_1.hub,
                                                       frame.strut(arm.strut).end_2.hub)} for hub in frame.hubs}
    while waiting:
        ready = [name for name in waiting if frame.hub(name).on_ground or near[name] & set(placed)]
        placed.append(random.choice(ready))
        waiting.remove(placed[-1])
    plan = plan_of_placements(frame, "own order", from_ground(frame, placed))
    _fills_every_place_once(plan, frame)
    _waits_only_for_what_stands(plan)
