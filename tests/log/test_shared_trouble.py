"""A database server that stops, falls silent, forgets or is full; photos on it; what is lost comes back."""

import hashlib
import io
import socket
import threading
import time
from contextlib import suppress

import pytest
import sqlalchemy as sa
from at_the_laptop import at_the_laptop
from click.testing import CliRunner
from log.conftest import MORNING, Crew
from log.postgres import binaries
from PIL import Image

from fieldapp.base.errors import StoreError
from fieldapp.cli import main
from fieldapp.kit.file import write_kit
from fieldapp.log.baggage import PHOTO_FOLDER
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Request
from fieldapp.log.shared import connecting
from fieldapp.log.shared.follow import Follower
from fieldapp.log.shared.moving import from_server, to_server
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.shared.tables import MOST_PHOTO_BYTES, schema_of
from fieldapp.plan.kept import keep_plan
from fieldapp.web.common.context import EXTENSION as SITE
from fieldapp.web.server import create_app

pytestmark = pytest.mark.skipif(binaries() is None, reason="no PostgreSQL server here: apt-get install postgresql")

UNGUARDED = "ALTER TABLE {0} DISABLE TRIGGER USER"


def put_back(owner, number):
    """As after a restore: what came after this entry is not there."""
    for table in ("entries", "counter"):
        owner(UNGUARDED.format(table))
    owner(f"DELETE FROM entries WHERE number > {number}")
    owner(f"UPDATE counter SET last = {number}")
    for table in ("entries", "counter"):
        owner(f"ALTER TABLE {table} ENABLE TRIGGER USER")


def test_a_server_that_stops_keeps_nothing_half_and_comes_back(opened, shared_server):
    crew = opened()
    crew.done("fitted", "OH-S001-7")
    shared_server.stop("immediate")
    with pytest.raises(StoreError, match="does not answer") as caught:
        crew.ask("fitted", "OH-S002-5")
    assert caught.value.fault == "away"
    assert crew.book.halt is not None
    shared_server.start()
    crew.sent -= 1                                  # the phone sends the same again
    assert crew.done("fitted", "OH-S002-5").number == 2
    assert crew.book.halt is None


def test_an_answer_that_was_lost_on_its_way_counts_once_and_the_chain_goes_on(opened, monkeypatch):
    crew = opened()
    crew.done("fitted", "OH-S001-7")
    kept = sa.Connection.commit

    def lost(connection):
        kept(connection)
        raise sa.exc.OperationalError("COMMIT", {}, OSError("connection reset by peer"))

    monkeypatch.setattr(sa.Connection, "commit", lost)
    with pytest.raises(StoreError, match="does not answer"):
        crew.ask("fitted", "OH-S002-5")
    monkeypatch.undo()
    crew.sent -= 1
    assert crew.done("fitted", "OH-S002-5").number == 2
    crew.book.catch_up()
    assert [crew.done("taken_down", part).serial for part in ("OH-S001-7", "OH-S002-5")] == [3, 4]
    assert opened(1).book.entries() == crew.book.entries()


def test_laptops_that_share_a_copied_key_write_one_chain(opened, tmp_path):
    one = opened(0)
    one.done("fitted", "OH-S001-7")
    (tmp_path / "laptop-1").mkdir()
    key = "log-laptop.json"
    (tmp_path / "laptop-1" / key).write_bytes((tmp_path / "laptop-0" / key).read_bytes())
    two = opened(1)
    two.done("fitted", "OH-S002-5")
    one.done("fitted", "OH-S003-3")
    two.done("taken_down", "OH-S001-7")
    assert [(entry.laptop, entry.serial) for entry in opened(2).book.entries()] == [
        (one.book.laptop, serial) for serial in (1, 2, 3, 4)]


