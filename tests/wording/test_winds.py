"""Wind in two lines: what the log says decides which of them counts; no line where there is nothing to tell."""

from dataclasses import replace

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.ground import GroundSection
from fieldapp.kit import build_kit
from fieldapp.log.fold import fold
from fieldapp.log.rules import Setting
from fieldapp.plan.pegs import HeldFoot, Pegging
from fieldapp.plan.planner import way_plans
from fieldapp.reports.standing.winds import TwoWinds, finished_winds, two_winds
from fieldapp.wording.winds import finished_wind_lines, two_wind_lines


@pytest.fixture(scope="module")
def site():
    """The demo, its feet pegged before step 16."""
    kit = build_kit(orchard_hall())
    plan = way_plans(kit, "ring by ring")[0]
    feet = tuple(HeldFoot(hub.name, 130.0, 70.0, 16) for hub in kit.frame.hubs if hub.on_ground)
    return Setting(kit, replace(plan, peggings=(Pegging(16, feet),)))


def after(site, steps, *, pegged):
    state = fold(site.kit, ())
    for place in (place for step in site.plan.steps[:steps] for place in step.places):
        state = state.if_filled(place)
    return replace(state, held_feet=dict.fromkeys(pegged, "key"))


def test_the_line_that_counts_is_the_one_that_is_logged(site):
    feet = site.plan.peggings[0].hubs
    some, every = (two_winds(site, after(site, 20, pegged=held)) for held in (feet[1:], feet))
    assert (some.is_held, every.is_held) == (False, True)
    assert every.loose.value <= every.held.value
    some, every = told(some), told(every)
    assert two_wind_lines(some)[-1] == "Not all that is planned at the feet is logged: the line for loose feet counts."
    assert two_wind_lines(every)[-1] == "All that is planned at the feet is logged: the line for held feet counts."
    assert [line.split(";")[0] for line in two_wind_lines(every)[:2]] == [
        "Wind, feet loose: leave the frame at gusts of 4.0 m/s",
        "Wind, feet held as planned: leave the frame at gusts of 9.6 m/s"]


def told(found):
    """With winds that people meet."""
    return replace(found, loose=replace(found.loose, value=5.0, act_last_m_s=4.0),
                   held=replace(found.held, value=12.0, act_last_m_s=9.6))


def test_a_design_that_brings_nothing_has_no_second_line(site):
    bare = build_kit(orchard_hall().model_copy(update={"ground": GroundSection()}))
    found = finished_winds(bare, site.plan)
    assert found.held is None
    assert len(finished_wind_lines(found)) <= 1
    assert two_wind_lines(TwoWinds(None, None)) == ()
