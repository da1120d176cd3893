"""A laptop in reach that cannot write: what phones show, and that whatever waits in them is written down in the end."""

import pytest
from playwright.sync_api import expect

from fieldapp.base.errors import StoreError

WAITS = "[data-waiting] [data-count]"
TROUBLE = "[data-laptop-trouble]"


def _look_at(phone):
    phone.evaluate("dispatchEvent(new Event('focus'))")      # as when the phone is taken in the hand


@pytest.fixture
def hubs(site):
    return [step.hub for step in site[1].site.plan.steps[:2]]


@pytest.fixture
def full_disk(site, monkeypatch):
    """Call it for a full disk; what it gives makes room again."""
    store = site[1]._store

    def fill():
        def refuse(entry):
            raise StoreError(f"the disk with the log {store.path} is full", "full")

        monkeypatch.setattr(store, "append", refuse)
        return lambda: monkeypatch.undo()

    return fill


def test_a_full_disk_is_told_on_both_phones_and_the_press_arrives_when_there_is_room(site, new_phone, hubs, full_disk):
    address, book, _ = site
    phone, other = new_phone(locale="de-DE"), new_phone()
    phone.goto(f"{address}/place/{hubs[0]}")
    other.goto(address)
    make_room = full_disk()
    phone.locator("main form button").first.click()
    expect(phone.locator("main h1")).to_have_text("Das Logbuch kann nicht geschrieben werden")
    expect(phone.locator("main [role=alert]")).to_contain_text("Die Festplatte des Laptops ist voll.")
    expect(phone.locator("main [role=alert]")).to_contain_text("Dein Handy hebt es auf")
    expect(phone.locator(WAITS)).to_have_text("1 Eintrag wartet in diesem Handy")
    _look_at(other)
    expect(other.locator(TROUBLE)).to_contain_text("Nothing can be written down just now: The laptop's disk is full.")
    assert book.last_number == 0
    make_room()
    _look_at(phone)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    assert [entry.place for entry in book.entries()] == hubs[:1]
    _look_at(other)
    expect(other.locator(TROUBLE)).to_be_empty()
    assert other.evaluate("document.documentElement.scrollWidth") <= 360


def test_an_entry_at_which_the_laptop_trips_is_kept_and_holds_up_no_other(site, new_phone, hubs):
    address, book, _ = site
    phone, trips = new_phone(), f"**/{book.site.kit.by_place[hubs[0]].id}/fitted"
    phone.goto(f"{address}/place/{hubs[0]}")
    phone.route(trips, lambda route: route.fulfill(
        status=500, headers={"Server": "raisebook"}, body="<main><h1>The laptop has tripped</h1></main>"))
    phone.get_by_role("button", name="Fitted").click()
    expect(phone.locator(WAITS)).to_have_text("1 entry waits in this phone")
    phone.goto(f"{address}/place/{hubs[1]}")
    phone.get_by_text("Something else happened", exact=True).click()
    phone.get_by_role("button", name="Fitted anyway").click()
    for _ in range(20):
        _look_at(phone)
        phone.wait_for_timeout(200)
        if book.last_number:
            break
    assert [entry.place for entry in book.entries()] == hubs[1:]
    expect(phone.locator(WAITS)).to_have_text("1 entry waits in this phone")
    phone.unroute(trips)
    phone.evaluate("const now = Date.now(); Date.now = () => now + 120000")
    _look_at(phone)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    assert [entry.place for entry in book.entries()] == hubs[::-1]


@pytest.mark.parametrize("status", [200, 404])
def test_what_another_network_answers_counts_for_nothing(site, new_phone, hubs, status):
    """At home the laptop's address may be the router's, which answers everything."""
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/place/{hubs[0]}")
    phone.route("**/fitted", lambda route: route.fulfill(status=status, body="<main><h1>My router</h1></main>"))
    phone.get_by_role("button", name="Fitted").click()
    expect(phone.locator(WAITS)).to_have_text("1 entry waits in this phone")
    phone.unroute("**/fitted")
    _look_at(phone)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    assert [entry.place for entry in book.entries()] == hubs[:1]