def test_a_server_put_back_from_an_older_copy_takes_nothing_more_until_what_it_lacks_is_back(
        opened, owner, shared_server, database, site, tmp_path):
    one, two = opened(0), opened(1)
    for part in ("OH-S001-7", "OH-S002-5", "OH-S003-3"):
        one.done("fitted", part)
    two.book.catch_up()
    put_back(owner, 1)
    with pytest.raises(StoreError, match=r"fewer entries.*than the 3 that were answered.*All 3 entries are kept"):
        one.ask("taken_down", "OH-S001-7")
    with pytest.raises(StoreError, match="fewer entries"):          # after a restart, too
        opened(0)
    address, folder = shared_server.address("site", database), tmp_path / "laptop-0"
    write_kit(folder, site.kit)
    keep_plan(folder, site.kit.design, site.plan)
    answer = CliRunner().invoke(main, ["log", "import", str(folder), str(folder / "log-rescued.jsonl"), "--yes",
                                       "--store", address])
    assert (answer.exit_code, "2 of 3 entries were new" in answer.output) == (0, True), answer.output
    again = opened(1)                               # it saw the same three, and finds them all
    assert list(again.book.state.fitted) == ["S001", "S002", "S003"]
    assert not again.book.state.clashes
    assert again.done("taken_down", "OH-S001-7").number == again.book.last_number


def test_a_server_that_went_on_without_what_was_answered_is_found_out(opened, owner, shared_server, database, site):
    one, other = opened(0), opened(1)
    one.done("fitted", "OH-S001-7")
    one.done("fitted", "OH-S002-5")
    other.book.close()
    put_back(owner, 1)
    stranger = opened(2)
    for part in ("OH-S003-3", "OH-S004-1"):
        stranger.done("damaged", part, what="split", severity="slight")
    follower = Follower(shared_server.address("site", database), {schema_of(site.kit): one.book}).start()
    until = time.monotonic() + 10
    while one.book.halt is None and time.monotonic() < until:
        time.sleep(0.02)
    follower.stop()
    assert one.book.halt.fault == "lost_there"                      # phones are told before one of them writes
    with pytest.raises(StoreError, match="another entry 2 of this kit"):
        one.ask("taken_down", "OH-S001-7")
    with pytest.raises(StoreError, match="another entry 2"):
        opened(0)
    branch = opened(0, go_on=True)
    assert branch.book.laptop != one.book.laptop        # one serial never means two entries
    branch.done("taken_down", "OH-S001-7")
    assert opened(0).book.laptop == branch.book.laptop


class Lid:
    """A laptop between phones' laptop and server: passes all on until its lid is shut, and then keeps silent."""

    def __init__(self, port):
        self.port, self.open, self._ends = port, True, []
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.own_port = self._listening.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self):
        with suppress(OSError):
            while True:
                pair = self._listening.accept()[0], socket.create_connection(("127.0.0.1", self.port))
                self._ends += pair
                for one, other in (pair, pair[::-1]):
                    threading.Thread(target=self._pass, args=(one, other), daemon=True).start()

    def _pass(self, source, target):
        with suppress(OSError):
            while data := source.recv(65536):
                if self.open:
                    target.sendall(data)
            target.shutdown(socket.SHUT_WR)

    def cut(self):
        """As a firewall that forgets a connection, and says so to neither end's question."""
        for end in self._ends:
            end.close()

    def remove(self):
        self._listening.close()
        self.cut()


@pytest.fixture
def lid(shared_server):
    made = Lid(shared_server.port)
    yield made
    made.remove()


def test_a_server_that_falls_silent_is_given_up_and_found_again(opened, shared_server, database, site, lid, tmp_path,
                                                                monkeypatch):
    monkeypatch.setattr(connecting, "ANSWER_WITHIN_S", 0.6)
    address = f"postgresql://site@127.0.0.1:{lid.own_port}/{database}?gssencmode=disable"
    with SiteBook(site, SharedStore.open(address, tmp_path / "log.sqlite", site.kit)) as book:
        crew = Crew(book)
        crew.done("fitted", "OH-S001-7")
        lid.open = False
        began = time.monotonic()
        with pytest.raises(StoreError, match="does not answer"):
            crew.ask("fitted", "OH-S002-5")
        assert time.monotonic() - began < 3.5                   # a phone gives up after 4 s
        lid.open = True
        crew.sent -= 1
        assert crew.done("fitted", "OH-S002-5").number == 2
        lid.cut()                                               # while nobody wrote
        assert crew.done("fitted", "OH-S003-3").number == 3


