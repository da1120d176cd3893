"""Parts between kits: who can spare one and stays fit, both logs tell, half a move shows, a log away is asked."""

import html
import re
from datetime import UTC, datetime

import pytest
from at_the_laptop import at_the_laptop
from small_frame import tiny_design

from fieldapp.frame.design import SparesSection
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.plan.order import level_order
from fieldapp.plan.planner import with_help
from fieldapp.web.common.rights import Rights
from fieldapp.web.yard import pooling
from fieldapp.web.yard.app import create_yard

NOW = datetime(2027, 4, 28, 10, 14, tzinfo=UTC)


def design(name, prefix, **spares):
    made = tiny_design(spares=SparesSection(**spares))
    return made.model_copy(update={"frame": made.frame.model_copy(update={"name": name, "prefix": prefix})})


@pytest.fixture(scope="session")
def kits():
    """Mill lacks spares, Rope has one of each, Cart has none."""
    return [build_kit(design("Mill Dome", "MD")),
            build_kit(design("Rope Dome", "RD", hubs_most_common=1, hubs_each_other=1, struts_each=1)),
            build_kit(design("Cart Dome", "CD"))]


class Yard:
    """Three kits at one laptop, the chief at it."""

    def __init__(self, folder, kits):
        self.books = []
        for kit in kits:
            place = folder / kit.design.frame.prefix
            place.mkdir()
            write_kit(place, kit)
            plan = with_help(level_order(kit.frame, kit.design), kit.frame, kit.design)
            self.books.append((place, SiteBook.open(kit, plan, place / "log.sqlite")))
        self.app = create_yard(folder, self.books, Rights(), clock=lambda: NOW)
        self.chief = at_the_laptop(self.app).test_client()
        self.sent = 0

    def book(self, number):
        return self.books[number][1]

    def log(self, number, kind, part=None, **data):
        self.sent += 1
        done = self.book(number).submit(Request(f"key {self.sent}", kind, part, chief=True, data=data), NOW)
        assert isinstance(done, Entry), done
        return done

    def text(self, page):
        """Of a page once all kits are judged."""
        with self.app.test_request_context():
            pooling.pool_kits(NOW, patience_s=60.0)
        return html.unescape(self.chief.get(page).text)

    def press(self, page, act, **choice):
        """The button of a form whose hidden fields hold these values."""
        forms = re.findall(r'<form method="post" action="([^"]+)">(.*?)</form>', self.text(page), re.S)
        for action, inside in forms:
            fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', inside))
            if action.endswith(act) and choice.items() <= fields.items():
                return self.chief.post(action, data=fields)
        raise AssertionError((act, choice, forms))


@pytest.fixture
def yard(tmp_path, kits):
    made = Yard(tmp_path, kits)
    hub = made.book(0).site.kit.by_place["H11"]
    made.log(0, "damaged", hub.id, what="arm_snapped", arm=1, severity="bad")
    made.broken, made.key = hub, hub.part_class
    yield made
    for _folder, book in made.books:
        book.close()


def spare_of(yard):
    parts = yard.book(1).site.kit.parts
    return next(p.id for p in parts if p.kind == "hub" and p.part_class == yard.key and p.is_spare)


def lend(yard):
    return yard.press("/spares/MD", "/spares/MD", **{"from": "RD"}, part_class=yard.key, kind="hub")


def test_a_hub_broke_and_it_is_said_who_can_spare_one_and_who_cannot_and_why(yard):
    assert 'href="/spares/MD"' in yard.text("/")
    page = yard.text("/spares/MD")
    assert "Rope Dome (RD) can spare one and stays fit" in page
    assert re.search(r"Cart Dome \(CD\) cannot: its (one such part is|\d+ such parts are all) in use", page)


