"""The whole kit inspected from three phones, at most two taps for a sound part; pages that everybody can use."""

import shutil
import threading
from itertools import cycle

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from fieldapp.demo.first_raise import tell_first_raise
from fieldapp.log.opening import open_book
from fieldapp.web.app import create_app
from fieldapp.web.server import open_server

RULES = ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21aa", "wcag22aa", "best-practice"]
SMALLEST_TARGET_PX = 47.5
TARGETS = """() => [...document.querySelectorAll("main button, main .press, summary, .choices label, main .row")]
    .map((e) => [e.textContent.trim(), e.getBoundingClientRect().height]).filter(([, h]) => h > 0)"""
BY_BROWSER = 9
"""Parts that go through the browser; the rest of the kit goes through the same addresses without one."""


@pytest.fixture(scope="module")
def told(made_demo, tmp_path_factory):
    """The demo with a first raise behind it and half an inspection, told once."""
    folder = tmp_path_factory.mktemp("told") / "orchard-hall"
    shutil.copytree(made_demo, folder)
    with open_book(folder) as book:
        tell_first_raise(book)
    return folder


@pytest.fixture
def shed(told, tmp_path):
    """A copy of it, served; gives (address, book, application)."""
    folder = tmp_path / "orchard-hall"
    shutil.copytree(told, folder)
    with open_book(folder) as book:
        app = create_app(book)
        server = open_server(app, 0, host="127.0.0.1")
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.effective_port}", book, app
        server.close()
        thread.join(timeout=10)


def _unseen(book):
    state = book.state
    return [part.id for part in state.all_parts() if state.parts[part.id].round != state.open_round.key
            and not state.parts[part.id].missing and state.parts[part.id].condition != "scrapped"]


def _listed(book, part, seen="scanned"):
    """Path of a part's list, as a scan in the open round leads to it."""
    return f"/inspect/P/{part}?seen={seen}&round={book.state.open_round.key[-8:]}"


def _open_afresh(app, book):
    """Close the demo's half round and open another, as the chief does at the laptop."""
    chief = app.test_client()
    for number, (act, said) in enumerate((("close", {"sure": "yes"}), ("open", {"name": "autumn"}))):
        chief.post(f"/inspect/round/{act}", data={"key": f"the-round-is-now-{number}", **said},
                   headers={"Origin": "http://localhost"})
    assert book.state.open_round.name == "autumn"


class Inspector:
    """A phone that counts its owner's taps; the camera app opening a label's address is the scan itself."""

    def __init__(self, page, address, name):
        self.page, self.address, self.taps = page, address, 0
        page.goto(f"{address}/me")
        page.fill("#who", name)
        page.get_by_role("button", name="Keep it on this phone").click()
        page.goto(f"{address}/inspect")

    def scan(self, part):
        """As the phone's camera app does: the label's address, in capitals, from nowhere."""
        self.page.goto(f"{self.address}/P/{part}", referer="")

    def tap(self, name):
        self.taps += 1
        self.page.get_by_role("button", name=name).or_(self.page.get_by_role("link", name=name, exact=True)).click()


def test_three_phones_inspect_the_kit_with_at_most_two_taps_for_a_sound_part(shed, new_phone):
    address, book, app = shed
    _open_afresh(app, book)
    inspectors = [Inspector(new_phone(), address, f"inspector {number}") for number in (1, 2, 3)]
    waiting = _unseen(book)
    assert len(waiting) > 226
    for part, inspector in zip(waiting[:BY_BROWSER], cycle(inspectors), strict=False):
        before = inspector.taps
        inspector.scan(part)
        if "/inspect/" not in inspector.page.url:
            inspector.tap("Inspect it")
        inspector.tap("All sound")
        expect(inspector.page.locator(".outcome")).to_contain_text(part.split("-")[1])
        assert inspector.taps - before <= 2
    assert sum(inspector.taps for inspector in inspectors) <= BY_BROWSER + len(inspectors)
    phones = [app.test_client() for _ in inspectors]
    for number, (part, phone) in enumerate(zip(waiting[BY_BROWSER:], cycle(phones), strict=False)):
        listed = phone.get(f"/P/{part}")       # the first time the part's page, then straight to the list
        assert listed.status_code in (200, 303)
        answer = phone.post(f"/inspect/P/{part}", data={"key": f"the-check-number-{number}", "seen": "scanned",
                                                         "round": book.state.open_round.key[-8:], "all": "sound"}, headers={"Origin": "http://localhost"})
        assert answer.status_code == 303
        phone.get(_listed(book, part))
    assert _unseen(book) == []
    inspectors[0].page.goto(f"{address}/inspect")
    expect(inspectors[0].page.locator("h1")).to_have_text("Every part was seen")
    inspectors[0].page.goto(f"{address}/ready")
    expect(inspectors[0].page.locator("h1")).to_have_text("The kit is fit to be raised")
    checks = [entry for entry in book.entries() if entry.kind == "checked" and entry.part in waiting]
    assert {entry.who for entry in checks[-len(waiting):]} >= {"inspector 1", "inspector 2", "inspector 3"}


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
    expect(phone.get_by_role("alert").first).to_contain_text("keep it out")
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


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_shut_nobody_out_and_fit_small_screens(shed, new_phone, scheme):
    address, book, _ = shed
    phone = new_phone(bypass_csp=True, color_scheme=scheme)
    hub, strut = (next(part for part in _unseen(book) if kind in part) for kind in ("-H", "-S"))
    for path in ("/inspect", _listed(book, hub), _listed(book, strut, "typed"), f"/inspect/P/{hub}",
                 "/inspect/round", "/ready"):
        phone.goto(address + path)
        found = Axe().run(phone, options={"runOnly": RULES}).response["violations"]
        assert [(path, fault["id"], fault["nodes"][0]["target"]) for fault in found] == []
        assert [(path, *target) for target in phone.evaluate(TARGETS) if target[1] < SMALLEST_TARGET_PX] == []
        for size in ("100%", "200%"):
            phone.evaluate("size => { document.documentElement.style.fontSize = size }", size)
            assert phone.evaluate("document.documentElement.scrollWidth") <= 360, (path, size)
