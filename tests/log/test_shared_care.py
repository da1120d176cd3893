"""A database server cared for by its own tools: backup and restore, a disk that fills up, a standby that takes over.

Each needs a server of its own, so they run in the check of the log's rules on a database server, and in the bench.
"""

import hashlib
import os
import shutil
import subprocess
import threading
import time
from contextlib import suppress
from pathlib import Path
from tempfile import mkdtemp

import pytest
import sqlalchemy as sa
from log.conftest import MORNING, Crew
from log.postgres import Server, binaries

from fieldapp.base.errors import StoreError
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import fold
from fieldapp.log.shared.connecting import engine_for
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.shared.tables import schema_of

pytestmark = [
    pytest.mark.skipif(binaries() is None, reason="no PostgreSQL server here: apt-get install postgresql"),
    pytest.mark.skipif(os.environ.get("RAISEBOOK_TEST_STORE") != "shared",
                       reason="in the check of the log's rules on a database server: RAISEBOOK_TEST_STORE=shared")]

PHOTO = b"\xff\xd8 a split arm \xff\xd9"
DIGEST = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture
def started():
    """Starts servers of this test alone; they are gone after it."""
    servers = []

    def start(**how):
        servers.append(Server(**how))
        if "copy_of" not in how:
            servers[-1].ask("CREATE ROLE site LOGIN")
        return servers[-1]

    yield start
    for server in servers:
        server.remove()


@pytest.fixture
def book_at(site, tmp_path):
    """Opens the log at an address for a laptop; closed at the end."""
    books = []

    def opened(address, laptop="a"):
        folder = tmp_path / laptop
        folder.mkdir(exist_ok=True)
        books.append(SiteBook(site, SharedStore.open(address, folder / "log.sqlite", site.kit)))
        return books[-1]

    yield opened
    for book in books:
        book.close()


def refused(address, kit, statement, words):
    engine = engine_for(address, schema_of(kit))
    try:
        with pytest.raises(sa.exc.DBAPIError, match=words), engine.begin() as connection:
            connection.execute(sa.text(statement))
    finally:
        engine.dispose()