def test_both_logs_tell_with_one_key_and_a_scan_says_where_it_is(yard):
    spare = spare_of(yard)
    assert lend(yard).status_code == 303
    gone, came = yard.book(1).state.parts[spare].away, yard.book(0).state.parts[spare].borrowed
    assert (gone.key, gone.kit, came.kit) == (came.key, "MD", "RD")
    assert yard.chief.get(f"/P/{spare}").location == f"/MD/P/{spare}"       # the kit where it is now
    assert "Lent to Mill Dome (MD)" in yard.text(f"/RD/p/{spare}")
    assert "Borrowed from Rope Dome (RD)" in yard.text(f"/MD/p/{spare}")
    assert spare.rpartition("-")[0] in yard.text(f"/MD/p/{spare}")           # with its letters: Mill has an H12, too
    assert "cannot" in yard.text("/spares/CD") or "Nothing is lacking" in yard.text("/spares/CD")
    assert yard.book(1).state.parts[spare].usable is False


def test_it_goes_into_the_place_of_the_broken_one_and_home_again(yard):
    spare = spare_of(yard)
    lend(yard)
    book = yard.book(0)
    done = book.submit(Request("k1", "exchanged", spare, yard.broken.made_for, chief=True), NOW)
    assert isinstance(done, Entry), done
    assert book.state.allocation[yard.broken.made_for] == spare
    yard.log(0, "damaged", spare, what="arm_cracked", arm=2, severity="slight")
    assert yard.press("/between", "/between/back").status_code == 303
    own = yard.book(1).state.parts[spare]
    assert own.away is None
    assert own.condition == "watch"
    assert "arm 2" in str(own.reasons)
    assert book.state.allocation[yard.broken.made_for] == yard.broken.id
    assert "All parts are at home" in yard.text("/between")


def test_half_a_move_shows_and_is_completed_or_taken_back(yard):
    spare, loan = spare_of(yard), {"loan": "loan 1", "kit": "MD", "title": "Mill Dome"}
    yard.log(1, "lent", spare, **loan)
    assert "where nobody has written down that it came" in yard.text("/between")
    assert yard.press("/between", "/between/took").status_code == 303
    assert yard.book(0).state.parts[spare].borrowed.key == "loan 1"
    yard.log(1, "withdrawn", entry=yard.book(1).state.parts[spare].away.entry, reason="slip")
    assert "does not know of it" in yard.text("/between")
    assert "cannot" in yard.text("/spares/MD")      # it is not lent twice
    assert yard.press("/between", "/between/lent").status_code == 303
    assert "of Rope Dome (RD) is at Mill Dome (MD)" in yard.text("/between")


def test_a_kit_whose_log_is_away_is_asked_and_gives_once_its_log_is_home(yard):
    spare = spare_of(yard)
    yard.log(1, "moved", where="Ropewalk", own_log=True)
    assert "Away with its own laptop" in yard.text("/")
    assert "may be asked: its log is away at Ropewalk" in yard.text("/spares/MD")
    assert lend(yard).status_code == 303
    assert spare not in yard.book(0).state.parts        # asked, not given
    assert "not given before its log is home" in yard.text("/between")
    assert "/between/give" not in yard.text("/between")
    yard.log(1, "log_home")
    assert yard.press("/between", "/between/give").status_code == 303
    assert yard.book(0).state.parts[spare].borrowed is not None
    assert not yard.book(0).state.asks


def test_what_broke_meanwhile_is_not_given(yard):
    spare = spare_of(yard)
    yard.log(1, "moved", where="Ropewalk", own_log=True)
    lend(yard)
    yard.log(1, "damaged", spare, what="arm_snapped", arm=1, severity="bad")
    yard.log(1, "log_home")
    answer = yard.press("/between", "/between/give")
    assert answer.status_code == 409
    assert "1 may not be used" in answer.text
    assert spare not in yard.book(0).state.parts


def test_only_the_chief_lends(yard):
    phone = yard.app.test_client()
    phone.get("/")
    assert phone.post("/spares/MD", data={"from": "RD"}, environ_base={"REMOTE_ADDR": "10.0.0.7"}).status_code == 403
