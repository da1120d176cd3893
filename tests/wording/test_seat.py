"""A hub at a place that it was not made for: which way up, checked against the frame's own directions."""

import html
import re
from dataclasses import replace

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.log.fold import fold
from fieldapp.plan import level_order
from fieldapp.prints.pocket import pocket_page
from fieldapp.web.cards.part_view import where_choices
from fieldapp.wording.seat import seat_lines


@pytest.fixture(scope="module")
def hall():
    return build_kit(orchard_hall())


def meant(hall, part, place):
    state = fold(hall, ())
    return replace(state, allocation={**{at: held for at, held in state.allocation.items() if held != part.id},
                                      place: part.id})


@pytest.mark.parametrize(("home", "place"), [("H17", "H26"), ("H35", "H56"), ("H45", "H33"), ("H19", "H25"),
                                             ("H31", "H61"), ("H04", "H13")])
def test_every_arm_points_along_the_strut_that_it_is_said_to_take_and_the_arrow_where_it_is_said(hall, home, place):
    part, hub = hall.by_place[home], hall.frame.hub(place)
    first, second = seat_lines(hall, part, place)
    said = {int(arm): strut for arm, strut in re.findall(r"arm (\d) to (S\d+)", second)}
    at = {arm.strut: arm.azimuth_deg for arm in hub.arms}
    turned = [(at[said[arm.number]] - arm.azimuth_deg) % 360.0 for arm in hall.frame.hub(home).arms]
    clock = int(re.search(r"(\d+) o'clock", first)[1])
    assert sorted(said.values()) == sorted(at)
    assert all(abs((one - turned[0] + 180.0) % 360.0 - 180.0) < 0.1 for one in turned)
    assert abs((clock * 30.0 - turned[0] + 180.0) % 360.0 - 180.0) <= 15.1
    own = re.search(r"its arm (\d) belongs to (S\d+)", first)
    assert said[int(own[1])] == own[2] == hub.arms[0].strut
    choices = where_choices(hall.frame, meant(hall, part, place), part)
    assert [words for _, words in choices] == [f"the arm for {said[arm]} (first marked {arm})" for arm, _ in choices]


def test_at_home_nothing_is_said_and_a_spare_goes_by_what_of_its_arms_stands_out(hall):
    assert seat_lines(hall, hall.by_place["H17"], "H17") == ()
    spare = next(part for part in hall.parts if part.is_spare and part.part_class == "6")
    _, narrow = seat_lines(hall, spare, "H35")
    at = {arm.strut: arm.azimuth_deg for arm in hall.frame.hub("H35").arms}
    one = at[re.search(r"takes (S\d+)", narrow)[1]]
    beside = sorted(min((angle - one) % 360.0, (one - angle) % 360.0) for angle in at.values())
    assert beside[1:3] == pytest.approx([55.7, 55.7], abs=0.3)
    even = next(part for part in hall.parts if part.is_spare and part.part_class == "4")
    assert len(seat_lines(hall, even, "H17")) == 1


def test_the_pocket_copy_says_it_too(hall):
    plan = level_order(hall.frame, hall.design)
    part = hall.by_place["H35"]
    given_out = {place: own.id for place, own in hall.by_place.items()} | {"H56": part.id}
    page = html.unescape(pocket_page(hall, plan, given_out))
    assert f"{part.id} was made for H35. Here its arm" in page
    assert "was made for" not in html.unescape(pocket_page(hall, plan, given_out | {"H56": hall.by_place["H56"].id}))
