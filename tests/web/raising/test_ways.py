"""The ways of raising on the chief's page: verdicts, another one taken and taken back, while computed; a lift."""

import threading

import pytest
from flask import Flask
from flask.testing import FlaskClient
from small_frame import small_design

from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.plan.plan import Plan
from fieldapp.reports.raising.pegs import peg_turn
from fieldapp.web.common.context import PATIENCE
from fieldapp.web.raising import course


@pytest.fixture(scope="session")
def kit() -> Kit:
    """In place of the demo's frame."""
    return build_kit(small_design())


@pytest.fixture(scope="session")
def plan(kit: Kit) -> Plan:
    return level_order(kit.frame, kit.design)


def test_the_ways_are_shown_with_their_verdicts_and_one_that_breaks_is_not_taken(chief: FlaskClient,
                                                                               book: SiteBook) -> None:
    page = chief.words("/ways")
    assert "Ring by ring" in page
    assert "Breaks: the arm of" in page
    answer = chief.post("/ways", data={"key": "k" * 20, "way": "crown first"})
    assert answer.status_code == 409
    assert "The way 'crown first' breaks: the arm of" in chief.words(answer)
    assert chief.post("/ways", data={"key": "k" * 21, "way": "by magic"}).status_code == 409
    assert book.last_number == 0


def test_while_ways_are_computed_the_page_says_so_at_once_and_looks_again_by_itself(app: Flask, chief: FlaskClient,
                                                                                    monkeypatch: pytest.MonkeyPatch
                                                                                    ) -> None:
    go_on = threading.Event()
    monkeypatch.setattr(course, "_judged", lambda _kit: (go_on.wait(60), ())[1])
    app.config[PATIENCE] = 0.0
    soon = chief.get("/ways")
    assert "The ways are being computed" in chief.words(soon)
    assert "data-soon" in soon.text
    go_on.set()
    app.config[PATIENCE] = 60.0
    assert "data-soon" not in chief.get("/ways").text


def test_another_way_is_followed_at_once_and_taking_it_back_returns(chief: FlaskClient, book: SiteBook) -> None:
    first = book.site.plan.way
    assert chief.post("/ways", data={"key": "k" * 20, "way": "crown set on last"}).status_code == 303
    assert book.site.plan.way == "crown set on last"
    key = book.state.entries[-1].key
    chief.press(f"/log/{key}/withdraw", f"/log/{key}/withdraw", reason="too few people")
    assert book.site.plan.way == first


def test_a_lift_is_told_with_people_hubs_and_evenness(chief: FlaskClient, book: SiteBook, kit: Kit) -> None:
    chief.post("/ways", data={"key": "k" * 20, "way": "crown set on last"})
    plan = book.site.plan
    lift = next(step for step in plan.steps if step.lift_mm > 0.0)
    entries = [{"key": f"key-of-{place}-fitted", "kind": "fitted", "part": kit.by_place[place].id}
               for step in plan.steps[:lift.number - 1]
               for place in ((step.hub,) if not step.joins else ()) + tuple(item.strut for item in step.struts)]
    for first in range(0, len(entries), 200):
        chief.post("/api/entries", json={"entries": entries[first:first + 200]})
    feet = peg_turn(plan, book.state)
    assert chief.heading("/").startswith("Peg or weigh down H01 to H10")
    page_of_lift = f"/lift/{lift.number}/up"
    assert "Lift now" not in chief.words("/") + chief.words(page_of_lift)
    chief.press("/", "/feet/held", feet=" ".join(feet.hubs))
    page = chief.words("/")
    opening = lift.struts[0].strut
    assert chief.heading("/") == f"Lift now, before {opening} goes in"
    assert "Lift now: " in page
    assert "Lift now: " in chief.words(f"/place/{opening}"), "whoever scans the first part of the step reads it too"
    assert f"one at each of {', '.join(lift.carried_at[:-1])} and {lift.carried_at[-1]}" in page
    assert "mm of each other." in page
    assert "Lift now: " in chief.words(page_of_lift)
    chief.post("/stop", data={"key": "s" * 20, "words": ""})
    assert "Lift now" not in chief.words("/") + chief.words(page_of_lift)
    assert "Not now: building is stopped." in chief.words(page_of_lift)
    chief.press("/board", "/stop/lift")
    for item in lift.struts:
        chief.post("/api/entries", json={"entries": [{"key": f"key-of-{item.strut}-fitted", "kind": "fitted",
                                                      "part": kit.by_place[item.strut].id}]})
    page = chief.words("/")
    assert "Lift now" not in page, "nobody lifts twice"
    assert page.index("nobody lets go.") < page.index(chief.heading("/"))
    chief.post("/raise/strike", data={"key": "d" * 20})
    for item in reversed(lift.struts):
        chief.post("/api/entries", json={"entries": [{"key": f"key-of-{item.strut}-down", "kind": "taken_down",
                                                      "part": kit.by_place[item.strut].id}]})
    assert chief.heading("/").startswith("Lower the piece now")
    chief.post("/stop", data={"key": "r" * 20, "words": ""})
    assert "Lower the piece now" not in chief.words("/"), "nobody lowers while building is stopped"
