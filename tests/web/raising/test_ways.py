"""The ways of raising on the chief's page: verdicts, another one taken and taken back, while computed."""

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
