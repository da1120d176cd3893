"""A whole day through the HTTP client: raise, breaks, a pulled plug, another laptop, strike, store, report."""

import json
import shutil
import threading
from itertools import cycle

import pytest

from fieldapp.kit.file import read_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.opening import open_book


@pytest.fixture(scope="module")
def day(kit_folder, tmp_path_factory, laptop_class, phone_class):
    """The day, lived once; gives (kit, what happened, the last laptop's folder, the report as the server told it)."""
    kit = read_kit(kit_folder)
    story = Story(kit, kit_folder, tmp_path_factory.mktemp("second"), laptop_class, phone_class)
    try:
        story.live()
        return story
    finally:
        for laptop in story.laptops:
            if laptop.process.poll() is None:
                laptop.kill()


class Story:
    """What three phones do."""

    def __init__(self, kit, folder, second, laptop_class, phone_class):
        self.kit = kit
        self.folder = folder
        self.second = second / "orchard-hall"
        self.laptops = []
        self.laptop_class = laptop_class
        self.phones = [phone_class(f"phone-{n}") for n in (1, 2, 3)]
        self.broken = {}
        self.report = None
        self.page = ""

    def live(self):
        with open_book(self.folder) as book:
            steps = book.site.plan.steps
        self.open_laptop(self.folder)
        chief = self.phones[0]
        chief.write("raise_started", name="The day", by="chief", reason="a journey without inspection")
        third = len(steps) // 3
        self.fit(steps[:third], mishaps={2: "hub", 5: "strut"})
        self.pull_the_plug()
        self.fit(steps[third:2 * third], mishaps={third + 3: "exchange"})
        self.other_laptop()
        self.fit(steps[2 * third:], mishaps={2 * third + 2: "hub"})
        self.mend()
        self.strike(steps)
        self.report = json.loads(chief.get("/api/day")[1])
        self.page = chief.get("/day")[1]
        self.laptops[-1].stop()

    def open_laptop(self, folder):
        laptop = self.laptop_class(folder).start()
        self.laptops.append(laptop)
        for phone in self.phones:
            phone.join(laptop)

    def seat(self, place):
        """The part meant for a place now."""
        return self.state()["allocation"][place]

    def state(self):
        """All that stands, as the server tells it."""
        return json.loads(self.phones[0].get("/api/state")[1])

    def fit(self, steps, mishaps):
        """Every step by one of the three phones; with mishaps at some."""
        offset = steps[0].number - 1
        for step, phone in zip(steps, cycle(self.phones), strict=False):
            happens = mishaps.get(offset)
            offset += 1
            places = [*(insertion.strut for insertion in step.struts), step.hub]
            if happens in ("hub", "strut"):
                self.breaks(phone, step.hub if happens == "hub" else places[0])
            if happens == "exchange":
                self.exchange(phone, step)
            now = self.state()
            for place in places:
                if place not in now["fitted"]:
                    phone.write("fitted", now["allocation"][place], place)

    def fitted(self):
        return set(self.state()["fitted"])

    def breaks(self, phone, place):
        """The part for a place breaks in the hand and a spare takes its place."""
        part = self.seat(place)
        what = {"what": "arm_snapped", "arm": 1} if place[0] == "H" else {"what": "split"}
        phone.write("damaged", part, place, severity="bad", words="levered off", **what)
        spare = next(p for p in self.kit.parts if p.is_spare and p.part_class == self.kit.part(part).part_class
                     and p.kind == self.kit.part(part).kind and p.id not in self.broken.values())
        self.broken[part] = spare.id
        phone.write("exchanged", spare.id, place)

    def exchange(self, phone, step):
        """A strut meant for a later place goes in here: one wish, two places exchanged."""
        here = step.struts[0].strut
        wanted = self.kit.part(self.seat(here)).part_class
        fitted = self.fitted()
        other = next(p for p in reversed(self.kit.parts) if p.kind == "strut" and p.part_class == wanted
                     and p.made_for and p.made_for != here and p.made_for not in fitted)
        [offer] = phone.send(phone.wish("fitted", other.id, here))
        assert offer["code"] == "exchange_offered"
        phone.write("fitted", other.id, here, exchange=True)
        self.moved = (other.id, here)

    def pull_the_plug(self):
        """Killed while three phones send; what was not answered is sent again to the laptop that comes back."""
        waiting = [[phone.wish("label_reprinted", self.kit.parts[5 * n + i].id) for i in range(5)]
                   for n, phone in enumerate(self.phones)]
        senders = [threading.Thread(target=_quietly, args=(phone, wishes))
                   for phone, wishes in zip(self.phones, waiting, strict=True)]
        for sender in senders:
            sender.start()
        self.laptops[-1].kill()
        for sender in senders:
            sender.join()
        self.open_laptop(self.folder)
        for phone, wishes in zip(self.phones, waiting, strict=True):
            assert all(answer["kept"] for answer in phone.send(*wishes))
            assert all(answer["kept"] for answer in phone.send(*wishes))

    def other_laptop(self):
        """The first laptop stops; its folder is carried to a second one."""
        self.laptops[-1].stop()
        shutil.copytree(self.folder, self.second)
        self.open_laptop(self.second)

    def mend(self):
        part = next(part for part in self.broken if "-H" in part)
        self.mended = part
        self.phones[1].write("repaired", part, how="cleat_and_glue", by="carpenter", arm=1, capacity=0.8)
        self.phones[0].write("released", part, name="chief")

    def strike(self, steps):
        self.phones[0].write("strike_started")
        for step, phone in zip(reversed(steps), cycle(self.phones), strict=False):
            fitted = self.state()["fitted"]
            for place in (step.hub, *(insertion.strut for insertion in step.struts)):
                part = fitted[place]
                phone.write("taken_down", part)
                phone.write("stored", part, bundle=f"ring {step.level}", came_in=["dry"])
        self.phones[0].write("raise_ended")


