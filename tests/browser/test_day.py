"""The pages of the day on site in a real browser: reachable for all, and the main paths with the thumb."""

from datetime import UTC, datetime

import pytest
from checker import faults
from playwright.sync_api import expect

from fieldapp.log.entry import Request
from fieldapp.reports.raising import places_of
from fieldapp.reports.standing import standing

PATHS = ["/", "/place/H20", "/P/H20", "/damage/S073", "/more/H20", "/other/H20", "/repair/H20", "/release/H20",
         "/scrap/S073", "/missing/S073", "/label/S073", "/make", "/store/S073", "/bundles", "/bundle?name=A1",
         "/watched", "/history/H20", "/chief", "/raise", "/ways"]
WARNS = ["/", "/place/H20", "/P/H20"]
"""Pages with the colours of what is broken, for the dark look; all others: `test_every_page.py`."""
SMALLEST_TARGET_PX = 47.5
TARGETS = """() => [...document.querySelectorAll("main button, main .press, main .row, main .now a, .choices label")]
    .map((e) => [e.textContent.trim(), e.getBoundingClientRect().height]).filter(([, h]) => h > 0)"""


def _tell(book, now, kind, part, **data):
    return book.submit(Request(key=f"{kind}-{part}-{book.last_number}", kind=kind, part=part, data=data), now)


@pytest.fixture
def raising(site):
    """The demo kit with its ground ring and part of the second up, and one arm of H20 broken; gives (address, book)."""
    address, book, _ = site
    now = datetime.now(UTC)
    pegs = {pegging.before: list(pegging.hubs) for pegging in book.site.plan.peggings}
    for step in book.site.plan.steps[:24]:
        if step.number in pegs:
            _tell(book, now, "feet_held", None, feet=pegs[step.number])
        for place in places_of(step):
            _tell(book, now, "fitted", book.state.allocation[place])
    _tell(book, now, "damaged", book.state.fitted["H20"], what="arm_snapped", arm=2, severity="bad")
    return address, book


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_of_the_day_shuts_anybody_out(raising, new_phone, scheme):
    address, book = raising
    phone = new_phone(bypass_csp=True, color_scheme=scheme)     # the checker has to be put into the page
    for path in (*(PATHS if scheme == "light" else WARNS), f"/answer/{book.state.entries[-1].key}"):
        phone.goto(address + path)
        assert faults(phone, scheme) == []


def test_targets_are_high_enough_and_nothing_runs_off_the_side(raising, new_phone):
    address, book = raising
    phone = new_phone()
    for path in (*PATHS, f"/answer/{book.state.entries[-1].key}"):
        phone.goto(address + path)
        assert [(path, *target) for target in phone.evaluate(TARGETS) if target[1] < SMALLEST_TARGET_PX] == []
        for size in ("100%", "200%"):
            phone.evaluate("size => { document.documentElement.style.fontSize = size }", size)
            assert phone.evaluate("document.documentElement.scrollWidth") <= 360, (path, size)


def test_a_break_is_answered_and_another_part_taken_without_scripts(raising, new_phone):
    address, book = raising
    phone = new_phone(java_script_enabled=False)
    hub = book.state.fitted["H19"]
    phone.goto(f"{address}/P/{hub}")
    phone.get_by_role("link", name="Damaged").click()
    phone.get_by_label("arm snapped").check()
    phone.locator("input[name=where][value='2']").check()
    phone.get_by_label("bad: it must not carry anything").check()
    phone.get_by_role("button", name="Write it down").click()
    expect(phone.locator(".verdict h1")).to_contain_text("H19")
    phone.locator("main .list button").first.click()
    expect(phone.locator("main")).to_contain_text("is meant for H19 from now on")
    assert book.state.allocation["H19"] != hub


def test_two_phones_two_scans_and_the_hold_seen_by_both(raising, new_phone):
    address, book = raising
    one, other = new_phone(), new_phone()
    other.goto(address)
    strut = book.site.kit.frame.strut(book.site.plan.steps[25].struts[0].strut)
    one.goto(f"{address}/P/{book.state.allocation[strut.end_1.hub]}")
    one.goto(f"{address}/P/{book.state.allocation[strut.name]}")
    expect(one.locator("main")).to_contain_text("Right pair, but not yet.")    # an arm below is broken
    before = other.locator("figcaption").first.inner_text()
    one.get_by_text("Something else happened", exact=True).click()
    one.get_by_role("button", name="Fitted anyway").click()
    expect(one.locator("main")).to_contain_text("Written down:")
    expect(other.locator("figcaption").first).not_to_have_text(before, timeout=8000)
    held = standing(book.site, book.state).held_hubs
    assert held
    for phone in (one, other):
        expect(phone.locator(".hold", has_text=held[0]).first).to_be_visible()
