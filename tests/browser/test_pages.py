"""Every page in a real browser: reachable for all, readable when enlarged, up to date, safe to press twice."""

import threading

from playwright.sync_api import expect

from fieldapp.web.common.context import PATIENCE
from fieldapp.web.raising import course

PATHS = ["/", "/find", "/log", "/me", "/ring/1", "/place/H22", "/P/S073.2", "/P/H22", "/damage/H22", "/P/H62", "/P/XX9"]
SMALLEST_TARGET_PX = 47.5
TARGETS = """() => [...document.querySelectorAll("main button, main .press, nav a, main .row, main .now a")]
    .map((e) => [e.textContent.trim(), e.getBoundingClientRect().height]).filter(([, h]) => h > 0)"""


def test_targets_are_high_enough_for_gloves_and_nothing_runs_off_the_side(site, new_phone):
    address, _, _ = site
    phone = new_phone()
    for path in PATHS:
        phone.goto(address + path)
        assert [(path, *target) for target in phone.evaluate(TARGETS) if target[1] < SMALLEST_TARGET_PX] == []
        for size in ("100%", "200%"):
            phone.evaluate("size => { document.documentElement.style.fontSize = size }", size)
            assert phone.evaluate("document.documentElement.scrollWidth") <= 360, (path, size)


def test_a_double_tap_counts_once(site, new_phone):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/place/{book.site.plan.steps[0].hub}")
    phone.get_by_role("button", name="Fitted").dblclick()
    expect(phone.locator("main")).to_contain_text("Written down:")
    assert book.last_number == 1


def test_a_page_that_is_being_computed_shows_the_answer_by_itself(shed, laptop, monkeypatch):
    address, _, app = shed
    go_on = threading.Event()
    monkeypatch.setattr(course, "_judged", lambda _kit: (go_on.wait(60), ())[1])
    app.config[PATIENCE] = 0.0
    laptop.goto(f"{address}/ways")
    expect(laptop.locator("[data-soon]")).to_be_visible()
    go_on.set()
    expect(laptop.locator("[data-soon]")).to_be_hidden(timeout=8000)


def test_another_phone_sees_it_without_reloading(site, new_phone, laptop):
    address, book, _ = site
    laptop.goto(address)
    phone = new_phone()
    phone.goto(f"{address}/place/{book.site.plan.steps[0].hub}")
    phone.get_by_role("button", name="Fitted").click()
    expect(laptop.locator("figcaption").first).to_contain_text("1 of", timeout=8000)
    expect(laptop.locator("h1")).to_contain_text(f"Next: strut {book.site.plan.steps[1].struts[0].strut}")


def test_typed_words_are_not_lost_when_the_page_follows(site, new_phone, laptop):
    address, book, _ = site
    laptop.goto(address)
    laptop.fill("#q", "S07")
    laptop.locator("h1").click()
    phone = new_phone()
    phone.goto(f"{address}/place/{book.site.plan.steps[0].hub}")
    phone.get_by_role("button", name="Fitted").click()
    laptop.wait_for_timeout(5000)
    expect(laptop.locator("#q")).to_have_value("S07")


def test_out_of_reach_is_said_and_taken_back(site, new_phone):
    address, _, _ = site
    phone = new_phone()
    phone.goto(address)
    phone.context.set_offline(True)
    expect(phone.get_by_text("The laptop is out of reach.")).to_be_visible(timeout=15000)
    expect(phone.locator("main.stale")).to_have_count(0)
    phone.evaluate("() => { const now = Date.now; Date.now = () => now() + 31000; }")     # half a minute goes by
    expect(phone.locator("main.stale")).to_be_visible(timeout=10000)
    expect(phone.get_by_text("Half a minute without the laptop")).to_be_visible()
    phone.context.set_offline(False)
    expect(phone.get_by_text("The laptop is out of reach.")).to_be_hidden(timeout=15000)
    expect(phone.locator("main.stale")).to_have_count(0)
    assert "As of entry 0, page of " in phone.locator("main").inner_text()


def test_everything_works_without_scripts(site, new_phone):
    address, book, _ = site
    phone = new_phone(java_script_enabled=False)
    hub = book.site.plan.steps[0].hub
    phone.goto(f"{address}/find")
    phone.fill("#q", hub)
    phone.get_by_role("button", name="Find it").click()
    phone.get_by_role("button", name="Fitted").click()
    assert "Written down:" in phone.inner_text("main")
    assert list(book.state.fitted) == [hub]


def test_the_main_job_by_keyboard_alone(site, laptop):
    address, book, _ = site
    laptop.goto(f"{address}/place/{book.site.plan.steps[0].hub}")
    for _ in range(40):
        laptop.keyboard.press("Tab")
        if laptop.evaluate("document.activeElement.textContent.trim()") == "Fitted":
            break
    laptop.keyboard.press("Enter")
    expect(laptop.locator("main")).to_contain_text("Written down:")
    assert book.last_number == 1
