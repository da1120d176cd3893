"""Every part of the kit through the pages of four phones, three of them here: at most two taps for a sound one.

The fourth inspector, a client without scripts, has typed in and pressed five of six parts of every box and heap.
The scan itself is the label's address, opened as the phone's camera app does. On the way one hub cracks, one pole is
measured, one is wet, one phone is out of reach for a few parts, and one is closed with a press waiting in it.
"""

from collections import Counter
from itertools import chain

import pytest

FRAME_PARTS = 226
OUT_OF_REACH_FOR = 4
FOURTH = "inspector 4"


class Inspector:
    """A phone and its owner, who takes boxes, scans what is in them, and counts taps."""

    def __init__(self, page, address, name):
        self.page, self.address, self.name = page, address, name
        self.taps, self.other_taps, self.box = Counter(), 0, ""
        page.goto(f"{address}/me")
        page.fill("#who", name)
        page.get_by_role("button", name="Keep it on this phone").click()

    def scan(self, part):
        """As the camera app does: the label's address, in capitals, from nowhere."""
        self.page.goto(f"{self.address}/P/{part}", referer="")
        if "/inspect/" not in self.page.url:
            self.tap(part, "link", "Inspect it")

    def tap(self, part, role, name):
        self.page.get_by_role(role, name=name, exact=True).click()
        self.taps[part] += 1

    def says(self, part, words):
        """Wait for the answer about this part."""
        short = part.split("-")[1]
        self.page.locator(".outcome .status", has_text=short).filter(has_text=words).wait_for()

    def sound(self, part):
        self.scan(part)
        self.tap(part, "button", "All sound")
        self.says(part, "")

    def take_box(self):
        """The first box in the list, which is one that nobody has; False if none is left."""
        self.page.goto(f"{self.address}/inspect")
        offered = self.page.locator(".boxes li").filter(has_not_text="has it").get_by_role("button", name="I take it")
        if not offered.count():
            return False
        name = offered.first.get_attribute("aria-label").partition(": ")[2]
        offered.first.click()
        self.page.get_by_text(f"Your box: {name}").wait_for()
        self.other_taps, self.box = self.other_taps + 1, name
        return True


class Shed:
    """What lies where, and what was not yet seen, by the log."""

    def __init__(self, address, book, app):
        self.address, self.book = address, book
        chief = app.test_client()
        for number, (act, said) in enumerate((("close", {"sure": "yes"}), ("open", {"name": "autumn"}))):
            chief.post(f"/inspect/round/{act}", data={"key": f"the-round-is-now-{number}", **said},
                       headers={"Origin": "http://localhost"})
        assert book.state.open_round.name == "autumn"
        self.parts = [part.id for part in book.state.all_parts() if book.state.parts[part.id].condition != "scrapped"]
        self.by_fourth = [part for number, part in enumerate(filter(self._sound_and_there, self.parts)) if number % 6]
        fourth, here, mark = app.test_client(), {"Origin": "http://localhost"}, book.state.open_round.key[-8:]
        fourth.post("/me", data={"who": FOURTH}, headers=here)
        for part in self.by_fourth:
            pressed = {"key": f"typed-in-before-{part}", "round": mark}
            answer = fourth.post(f"/P/{part}/sound", data=pressed, headers=here)
            assert answer.status_code == 303, answer.text
        assert not set(self.by_fourth) & set(self.unseen())

    def _sound_and_there(self, part):
        past = self.book.state.parts[part]
        return past.condition == "sound" and not past.missing

    def unseen(self, box=None):
        """Parts not yet seen; of one box, "" for those in none."""
        state = self.book.state
        return [part for part in self.parts if state.parts[part].round != state.open_round.key
                and (box is None or (state.parts[part].bundle or "") == box)]

    def next_for(self, inspector):
        """The next part in this inspector's hand: of their box, of the next box, of the heap; None: all is done."""
        waiting = self.unseen(inspector.box) if inspector.box else []
        if waiting or (any(map(self.unseen, self.free_boxes())) and inspector.take_box()):
            return next(iter(self.unseen(inspector.box)), None)
        return next(iter(self.unseen("") or self.unseen()), None)

    def free_boxes(self):
        held = {held.box for held in self.book.state.open_round.boxes}
        return {past.bundle for past in self.book.state.parts.values() if past.bundle} - held


@pytest.fixture
def at_work(shed, new_phone, lasting_phone):
    address, *_ = shed
    here = Shed(*shed)
    phones = (new_phone(), new_phone(), lasting_phone())
    return here, [Inspector(page, address, f"inspector {number}") for number, page in enumerate(phones, start=1)]


def test_three_phones_inspect_the_whole_kit(at_work, lasting_phone):
    here, (one, two, three) = at_work
    assert len(here.parts) > FRAME_PARTS
    sound = [*_in_turn(here, (one, two, three), rounds=3)]
    hub, pole, damp = (_unseen_sound(here, kind) for kind in "HSS")
    _cracked(one, hub)
    _measured(here, two, pole, "length", 0.6)
    damp = _unseen_sound(here, "S")
    _measured(here, two, damp, "moisture", 23)
    sound += _out_of_reach(here, two)
    sound += _closed_and_opened_again(here, three, lasting_phone)
    sound += _in_turn(here, (one, two, three), rounds=len(here.parts))
    assert here.unseen() == []
    assert sorted((*sound, hub, pole, damp, *here.by_fourth)) == sorted(here.parts)
    taps = one.taps + two.taps + three.taps
    assert max(taps[part] for part in sound) <= 2
    assert sum(taps[part] for part in sound) <= len(sound) + 3      # each phone's first part also asks "Inspect it"
    _the_log_tells(here, (one, two, three), hub, pole, damp)
    _readiness_tells(here, one.page, hub)


