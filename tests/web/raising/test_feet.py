"""Pegs on the pages: told before the step that needs them, logged by one press, missed where they are missing."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.pegs import HeldFoot, Pegging
from fieldapp.plan.plan import Plan
from fieldapp.reports.verdict import places_now

Raised = Callable[[int], None]
FEET = (HeldFoot("H01", 60.0, 20.0, 4), HeldFoot("H02", 50.0, 20.0, 5))


@pytest.fixture(scope="session")
def pegged_plan(plan: Plan) -> Plan:
    """Two feet are pegged before step 4."""
    return replace(plan, peggings=(Pegging(4, FEET),))


@pytest.fixture
def book(kit: Kit, pegged_plan: Plan, tmp_path: Path) -> Iterator[SiteBook]:
    with SiteBook.open(kit, pegged_plan, tmp_path / "log.sqlite") as opened:
        yield opened


def test_pegs_come_before_the_step_that_needs_them_and_one_press_logs_them(phone: FlaskClient, raised: Raised,
                                                                           book: SiteBook) -> None:
    raised(2)
    assert "Peg or weigh down" not in phone.heading("/")
    raised(3)
    assert phone.heading("/") == "Peg or weigh down H01 and H02 now"
    page = phone.words("/")
    assert "Each must hold 60 N up and 20 N sideways, or carry at least 22 kg of ballast." in page
    assert "cables, pipes and drains" in page
    assert not places_now(book.site, book.state)
    assert "Peg or weigh down H01 and H02 first" in phone.words("/place/H04")
    assert "Fitted anyway" in phone.words("/place/H04")
    pressed = phone.press("/", "/feet/held", feet="H01 H02", how="ballast")
    assert pressed.status_code == 303
    assert "H01 and 1 more" in phone.words(pressed.location)
    assert "Next: " in phone.heading("/")
    assert "May go in now" in phone.words("/place/H04")
    assert "Pegged or weighed down (10:14, phone " in phone.words("/place/H01")


def test_a_missing_peg_shows_on_every_page_until_it_is_logged(phone: FlaskClient, raised: Raised) -> None:
    raised(5)
    missing = "Not pegged or weighed down yet: H01 and H02. Do that first."
    for page in ("/", "/?done=key-of-H05-fitted"):
        assert missing in phone.words(page)
        assert "Each must hold 60 N up" in phone.words(page)
    assert "Before step 4, peg or weigh down H01: each must hold 60 N up" in phone.words("/place/H01")
    phone.press("/place/H01", "/feet/held", feet="H01", place="H01", how="pegs")
    assert "Not pegged or weighed down yet: H02." in phone.words("/")
    phone.press("/", "/feet/held", feet="H02", how="pegs")
    assert "Not pegged" not in phone.words("/")
    freed = phone.press("/place/H01", "/feet/freed", feet="H01")
    assert "Not pegged or weighed down yet: H01." in phone.words(freed.location)


def test_at_the_strike_a_missing_peg_is_told_and_does_not_come_first(phone: FlaskClient, chief: FlaskClient,
                                                                     raised: Raised) -> None:
    raised(5)
    chief.post("/raise/strike", data={"key": "k" * 20})
    page = phone.words("/")
    assert "Not pegged or weighed down: H01 and H02." in page
    assert "Do that first" not in page


def test_at_the_strike_pegs_stay_until_nothing_needs_them(phone: FlaskClient, chief: FlaskClient, raised: Raised,
                                                         kit: Kit, pegged_plan: Plan) -> None:
    raised(6)
    phone.press("/", "/feet/held", feet="H01 H02", how="pegs")
    chief.post("/raise/strike", data={"key": "k" * 20})
    assert "Leave what holds H01 and H02 in place: H02 until step 5 is out, the others longer." in phone.words("/")
    for number, place in enumerate(place for step in pegged_plan.steps[5:3:-1] for place in reversed(step.places)):
        phone.post("/api/entries", json={"entries": [
            {"key": f"key-out-{number:010d}", "kind": "taken_down", "part": kit.by_place[place].id}]})
    page = phone.words("/")
    assert "Leave what holds H01 in place until step 4 is out. What holds H02 may be taken away now." in page
    assert phone.press("/", "/feet/freed", feet="H02").status_code == 303
    assert "What holds H02" not in phone.words("/")
