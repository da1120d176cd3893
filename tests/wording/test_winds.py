"""Wind in two lines: what the log says decides which of them counts; no line where there is nothing to tell."""

import re
from dataclasses import replace
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest

from fieldapp.base.constants import ON_LADDERS_M_S
from fieldapp.base.said import in_words
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.ground import GroundSection
from fieldapp.kit import build_kit
from fieldapp.log.alarm import WindRead
from fieldapp.log.fold import fold
from fieldapp.log.rules import Setting
from fieldapp.plan.pegs import HeldFoot, Pegging
from fieldapp.plan.planner import way_plans
from fieldapp.plan.words import speed
from fieldapp.reports.standing import standing
from fieldapp.reports.standing.alarm import alarm_now
from fieldapp.reports.standing.winds import TwoWinds, finished_winds, two_winds
from fieldapp.statics.governs import PUSH
from fieldapp.web.cards.place_view import limits_told
from fieldapp.wording.site_rules import wind_rule
from fieldapp.wording.standing import limit_words
from fieldapp.wording.winds import GustMoment, finished_wind_lines, gust_line, two_wind_lines

MORNING = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)


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
    some, every = (two_wind_lines(found, working=False) for found in (some, every))
    assert some[-1] == "Not all that is planned at the feet is logged: the line for loose feet counts."
    assert every[-1] == "All that is planned at the feet is logged: the line for held feet counts."
    assert [line.split(";")[0] for line in every[:2]] == [
        "Wind, feet loose: leave the frame at gusts of 4.0 m/s",
        "Wind, feet held as planned: leave the frame at gusts of 9.6 m/s"]


def test_a_place_says_that_its_limits_count_once_the_planned_pegs_are_logged(site):
    feet = site.plan.peggings[0].hubs
    moments = [SimpleNamespace(plan=site.plan, state=after(site, 20, pegged=held), kit=site.kit, setting=site)
               for held in (feet[1:], feet)]
    hub = next(limit.at for limit in standing(site, moments[0].state).limits_of(PUSH)
               if site.plan.step_for(limit.at).number >= 16)
    early, late = (limits_told(at, hub) for at in moments)
    assert early[0] == f"Not yet: these numbers count once what is planned at {feet[0]} is in."
    assert early[1:]
    assert late
    assert "Not yet" not in " ".join(late)


def test_while_anybody_works_no_page_tells_a_gust_above_that_of_people_on_ladders(site):
    feet = site.plan.peggings[0].hubs
    state = after(site, 20, pegged=feet)
    wind = standing(site, state).wind
    assert wind.act_last_m_s > ON_LADDERS_M_S[1]       # the frame bears more
    found = two_winds(site, state)
    stage = standing(site, state)
    said = [gust_line(GustMoment(wind)), gust_line(GustMoment(wind, striking=True)), gust_line(GustMoment(
        replace(wind, value=60.0, act_first_m_s=36.0, act_last_m_s=48.0))), *two_wind_lines(found, working=True),
            *limit_words(stage, "wind"), wind_rule(wind.speed_m_s)]
    gusts = [[float(text) for text in re.findall(r"([0-9.]+) m/s", line)] for line in said]
    assert all(gusts[:3])
    assert max(max(each, default=0.0) for each in gusts) <= ON_LADDERS_M_S[1]
    assert gusts[0] == gusts[1] == gusts[2] == gusts[-1][:2] == list(ON_LADDERS_M_S)
    assert "people on ladders come down first" in " ".join(said)
    assert f"{in_words(speed(wind.act_last_m_s))} m/s everybody out" in gust_line(GustMoment(wind, working=False))


def test_a_gust_that_is_read_is_held_against_the_same_numbers(site):
    feet = site.plan.peggings[0].hubs
    whole = len(site.plan.steps)
    for steps, gust, act in ((20, 5.4, None), (20, 5.5, "wait"), (20, 8.0, "clear"), (whole, 8.0, "wait")):
        state = replace(after(site, steps, pegged=feet), phase="raising",
                        wind_read=WindRead("key", gust, "crew 1", MORNING))
        found = alarm_now(site, state).wind
        assert (found.act if found else None) == act


def told(found):
    """With winds that people meet."""
    return replace(found, loose=replace(found.loose, value=5.0, act_last_m_s=4.0),
                   held=replace(found.held, value=12.0, act_last_m_s=9.6))


def test_a_design_that_brings_nothing_has_no_second_line(site):
    bare = build_kit(orchard_hall().model_copy(update={"ground": GroundSection()}))
    found = finished_winds(bare, site.plan)
    assert found.held is None
    assert len(finished_wind_lines(found)) <= 1
    assert two_wind_lines(TwoWinds(None, None), working=True) == ()
