"""Joining, waiting entries, live scanning and the pocket copy shut nobody out: checker, keyboard, landmarks."""

import pytest
from checker import faults
from playwright.sync_api import expect

PATHS = ["/join", "/joined", "/live", "/me", "/pocket#S073"]
SMALLEST_TARGET_PX = 47.5
TARGETS = """() => [...document.querySelectorAll("button, .press, summary, input[type=text], .names a")]
    .map((e) => [e.textContent.trim(), e.getBoundingClientRect().height]).filter(([, h]) => h > 0)"""
UNHIDE = """document.querySelectorAll('[data-out-of-reach], [data-waiting], [data-refused]').forEach((e) => {
    e.hidden = false;
    const count = e.querySelector('[data-count]');
    if (count) { count.textContent = e.dataset.many; }
})"""


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.bench)])
def test_the_checker_finds_nothing_and_targets_are_high_enough(site, new_phone, scheme):
    address, _, _ = site
    phone = new_phone(bypass_csp=True, color_scheme=scheme)      # the checker has to be put into the page
    for path in PATHS:
        phone.goto(address + path)
        assert faults(phone, scheme) == []
        assert [(path, *target) for target in phone.evaluate(TARGETS) if target[1] < SMALLEST_TARGET_PX] == []
    phone.goto(f"{address}/find")
    phone.evaluate(UNHIDE)
    assert faults(phone, scheme) == []
    assert [target for target in phone.evaluate(TARGETS) if target[1] < SMALLEST_TARGET_PX] == []


def test_a_reader_hears_what_changes_and_finds_the_way_by_landmarks(site, new_phone):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/place/{book.site.plan.steps[0].hub}")
    assert phone.get_by_role("navigation").count() == 1
    assert phone.get_by_role("main").count() == 1
    assert phone.locator("h1").count() == 1
    phone.context.set_offline(True)
    phone.evaluate("dispatchEvent(new Event('focus'))")
    expect(phone.get_by_role("region", name="Out of reach").get_by_role("status")).to_contain_text(
        "The laptop is out of reach.", timeout=15_000)
    phone.locator("#quick-id").focus()
    phone.keyboard.type(book.site.plan.steps[1].hub)
    phone.keyboard.press("Enter")
    region = phone.get_by_role("region", name="Waiting in this phone")
    expect(region.get_by_role("status")).to_have_text("1 entry waits in this phone")
    assert phone.evaluate("document.activeElement.id") == "quick-id"
