"""A day of three kits at two servers with one store, and a field with a laptop of its own: what happens, and is told.

Three phones at each server, three in the field. A hub breaks and another kit spares one; a day is kept and the same
day refused; the field's laptop is lost, and its log comes home from a copy.
"""

import html
import io
import re
import shutil
import time
from contextlib import ExitStack
from datetime import timedelta

from at_the_laptop import at_the_laptop

from fieldapp.kit.file import write_kit
from fieldapp.log.backup import backup, export_lines
from fieldapp.log.book import SiteBook
from fieldapp.log.reading import read_laptops, read_log
from fieldapp.log.rules import Setting
from fieldapp.log.shared.follow import Follower
from fieldapp.log.shared.moving import from_server, to_server
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.shared.tables import schema_of
from fieldapp.plan.order import level_order
from fieldapp.plan.planner import with_help
from fieldapp.web.common.rights import Rights
from fieldapp.web.yard import pooling
from fieldapp.web.yard.app import create_yard

DAYS = {"first": "2027-05-01", "last": "2027-05-03"}
PATIENCE_S = 60.0
"""A phone at the other server that has not heard of an entry by then never will; how soon it hears the bench tells."""


class Phone:
    """A phone that joined, at one server or in a field."""

    def __init__(self, app, number):
        self.client = app.test_client()
        self.where = {"REMOTE_ADDR": f"10.0.0.{number}"}
        assert self.post("/join", {"code": "POSTER"}).status_code == 303

    def get(self, page):
        return html.unescape(self.client.get(page, environ_base=self.where, follow_redirects=True).text)

    def post(self, page, data):
        return self.client.post(page, data=data, environ_base=self.where)

    def press(self, page, action, **data):
        """A form of a page, with its key."""
        key = re.search(r'name="key" value="([^"]+)"', self.get(page))[1]
        return self.post(action, {"key": key, **data})


class Laptop:
    """One server: books of the kits, pages, the chief at it, three phones."""

    def __init__(self, folder, books, clock, first_phone):
        self.books = {book.site.kit.design.frame.prefix: book for _place, book in books}
        self.app = create_yard(folder, books, Rights(also=("POSTER",)), clock=clock)
        chief = at_the_laptop(self.app).test_client()
        self.phones = [Phone(self.app, first_phone + number) for number in range(3)]
        self.chief = chief
        self.heard_s = []

    def text(self, page):
        return html.unescape(self.chief.get(page, follow_redirects=True).text)

    def judged(self, page, *names):
        """A page of the yard, once these kits are judged."""
        with self.app.test_request_context():
            kits = {kit.name: kit for kit in pooling.yard().kits}
            for name in names:
                pooling.pool_kit(kits[name], pooling.clock_now(), patience_s=120.0)
        return self.text(page)

    def chief_press(self, page, action, **data):
        key = re.search(r'name="key" value="([^"]+)"', self.text(page))[1]
        return self.chief.post(action, data={"key": key, **data})

    def button(self, page, action, **choice):
        """The form of a yard's page whose hidden fields hold these values."""
        for found, inside in re.findall(r'<form method="post" action="([^"]+)">(.*?)</form>', self.text(page), re.S):
            fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', inside))
            if found == action and choice.items() <= fields.items():
                return self.chief.post(found, data=fields)
        raise AssertionError((action, choice, self.text(page)))

    def hears(self, words, page):
        """True once a phone reads it there."""
        begun = time.monotonic()
        while time.monotonic() < begun + PATIENCE_S:
            if words in self.phones[0].get(page):
                self.heard_s.append(time.monotonic() - begun)
                return True
            time.sleep(0.05)
        return False


