"""One part after the other in the inspector's hand: typed, failing, out of reach, without scripts; pages for everybody.

The whole kit by three phones is in `test_whole_kit_inspected.py`.
"""

import pytest
from checker import faults
from playwright.sync_api import expect

SMALLEST_TARGET_PX = 47.5
TARGETS = """() => [...document.querySelectorAll("main button, main .press, summary, .choices label, main .row")]
    .map((e) => [e.textContent.trim(), e.getBoundingClientRect().height]).filter(([, h]) => h > 0)"""
UNSTUCK = ".acts { position: static !important }"
"""What lies under the bar of buttons can be scrolled out from there; which line depends on the system's fonts."""


def _unseen(book):
    state = book.state
    return [part.id for part in state.all_parts() if state.parts[part.id].round != state.open_round.key
            and not state.parts[part.id].missing and state.parts[part.id].condition != "scrapped"]


def _listed(book, part, seen="scanned"):
    """Path of a part's list, as a scan in the open round leads to it."""
    return f"/inspect/P/{part}?seen={seen}&round={book.state.open_round.key[-8:]}"


def test_typed_one_after_the_other_with_the_keyboard_open(shed, new_phone):
    address, book, _ = shed
    phone = new_phone()
    phone.goto(f"{address}/inspect")
    for part in _unseen(book)[:3]:
        phone.locator("#q").fill(part.split("-")[1])
        phone.keyboard.press("Enter")
        phone.get_by_role("button", name="All sound").click()
        expect(phone.locator(".outcome")).to_contain_text(part.split("-")[1])
        expect(phone.locator("#q")).to_be_focused()


def test_a_cracked_arm_is_kept_out_at_once_and_all_phones_see_it(shed, new_phone, laptop):
    address, book, _ = shed
    part = next(part for part in _unseen(book) if "-H" in part)
    laptop.goto(f"{address}/inspect")
    phone = new_phone()
    phone.goto(address + _listed(book, part))
    expect(phone.get_by_role("button", name="Write down what fails")).to_be_hidden()
    phone.get_by_label("fails").first.check()
    expect(phone.get_by_role("button", name="All sound")).to_be_hidden()
    phone.get_by_label("arm 2").first.check()
    phone.get_by_role("button", name="Write down what fails").click()
    expect(phone.get_by_role("alert").first).to_contain_text("do not use it")
    expect(laptop.locator("main")).to_contain_text("failed: cracks across the grain, arm 2", timeout=8000)
    assert book.state.parts[part].condition == "quarantined"


def test_out_of_reach_checks_wait_and_arrive_once(shed, new_phone):
    address, book, _ = shed
    first, second = _unseen(book)[:2]
    phone = new_phone()
    phone.goto(address + _listed(book, first))
    phone.context.set_offline(True)
    phone.evaluate("dispatchEvent(new Event('focus'))")
    expect(phone.locator("[data-out-of-reach]")).to_be_visible(timeout=15_000)
    phone.get_by_role("button", name="All sound", exact=True).click()
    phone.fill("#quick-id", second)
    phone.get_by_role("button", name="Inspected: all sound").click()
    expect(phone.locator("[data-waiting] [data-count]")).to_have_text("2 entries wait in this phone")
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('focus'))")
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    seen = [(entry.part, entry.data["seen"]) for entry in book.entries()[-2:]]
    assert seen == [(first, "scanned"), (second, "typed")]


def test_it_works_without_scripts(shed, new_phone):
    address, book, _ = shed
    part = _unseen(book)[0]
    phone = new_phone(java_script_enabled=False)
    phone.goto(f"{address}/inspect")
    phone.fill("#q", part)
    phone.get_by_role("button", name="Inspect it").click()
    phone.get_by_role("button", name="All sound").click()
    assert "is sound: back into its box." in phone.inner_text("main")


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.bench)])
def test_pages_shut_nobody_out_and_fit_small_screens(shed, new_phone, scheme):
    address, book, _ = shed
    phone = new_phone(bypass_csp=True, color_scheme=scheme)
    hub, strut = (next(part for part in _unseen(book) if kind in part) for kind in ("-H", "-S"))
    for path in ("/inspect", _listed(book, hub), _listed(book, strut, "typed"), f"/inspect/P/{hub}",
                 "/inspect/round", "/ready"):
        phone.goto(address + path)
        phone.add_style_tag(content=UNSTUCK)
        assert faults(phone, scheme) == []
        assert [(path, *target) for target in phone.evaluate(TARGETS) if target[1] < SMALLEST_TARGET_PX] == []
        for size in ("100%", "200%"):
            phone.evaluate("size => { document.documentElement.style.fontSize = size }", size)
            assert phone.evaluate("document.documentElement.scrollWidth") <= 360, (path, size)
