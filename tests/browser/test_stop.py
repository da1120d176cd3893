"""Building is stopped on one phone: others show it within seconds, whatever page is open, half-typed words kept."""

import time

from playwright.sync_api import expect

WITHIN_S = 5.0


def test_open_phones_show_it_within_five_seconds_and_say_that_they_know(site, new_phone, laptop):
    address, book, _ = site
    first = new_phone()
    first.goto(f"{address}/place/{book.site.plan.steps[0].hub}")
    first.get_by_role("button", name="Fitted").first.click()
    expect(first.locator("main")).to_contain_text("Written down:")
    second = new_phone()
    second.goto(f"{address}/find")
    second.fill("#q", "S07")
    laptop.goto(f"{address}/board")
    first.goto(f"{address}/stop")
    first.get_by_role("button", name="Stop building").click()
    expect(first.locator(".alarm")).to_contain_text("Building is stopped")
    begin = time.monotonic()
    for page in (second, laptop):
        expect(page.locator(".alarm.loud")).to_contain_text("Shout or whistle too", timeout=1000 * WITHIN_S)
    assert time.monotonic() - begin < 2 * WITHIN_S      # asked one after the other
    expect(second.locator("#q")).to_have_value("S07")
    second.get_by_role("button", name="I have seen it").click()
    expect(second.locator(".alarm.loud")).to_have_count(0)
    assert len(book.state.stop.seen) == 1
    laptop.get_by_role("button", name="Building may go on").click()
    expect(first.locator(".alarm")).to_be_hidden(timeout=1000 * WITHIN_S)
