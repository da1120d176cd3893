"""A raise from start to strike on the start page: what next, what to hold, which wind, how far."""

import math
import re
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan
from fieldapp.reports.standing import standing

Raised = Callable[[int], None]


def test_before_the_raise_the_chief_is_led_to_start_it(phone: FlaskClient, chief: FlaskClient, book: SiteBook) -> None:
    assert "The raise has not been started yet." in phone.words("/")
    assert 'href="/raise"' not in phone.get("/").text
    assert 'href="/raise"' in chief.get("/").text
    assert chief.press("/raise", "/raise/start", name="Harvest week").status_code == 303
    assert [one.name for one in book.state.raises] == ["Harvest week"]
    assert phone.heading("/raise") == "The raise “Harvest week” is running"


def test_what_to_hold_is_said_first_and_is_what_really_stands(phone: FlaskClient, raised: Raised,
                                                              book: SiteBook) -> None:
    raised(17)
    held = standing(book.site, book.state).held_hubs
    assert held
    page = phone.get("/").text
    assert f"Hold {held[0]} now." in page
    assert page.index(f"Hold {held[0]} now.") < page.index("<h1>")


def test_wind_is_said_with_its_two_action_points_and_one_caution(phone: FlaskClient, raised: Raised,
                                                                 book: SiteBook) -> None:
    raised(60)
    wind = standing(book.site, book.state).wind
    assert wind is not None
    assert wind.act_first_m_s == pytest.approx(0.6 * wind.speed_m_s)  # 60 and 80 %: common practice of event guides
    page = phone.words("/")
    assert f"stop adding from gusts of {math.floor(10 * wind.act_first_m_s) / 10:.1f} m/s" in page
    assert f"clear it from {math.floor(10 * wind.act_last_m_s) / 10:.1f} m/s" in page
    assert page.count("They do not replace a competent person") == 1


def test_a_team_is_sent_to_its_own_place(phone: FlaskClient, other_phone: FlaskClient, raised: Raised) -> None:
    raised(5)         # the ground ring grows at both ends
    phone.post("/me", data={"who": "crew 1", "team": "2", "theme": "auto"})
    other_phone.post("/me", data={"who": "crew 2", "team": "7", "theme": "auto"})       # there are three
    assert phone.heading("/").startswith("Team 2 · Next: strut ")
    assert other_phone.heading("/").startswith("Next: strut ")
    mine = phone.heading("/").removeprefix("Team 2 · Next: strut ")
    assert f"May go in now: team 2 · yours {mine}" in phone.words("/")
    assert mine != other_phone.heading("/").removeprefix("Next: strut ")


def test_a_strut_that_one_arm_holds_alone_is_named_above_all_else(phone: FlaskClient, raised: Raised, kit: Kit,
                                                                  plan: Plan) -> None:
    raised(15)
    strut = plan.steps[15].struts[0].strut
    page = phone.words(f"/place/{strut}")
    assert f"{strut} then hangs on" in page
    assert "Nothing more needs to be held" not in page
    phone.press(f"/P/{kit.by_place[strut].id}", f"/P/{kit.by_place[strut].id}/fitted", place=strut)
    page = phone.words("/")
    above = page[:page.index(phone.heading("/"))]
    assert re.search(r"Hold the free end of [SH][0-9]+: no push above [0-9.]+ N", above)
    told = re.search(r"([SH][0-9]+) hangs on one arm alone: hold its free end; no push above ([0-9.]+ N)", page)
    assert told, page
    here = phone.words(f"/place/{told[1]}")
    assert f"push that end with at most {told[2]}" in here


def test_the_strike_is_the_plan_backwards(phone: FlaskClient, chief: FlaskClient, raised: Raised, plan: Plan) -> None:
    chief.press("/raise", "/raise/start", name="Harvest week")
    raised(60)
    last = plan.steps[59]
    chief.press("/raise/strike", "/raise/strike")
    assert phone.heading("/") == f"Take out next: {last.hub} with its struts"
    page = phone.words("/")
    assert f"Keep {last.hub} in hand while its struts come off." in page
    assert f"Take out, in this order: {', '.join(reversed(last.sequence))}." in page


def test_a_part_at_the_strike_says_what_comes_out_before_it(phone: FlaskClient, chief: FlaskClient, raised: Raised,
                                                           plan: Plan, book: SiteBook) -> None:
    raised(30)
    chief.press("/raise", "/raise/start", name="Harvest week")
    chief.press("/raise/strike", "/raise/strike")
    assert "Not yet. First take out " in phone.words("/place/H01")
    assert 'class="press go">Taken down' not in phone.get("/place/H01").text
    closing = plan.steps[29].sequence[-1]
    page = phone.words(f"/P/{book.state.fitted[closing]}")
    assert "May come out now" in page
    assert 'class="press go">Taken down' in phone.get(f"/place/{closing}").text
    assert f"Keep {plan.steps[29].hub} in hand" in page