def test_photos_are_seen_at_all_laptops_until_they_are_erased(opened, owner, shared_server, database, site, tmp_path):
    one, two = opened(0).book, opened(1).book
    photo = b"\xff\xd8 bark \xff\xd9"
    digest = hashlib.sha256(photo).hexdigest()
    assert one.keep_photo(digest, photo)
    assert one.keep_photo(digest, photo)                        # a phone that sends again
    assert two.photo(digest) == photo
    home = tmp_path / "home"
    home.mkdir()
    from_server(shared_server.address("site", database), home, site.kit)
    assert (home / PHOTO_FOLDER / f"{digest}.jpg").read_bytes() == photo
    for wrong in (("0" * 64, photo), (hashlib.sha256(bytes(MOST_PHOTO_BYTES + 1)).hexdigest(),
                                      bytes(MOST_PHOTO_BYTES + 1))):
        with pytest.raises(StoreError, match="did not take it"):
            one.keep_photo(*wrong)
    for statement in ("UPDATE photos SET content = ''", "DELETE FROM photos", "TRUNCATE photos"):
        with pytest.raises(sa.exc.DBAPIError, match="never changed"):
            owner(statement)
    two.forget([digest])
    one.catch_up()
    assert one.photo(digest) is None
    assert owner("SELECT * FROM photos") == []
    one.keep_photo(digest, photo)
    assert owner("SELECT * FROM photos") == []


def test_a_photo_of_damage_is_shown_by_the_other_laptop(opened, tmp_path):
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "sienna").save(picture, "JPEG")
    phones = []
    for number in range(2):
        app = create_app(opened(number).book, clock=lambda: MORNING, photos=tmp_path / f"photos-{number}")
        phones.append(at_the_laptop(app).test_client())
    form = {"key": "photo-of-a-split-1", "what": "split", "severity": "slight",
            "photo": (io.BytesIO(picture.getvalue()), "x.jpg")}
    assert phones[0].post("/damage/OH-S001-7", data=form, content_type="multipart/form-data").status_code == 303
    other = phones[1].application.extensions[SITE].book
    other.catch_up()
    digest = other.state.entries[-1].data["photo"]
    answer = phones[1].get(f"/photos/{digest}.jpg")
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    assert hashlib.sha256(answer.data).hexdigest() == digest
    assert not (tmp_path / "photos-0").exists()         # what one laptop alone has, the others cannot show
    other.forget([digest])
    assert {phone.get(f"/photos/{digest}.jpg").status_code for phone in phones} == {404}


def test_tables_of_an_older_program_get_room_for_photos(opened, owner, shared_server, database, site, tmp_path):
    opened().done("fitted", "OH-S001-7")
    owner("DROP TABLE photos")
    with pytest.raises(StoreError, match=r"no room for photos yet.*raisebook log copy"):
        opened(1)
    assert to_server(tmp_path, site.kit, shared_server.address(database=database), role="site") == 0
    assert opened(1).book.last_number == 1


def test_a_name_that_is_forgotten_is_gone_from_pages_of_other_laptops(opened):
    one, two = opened(0), opened(1)
    one.ask("stopped", words="gust")
    request = Request(key="typed", kind="stopped", who="anna", sender="phone 9", data={})
    one.book.submit(request, one.now)
    two.book.catch_up()
    assert two.book.state.stop is not None
    one.book.forget(two.book.names.known)
    two.book.catch_up()
    assert "anna" not in repr(two.book.state) + repr(two.book.entries())