def _in_turn(here, inspectors, rounds):
    """Sound parts, one for each inspector in turn, until none is left; gives them."""
    for inspector in chain.from_iterable([inspectors] * rounds):
        part = here.next_for(inspector)
        if part is None:
            return
        inspector.sound(part)
        yield part


def _unseen_sound(here, kind):
    return next(part for part in here.unseen() if f"-{kind}" in part
                and here.book.state.parts[part].condition == "sound" and not here.book.state.parts[part].missing)


def _cracked(inspector, hub):
    inspector.scan(hub)
    inspector.page.get_by_label("fails").first.check()
    inspector.page.get_by_label("arm 2").first.check()
    inspector.tap(hub, "button", "Write down what fails")
    inspector.says(hub, "do not use it")


def _measured(here, inspector, strut, item, value):
    """Write down a number of one line: a difference from the cut length, or a moisture."""
    inspector.scan(strut)
    inspector.page.get_by_text("In doubt? Measure").click()
    number = value + (here.book.state.part(strut).cut_length_mm if item == "length" else 0.0)
    inspector.page.locator(f'[name="value:{item}"]').fill(f"{number:.1f}")
    inspector.tap(strut, "button", "Write down what fails" if value > 20 else "All sound")
    inspector.says(strut, "to be watched" if value > 20 else "is sound")


def _out_of_reach(here, inspector):
    """Typed and pressed on the page that is open; all of it arrives, once, when the laptop is in reach again."""
    page, parts = inspector.page, here.unseen()[:OUT_OF_REACH_FOR]
    _reach(page, offline=True)
    for number, part in enumerate(parts, start=1):
        page.fill("#quick-id", part.split("-")[1])
        inspector.tap(part, "button", "Inspected: all sound")
        page.locator("[data-waiting] [data-count]", has_text=f"{number} entr").wait_for()
    assert here.unseen()[:OUT_OF_REACH_FOR] == parts
    _reach(page, offline=False)
    _until_seen(here, page, parts)
    page.locator("[data-waiting]").wait_for(state="hidden")
    return parts


def _closed_and_opened_again(here, inspector, lasting_phone):
    """A press waits in the phone while its browser is closed; name and box are known again, and the press arrives."""
    part = here.next_for(inspector)
    box = inspector.box
    inspector.scan(part)
    _reach(inspector.page, offline=True)
    inspector.tap(part, "button", "All sound")
    inspector.page.locator("[data-waiting] [data-count]", has_text="1 entry waits").wait_for()
    assert part in here.unseen()        # closing may let go of a last try
    inspector.page.context.close()
    inspector.page = lasting_phone()
    inspector.page.goto(f"{inspector.address}/inspect")
    _until_seen(here, inspector.page, [part])
    inspector.page.locator("[data-waiting]").wait_for(state="hidden")
    inspector.page.get_by_text(f"Your box: {box}").wait_for()
    return [part]


def _until_seen(here, page, parts):
    """Until the log has them: a page that has just come shows what waits only once its scripts have run."""
    for _ in range(150):
        if not set(parts) & set(here.unseen()):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"never arrived: {set(parts) & set(here.unseen())}")


def _reach(page, *, offline):
    page.context.set_offline(offline)
    page.evaluate("dispatchEvent(new Event('focus'))")
    page.locator("[data-out-of-reach]").wait_for(state="visible" if offline else "hidden", timeout=15_000)


def _the_log_tells(here, inspectors, hub, pole, damp):
    """Who looked at how many, how each was seen, what was measured, who had which box."""
    entries = [entry for entry in here.book.entries() if entry.data.get("round") == here.book.state.open_round.key]
    assert Counter(entry.part for entry in entries) == Counter(here.parts)
    by = Counter(entry.called for entry in entries)
    assert set(by) == {FOURTH, *(inspector.name for inspector in inspectors)}
    assert min(by.values()) > len(here.parts) / 24
    assert Counter(entry.data["seen"] for entry in entries)["typed"] == OUT_OF_REACH_FOR + len(here.by_fourth)
    taken = [entry for entry in here.book.entries() if entry.kind == "box_taken"]
    assert len(taken) == sum(inspector.other_taps for inspector in inspectors) >= len(inspectors)
    parts = here.book.state.parts
    assert (parts[hub].condition, parts[damp].condition) == ("quarantined", "watch")
    assert parts[pole].measured == (("length", pytest.approx(here.book.state.part(pole).cut_length_mm + 0.6, abs=0.06),
                                     "mm"),)


def _readiness_tells(here, page, hub):
    """Every place can be filled from what is left, counted here by class: so it is fit, and the hub is quarantined."""
    state = here.book.state
    page.goto(f"{here.address}/inspect")
    assert page.locator("h1").inner_text() == "Every part was seen"
    assert hub.split("-")[1] in page.locator("section", has_text="Quarantined, watched, missing").last.inner_text()
    needed = Counter(part.part_class for part in state.kit.by_place.values())
    left = Counter(state.part(part).part_class for part in here.parts if state.parts[part].usable)
    assert not needed - left
    page.goto(f"{here.address}/ready")
    page.locator("h1", has_text="Fit, once").wait_for(timeout=60_000)     # computed beside
    assert f"instead of {hub}" in page.inner_text("main")