def test_a_dump_serves_on_another_server_with_guards_and_rights(started, book_at, kit, site):
    first, second = started(), started()
    database = first.database(kit)
    book = book_at(first.address("site", database))
    crew = Crew(book)
    crew.done("fitted", "OH-S001-7")
    crew.done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad")
    crew.done("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=2)
    book.keep_photo(DIGEST, PHOTO)
    dump = first.folder / "yard.dump"
    first.run("pg_dump", "-Fc", "-f", dump, "-U", "owner", "-h", first.folder, "-p", first.port, database)
    shutil.copy(dump, second.folder / dump.name)
    second.ask("CREATE DATABASE yard")
    second.run("pg_restore", "-d", "yard", "-U", "owner", "-h", second.folder, "-p", second.port,
               second.folder / dump.name)
    again = book_at(second.address("site", "yard"), "b")
    assert (again.entries(), again.names) == (book.entries(), book.names)
    assert again.state == book.state == fold(site.kit, again.entries())
    assert again.photo(DIGEST) == PHOTO
    for statement in ("UPDATE entries SET who = 'me'", "DELETE FROM entries", "UPDATE counter SET last = 9",
                      "DELETE FROM photos"):
        refused(second.address(database="yard"), kit, statement, "never changed")
    refused(second.address("site", "yard"), kit, "DELETE FROM entries", "permission denied")
    assert Crew(again, 20).done("fitted", "OH-S002-5").number == 4
    crew.done("fitted", "OH-S003-3")
    with pytest.raises(StoreError, match=r"fewer entries|another entry"):      # answered after the dump was made
        book_at(second.address("site", "yard"))


@pytest.fixture
def small_disk():
    """A folder on a disk of 64 MB."""
    place = Path(mkdtemp(prefix="pg"))
    words = ["mount", "-t", "tmpfs", "-o", "size=64m,mode=700", "none", str(place)]
    if not shutil.which("mount") or subprocess.run(words, capture_output=True, check=False).returncode:
        place.rmdir()
        pytest.skip("no file system may be mounted here")
    yield place
    subprocess.run(["umount", "--lazy", str(place)], check=True)
    shutil.rmtree(place, ignore_errors=True)


def write_until_full(crew):
    for number in range(4000):
        crew.done("damaged", "OH-H01-6", what="soaked", severity="slight", words=f"{number} {'x' * 180}")


def test_a_full_disk_keeps_nothing_half_and_goes_on_once_there_is_room(small_disk, book_at, kit, site):
    server = Server(folder=small_disk, max_wal_size="2MB", min_wal_size="2MB")
    try:
        server.ask("CREATE ROLE site LOGIN")
        database = server.database(kit)
        crew = Crew(book_at(server.address("site", database)))
        crew.done("fitted", "OH-S001-7")
        filler = small_disk / "filler"
        with suppress(OSError):         # the server writes beside it: there may be less room than there was
            filler.write_bytes(bytes(max(0, shutil.disk_usage(small_disk).free - 300_000)))
        with pytest.raises(StoreError) as caught:
            write_until_full(crew)
        assert caught.value.fault in ("full_there", "away"), caught.value
        assert "phones keep what they send" in str(caught.value)
        answered = crew.book.last_number
        filler.unlink()
        if not (server.data / "postmaster.pid").exists():       # it ends itself where its own journal finds no room
            server.start()
        server.wait()
        crew.sent -= 1                                          # the phone sends the same again
        crew.done("damaged", "OH-H01-6", what="soaked", severity="slight", words="again")
        kept = book_at(server.address("site", database), "b").entries()
        assert [entry.number for entry in kept] == list(range(1, len(kept) + 1))
        assert len(kept) == answered + 1 == len({entry.key for entry in kept})
        print(f"\nfull after {answered} entries: {caught.value.fault}")
    finally:
        server.remove()


class Phone(threading.Thread):
    """Writes without pause, and sends each entry until it is answered."""

    def __init__(self, number, books, part, until):
        super().__init__()
        self.number, self.books, self.part, self.until = number, books, part, until
        self.answered, self.waits = {}, []

    def run(self):
        turn = 0
        while not self.until.is_set():
            key = f"phone {self.number} turn {turn}"
            request = Request(key=key, kind="damaged", part=self.part, sender=f"phone {self.number}",
                              data={"what": "split", "severity": "slight"})
            try:
                outcome = self.books[self.number % len(self.books)].submit(request, MORNING)
            except StoreError as error:
                self.waits.append(error.fault)
                time.sleep(0.05)
                continue
            assert isinstance(outcome, Entry), outcome
            self.answered[key] = outcome.number
            turn += 1


def two_hosts(first, second, database):
    """As laptops are told of both."""
    return (f"postgresql://site@/{database}?host={first.folder},{second.folder}&port={first.port},{second.port}"
            "&target_session_attrs=read-write")


def test_a_standby_with_synchronous_commit_takes_over_while_phones_write(started, book_at, kit, site):
    first = started(fsync="on")
    database = first.database(kit)
    second = started(copy_of=first, fsync="on")
    first.ask("ALTER SYSTEM SET synchronous_standby_names = '*'")
    first.ask("SELECT pg_reload_conf()")
    while first.told("SELECT count(*) FROM pg_stat_replication WHERE sync_state = 'sync'") != 1:
        time.sleep(0.05)
    address, until = two_hosts(first, second, database), threading.Event()
    books = [book_at(address, laptop) for laptop in "ab"]
    phones = [Phone(number, books, part.id, until) for number, part in enumerate(
        [part for part in site.kit.parts if part.kind == "strut"][:8])]
    for phone in phones:
        phone.start()
    time.sleep(1.0)
    first.stop("immediate")
    before, began = sum(len(phone.answered) for phone in phones), time.monotonic()
    second.run("pg_ctl", "-D", second.data, "-w", "promote")
    while sum(len(phone.answered) for phone in phones) < before + 50:
        assert time.monotonic() - began < 30, books[0].halt
        time.sleep(0.05)
    assert {fault for phone in phones for fault in phone.waits} <= {"away", "busy"}
    took_s = time.monotonic() - began
    until.set()
    for phone in phones:
        phone.join()
    kept = {entry.key: entry.number for entry in book_at(address, "c").entries()}
    answered = {key: number for phone in phones for key, number in phone.answered.items()}
    assert answered.items() <= kept.items()
    assert sorted(kept.values()) == list(range(1, len(kept) + 1))
    print(f"\n{before} answered before, {len(answered)} in all, {len(kept)} kept; went on after {took_s:.1f} s, "
          f"{sum(len(phone.waits) for phone in phones)} told to wait")
    first.start()                               # the old one is back, and takes itself for the one that counts
    with pytest.raises(StoreError, match=r"fewer entries|another entry"):
        book_at(first.address("site", database))
    with pytest.raises(StoreError, match="does not answer"):        # a laptop that knows nothing of the other: with no
        book_at(first.address("site", database), "d")               # standby of its own nothing is written there


def test_without_its_standby_nothing_is_answered_and_all_is_written_once(started, book_at, kit):
    first = started()
    database = first.database(kit)
    second = started(copy_of=first)
    first.ask("ALTER SYSTEM SET synchronous_standby_names = '*'")
    first.ask("SELECT pg_reload_conf()")
    crew = Crew(book_at(first.address("site", database)))
    crew.done("fitted", "OH-S001-7")
    second.stop("immediate")
    with pytest.raises(StoreError, match=r"does not answer.*phones keep what they send"):
        crew.ask("fitted", "OH-S002-5")
    second.start()
    time.sleep(1.0)
    crew.sent -= 1
    assert crew.done("fitted", "OH-S002-5").number == 2
    assert crew.book.entries()[-1].serial == 2