class Day:
    """Two servers with one store, and what becomes of three kits."""

    def __init__(self, folder, kits, server, now):
        self.folder, self.server, self.now = folder, server, now
        self.kits = {kit.design.frame.prefix: kit for kit in kits}
        self.plans = {name: with_help(level_order(kit.frame, kit.design), kit.frame, kit.design)
                      for name, kit in self.kits.items()}
        self.stack = ExitStack()
        database = server.database()
        for name, kit in self.kits.items():
            write_kit(folder / "first" / name, kit)
            to_server(folder / "first" / name, kit, server.address(database=database), role="site")
        self.owner, self.address = server.address(database=database), server.address("site", database)
        self.one, self.two = self.laptop("first", 10), self.laptop("second", 20)

    def clock(self):
        return self.now

    def laptop(self, name, first_phone):
        books = []
        for letters, kit in self.kits.items():
            place = self.folder / name / letters
            write_kit(place, kit)
            store = SharedStore.open(self.address, place / "log.sqlite", kit)
            books.append((place, self.stack.enter_context(SiteBook(Setting(kit, self.plans[letters]), store))))
        follower = Follower(self.address, {schema_of(book.site.kit): book for _place, book in books}).start()
        self.stack.callback(follower.stop)
        return Laptop(self.folder / name, books, self.clock, first_phone)

    def close(self):
        self.stack.close()

    def later(self, **passed):
        self.now += timedelta(**passed)

    def whole(self):
        """From the first morning to the evening when all is home."""
        self.days_are_given_once()
        hub = self.a_hub_breaks_and_rope_spares_one()
        self.rope_leaves_with_a_laptop_of_its_own()
        self.what_is_away_is_asked(hub)
        lines = self.the_field_writes_and_loses_its_laptop(hub)
        self.its_log_comes_home(lines)
        self.what_was_asked_is_given()
        self.both_servers_tell_the_same()

    def days_are_given_once(self):
        """Mill is given at one server; the other refuses the same days, and keeps other ones."""
        assert self.one.chief_press("/MD/dates", "/MD/dates/wanted", where="Mill Green", **DAYS).status_code == 303
        again = self.two.chief_press("/MD/dates", "/MD/dates/wanted", where="Ropewalk", **DAYS)
        assert again.status_code == 409
        assert "given to Mill Green" in html.unescape(again.text)
        assert self.two.chief_press("/CD/dates", "/CD/dates/wanted", where="Fair", **DAYS).status_code == 303
        assert self.one.hears("2027-05-01 to 2027-05-03, Fair", "/")

    def a_hub_breaks_and_rope_spares_one(self):
        """A phone at the second server says that it broke; the chief at the first lends one of another kit."""
        hub = self.kits["MD"].by_place["H11"]
        told = self.two.phones[1].press(f"/MD/damage/{hub.id}", f"/MD/damage/{hub.id}", what="arm_snapped", where="1",
                                        severity="bad")
        assert told.status_code == 303, told.text
        assert self.one.hears("1 part is damaged or missing", "/")
        assert self.one.phones[2].post("/spares/MD", {"from": "RD"}).status_code == 409       # no chief
        page = self.one.judged("/spares/MD", "RD")
        assert "Rope Dome (RD) can spare one" in page
        assert "Cart Dome (CD) cannot" in page
        assert self.one.button("/spares/MD", "/spares/MD", **{"from": "RD"}, kind="hub").status_code == 303
        spare = next(part for part, past in self.one.books["MD"].state.parts.items() if past.borrowed)
        assert self.two.hears("Lent to Mill Dome (MD)", f"/RD/p/{spare}")
        assert self.two.hears("Borrowed from Rope Dome (RD)", f"/MD/p/{spare}")
        assert f"/MD/P/{spare}" in self.two.chief.get(f"/P/{spare}").location
        return hub

    def rope_leaves_with_a_laptop_of_its_own(self):
        """Its log goes on in a file; the yard's servers know that it does."""
        moved = self.one.chief_press("/RD/dates", "/RD/dates/moved", where="Ropewalk", own_log="yes")
        assert moved.status_code == 303
        place = self.folder / "field" / "RD"
        write_kit(place, self.kits["RD"])
        from_server(self.owner, place, self.kits["RD"])
        book = SiteBook.open(self.kits["RD"], self.plans["RD"], place / "log.sqlite")
        self.field = Laptop(self.folder / "field", [(place, book)], self.clock, 30)
        assert self.two.hears("goes on at its own laptop", "/")

    def what_is_away_is_asked(self, hub):
        """A second hub of Mill is lost: nobody gives what may be in use out there."""
        strut = self.kits["MD"].by_place["S003"]
        assert self.two.phones[0].press(f"/MD/missing/{strut.id}", f"/MD/missing/{strut.id}").status_code == 303
        assert self.one.hears("2 parts are damaged or missing", "/")
        assert "may be asked: its log is away at Ropewalk" in self.one.judged("/spares/MD", "CD")
        assert self.one.button("/spares/MD", "/spares/MD", **{"from": "RD"}, kind="strut").status_code == 303
        assert self.two.hears("not given before its log is home", "/between")
        assert "/between/give" not in self.two.text("/between")
        self.asked = self.one.books["MD"].state.asks[0].part
        assert self.asked not in self.one.books["MD"].state.parts

    def the_field_writes_and_loses_its_laptop(self, hub):
        """Three phones write there; a copy was made on a stick, and then the laptop is gone."""
        self.later(hours=2)
        for number, phone in enumerate(self.field.phones):
            part = self.kits["RD"].by_place[f"H0{number + 1}"]
            assert phone.press(f"/RD/P/{part.id}", f"/RD/P/{part.id}/fitted").status_code == 303
        assert self.field.chief_press("/RD/dates", "/RD/dates/wanted", where="Ropewalk", **DAYS).status_code == 303
        assert self.one.chief_press("/RD/dates", "/RD/dates/wanted", where="Barn", **DAYS).status_code == 303
        copy = backup(self.folder / "field" / "RD" / "log.sqlite", self.folder / "stick.sqlite")
        self.field.books["RD"].close()
        shutil.rmtree(self.folder / "field")
        kit = self.kits["RD"]
        return "".join(export_lines(read_log(copy, kit), kit, read_laptops(copy).values())).encode()

    def its_log_comes_home(self, lines):
        """Looked at first; one of the two given days is refused, what was built there is known everywhere."""
        self.later(hours=1)
        sent = {"lines": (io.BytesIO(lines), "day.jsonl")}
        looked = html.unescape(self.one.chief.post("/coming-home/RD", data=sent,
                                                   content_type="multipart/form-data").text)
        assert "Days refused: 2027-05-01 to 2027-05-03, " in looked
        assert "is not known here yet" in looked
        digest = re.search(r'name="digest" value="(\w+)"', looked)[1]
        assert self.one.chief.post("/coming-home/RD/take", data={"digest": digest}).status_code == 303
        assert self.two.hears("going up: 3 of", "/")
        assert [one.where for one in self.one.books["RD"].state.wanted] in (["Ropewalk"], ["Barn"])
        assert self.one.chief.post("/coming-home/RD/over").status_code == 303

    def what_was_asked_is_given(self):
        """Its log says that the part is there and sound, and Rope keeps all that it needs."""
        self.one.judged("/between", "RD")
        assert self.one.button("/between", "/between/give").status_code == 303
        assert self.one.books["MD"].state.parts[self.asked].borrowed.kit == "RD"
        assert "Not to be used" in self.one.text("/overview")

    def both_servers_tell_the_same(self):
        """Whatever was pressed where: one log for each kit, the same at both, nothing doubled, chains whole."""
        for name in self.kits:
            one, two = self.one.books[name], self.two.books[name]
            one.catch_up(), two.catch_up()
            assert one.state == two.state, name
            assert [entry.number for entry in one.entries()] == list(range(1, one.last_number + 1))
            assert len({entry.key for entry in one.entries()}) == one.last_number
