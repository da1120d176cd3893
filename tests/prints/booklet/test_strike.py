"""The booklet's strike against the pages': order, holds, what is kept in hand, step by step down."""

from dataclasses import replace

import pytest
from small_frame import small_design, tiny_design

from fieldapp.kit import build_kit
from fieldapp.log.rules import Setting
from fieldapp.plan.case import case_of
from fieldapp.plan.judge import judge
from fieldapp.plan.planner import way_plans
from fieldapp.prints.booklet.strike import strike_pages
from fieldapp.reports.verdict import planned, planned_strike, verdict_of
from fieldapp.reports.verdict import step as steps
from fieldapp.reports.verdict.planned import all_in
from fieldapp.wording.strike import strike_lines, strike_order, strike_stop


@pytest.fixture(scope="module")
def kit():
    return build_kit(small_design())


def judged(kit, way):
    return judge(case_of(kit), way_plans(kit, way)[0]).plan


@pytest.mark.parametrize(("design", "way", "every"), [
    (tiny_design, "ring by ring", 4), (tiny_design, "crown set on last", 4),
    *(pytest.param(small_design, way, 1, marks=pytest.mark.bench)
      for way in ("ring by ring", "crown set on last", "crown first"))])
def test_the_booklet_tells_the_strike_as_its_pages_do(design, way, every):
    kit = build_kit(design())
    plan = judged(kit, way)
    site = Setting(kit, plan)
    state = all_in(site)
    for block in (block for page in strike_pages(kit, plan) for block in page if not block.run):
        if block.step.number % every == 0 or block.step.lift_mm:
            as_the_pages(kit, plan, block, verdict_of(site, state, block.step.number))
        state = state.if_empty(block.step.places)
    assert not state.fitted


def as_the_pages(kit, plan, block, told):
    """The record, and its words."""
    step, found = block.step, block.found
    assert (found.places, found.first, found.hands, found.sign) == (told.places, told.first, told.hands, told.sign)
    assert strike_order(step, found) == told.places
    assert bool(strike_stop(kit, found)) == (not told.may)
    if not told.may:
        return
    words = strike_lines(kit, plan, step, found)
    assert words == strike_lines(kit, plan, step, told)       # what card and start page say
    said = {head: " ".join(line for line in words if head in line) for head in (
        "hold", "may be let go", "First carry", "free ends", "Keep", "Then lower", "Then carry")}
    assert all(one.hub in said["hold"] for one in told.hands.before)
    assert all(hub in said["may be let go"] for hub in told.hands.let_go if hub not in told.places)
    assert bool(said["First carry"]) == bool(told.hands.carry)
    assert all(hub in said["First carry"] for hub in told.hands.carry)
    hanging = told.places[told.places.index(step.hub) + 1:] if step.hub in told.places else ()
    assert all(strut in said["free ends"] for strut in hanging)
    assert bool(said["Keep"]) == (step.hub in told.hands.in_hand)
    assert bool(said["Then lower"]) == bool(step.lift_mm)
    new = set(told.after.carried_at) - set(told.now.carried_at) if step.lift_mm else ()
    assert all(hub in said["Then carry"] for hub in new)


def test_what_would_break_must_not_come_out(kit):
    plan = judged(kit, "crown first")       # breaks one of its arms
    stopped = [block for page in strike_pages(kit, plan) for block in page if not block.run and block.found.first]
    assert stopped
    assert {strike_stop(kit, block.found) for block in stopped} == {"Do not take it out: what is left would not stand."}


def test_struts_come_before_their_hub_where_hanging_they_would_be_too_much(kit, monkeypatch):
    plan = judged(kit, "ring by ring")
    last = plan.steps[-1]
    clears = steps.clears
    monkeypatch.setattr(steps, "clears", lambda site, state: clears(site, state) or (
        last.hub not in state.fitted and bool(set(last.places) & set(state.fitted))))
    places = planned_strike(kit, plan)[last.number].places
    assert places[-1] == last.hub
    assert sorted(places) == sorted(last.places)


def test_what_nobody_worked_out_is_the_raise_backwards_and_paper_says_so(kit, monkeypatch):
    plan = judged(kit, "ring by ring")
    monkeypatch.setattr(planned, "MOST_PLACES", 20)
    assert planned_strike(kit, replace(plan)) == {}
    outline = way_plans(kit, "ring by ring")[0]
    assert planned_strike(kit, outline) == {}
    for page in strike_pages(kit, outline):
        steps = [block for block in page if not block.run]
        assert all(strike_order(block.step, block.found) == block.step.sequence[::-1] for block in steps)