def _quietly(phone, wishes):
    for wish in wishes:
        try:
            phone.send(wish)
        except OSError:
            return
        except Exception:  # the connection broke in the middle of an answer
            return


def test_every_place_was_filled_and_emptied(day):
    assert day.report["fitted"] == 26 + 65
    assert day.report["taken_down"] == 26 + 65
    assert day.report["stored"] == 26 + 65
    assert day.report["still_out"] == []


def test_the_report_lists_breaks_exchange_and_repair(day):
    assert sorted(broken["part"] for broken in day.report["broken"]) == sorted(day.broken)
    assert len(day.broken) == 3
    assert day.report["moved"] == [{"part": day.moved[0], "place": day.moved[1]}]
    assert day.report["listed"]["repaired"] == [day.mended]
    assert day.report["listed"]["released"] == [day.mended]
    assert len(day.report["listed"]["label_reprinted"]) == 15, "sent three times over a killed server, counted once"


def test_the_page_of_the_day_names_all_of_it_to_people(day):
    for part in day.broken:
        assert f"{part} damaged: " in day.page
    for spare in day.broken.values():
        assert f"{spare} is meant for " in day.page
    part, place = day.moved
    assert f"{part} fitted at {place}" in day.page
    assert f"{day.mended} repaired: cleat and glue, arm 1, carpenter" in day.page
    assert f"{day.mended} released for use: chief" in day.page
    assert "Not stored yet" not in day.page


def test_the_log_folds_to_the_expected_state(day):
    with open_book(day.second) as book:
        state = book.state
    assert not state.fitted
    assert not state.clashes
    assert state.phase == "stores"
    out = {part for part, past in state.parts.items() if not past.usable}
    assert out == set(day.broken) - {day.mended}
    assert state.parts[day.mended].condition == "watch"


def test_design_and_log_alone_give_the_site_again(day, tmp_path):
    for name in ("kit.json", "checks.toml", "log.sqlite"):
        shutil.copy(day.second / name, tmp_path / name)
    with open_book(day.second) as first, open_book(tmp_path) as second:
        assert isinstance(second, SiteBook)
        assert second.state == first.state
