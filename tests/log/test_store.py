"""The file: history cannot be changed, a file in trouble is named in words, versions are kept apart."""

import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.log import store as store_module
from fieldapp.log import tables
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Request
from fieldapp.log.store import Store, read_log


@pytest.fixture
def log(crew):
    """A log with two entries, closed."""
    crew.done("fitted", "OH-S001-7")
    crew.done("fitted", "OH-S002-5")
    crew.book.close()
    return crew.book._store.path


@pytest.mark.parametrize("statement", [
    "UPDATE entries SET who = 'me'", "DELETE FROM entries", "UPDATE versions SET version = 0", "DELETE FROM versions",
    "INSERT OR REPLACE INTO entries SELECT number, key, 'eaten', part, place, who, sender, at, sent_at, order_ms, "
    "data, digest, imported FROM entries",
])
def test_the_database_refuses_changed_history(log, statement):
    before = read_log(log)
    with closing(sqlite3.connect(log)) as foreign, pytest.raises(sqlite3.IntegrityError, match="never changed"):
        foreign.execute(statement)
    assert read_log(log) == before


def test_the_database_refuses_a_key_twice(log):
    columns = "key, kind, part, place, who, sender, at, sent_at, order_ms, data, digest, imported"
    with closing(sqlite3.connect(log)) as foreign, pytest.raises(sqlite3.IntegrityError, match="UNIQUE"):
        foreign.execute(f"INSERT INTO entries ({columns}) "
                        f"SELECT {columns.replace('digest', 'digest || 1')} FROM entries")


def test_durable_settings(log):
    store = Store.open(log)
    with store._engine.connect() as connection:
        said = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "synchronous", "foreign_keys", "fullfsync")}
    store.close()
    assert said == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "fullfsync": 1}


def message_of(kit_and_plan, log):
    with pytest.raises(StoreError) as caught:
        SiteBook.open(kit_and_plan.kit, kit_and_plan.plan, log)
    return str(caught.value).replace(str(log), "log.sqlite")


def test_a_second_process_is_kept_out(site, log):
    code = ("import sys; from pathlib import Path; from fieldapp.log.store import Store; "
            "store = Store.open(Path(sys.argv[1])); print('open', flush=True); sys.stdin.read()")
    with subprocess.Popen([sys.executable, "-c", code, str(log)], stdin=-1, stdout=-1) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"open\n"
        assert message_of(site, log) == ("the log log.sqlite is open in another raisebook on this computer. "
                                         "Close that one first; two must not write one log")
        assert len(read_log(log)) == 2
        other.communicate()
    SiteBook.open(site.kit, site.plan, log).close()


def test_locked_by_a_foreign_program_then_free_again(site, log, monkeypatch):
    monkeypatch.setattr(Store.open.__func__, "__kwdefaults__", {"wait_s": 0.05})
    with SiteBook.open(site.kit, site.plan, log) as book, closing(sqlite3.connect(log)) as foreign:
        foreign.execute("BEGIN IMMEDIATE")
        request = Request("k", "fitted", "OH-S003-3")
        with pytest.raises(StoreError, match=r"is locked by another program \(database is locked\)\. Close it and send "
                                             "again; nothing was half-written"):
            book.submit(request, book.state.entries[-1].at)
        assert not book.state.is_fitted("S003")
        assert len(book.entries()) == 2
        foreign.execute("ROLLBACK")
        assert book.submit(request, book.state.entries[-1].at).number == 3


def test_read_only_file(site, log):
    with SiteBook.open(site.kit, site.plan, log) as book:
        sa.event.listen(book._store._engine, "begin", lambda c: c.exec_driver_sql("PRAGMA query_only = ON"))
        with pytest.raises(StoreError, match=r"cannot be opened or written \(attempt to write a readonly "
                                             r"database\)\. Check the rights of the file and its folder, "
                                             "and send again; reading goes on"):
            book.submit(Request("k", "fitted", "OH-S003-3"), book.state.entries[-1].at)
        assert book.state.fitted == {"S001": "OH-S001-7", "S002": "OH-S002-5"}


def write_on(book, words, now):
    """Fill the file."""
    for number in range(100):
        kind = "found" if number % 2 else "missing"
        book.submit(Request(f"k {number}", kind, "OH-S003-3", data={"words": words}), now)


def test_full_disk_then_room_again(site, log):
    with SiteBook.open(site.kit, site.plan, log) as book:
        pages = {"limit": 1}
        sa.event.listen(book._store._engine, "begin",
                        lambda c: c.exec_driver_sql(f"PRAGMA max_page_count = {pages['limit']}"))
        now, words = book.state.entries[-1].at, "long words " * 150
        with pytest.raises(StoreError, match=r"is full \(database or disk is full\)\. Make room and send again"):
            write_on(book, words, now)
        kept = book.entries()
        assert read_log(log) == kept
        pages["limit"] = 100_000
        assert book.submit(Request("m", "fitted", "OH-S004-1"), now).number == len(kept) + 1


@pytest.mark.parametrize("spoil", ["no database", "torn page", "row that is no entry"])
def test_damaged_file(site, log, spoil):
    if spoil == "no database":
        log.write_bytes(b"once upon a time " * 500)
    elif spoil == "torn page":
        content = bytearray(log.read_bytes())
        content[4096 * 2:4096 * 3] = bytes(range(256)) * 16
        log.write_bytes(content)
    else:
        with closing(sqlite3.connect(log)) as foreign, foreign:
            foreign.execute("INSERT INTO entries (key, kind, who, sender, at, order_ms, data, digest, imported) "
                            "VALUES ('x', 'fitted', '', '', 'yesterday', 1, '{}', 'd', 0)")
    said = message_of(site, log)
    assert said.startswith("the log log.sqlite is damaged or is no log (")
    assert said.endswith("). Keep the file, and restore the newest backup in its place: raisebook restore")


def test_newer_file_is_refused_with_both_numbers(site, log, monkeypatch):
    monkeypatch.setattr(tables, "MIGRATIONS", [*tables.MIGRATIONS, ("later", lambda connection: None)])
    Store.open(log).close()
    monkeypatch.undo()
    assert message_of(site, log) == ("the log log.sqlite has version 2; this program reads up to version 1. "
                                     "Install the newer program that wrote it; the file was left as it is")
    with pytest.raises(StoreError, match="has version 2"):
        read_log(log)


def test_older_file_opens_after_migration_and_says_so(log, monkeypatch):
    def add_note(connection):
        connection.execute(sa.text("ALTER TABLE entries ADD COLUMN note TEXT"))

    store_before = read_log(log)
    monkeypatch.setattr(tables, "MIGRATIONS", [*tables.MIGRATIONS, ("note added", add_note)])
    store = Store.open(log)
    assert len(store.entries()) == 2
    with store._engine.connect() as connection:
        assert connection.execute(sa.select(tables.versions.c["version", "words"])).all() == [
            (1, "entries kept"), (2, "note added")]
    store.close()
    monkeypatch.undo()
    assert read_log(log.with_name("log.version-1.sqlite")) == store_before


def test_a_migration_that_fails_leaves_the_file_as_it_was(log, monkeypatch):
    def fail(connection):
        connection.execute(sa.text("ALTER TABLE entries ADD COLUMN note TEXT"))
        connection.execute(sa.text("no such statement"))

    before = read_log(log)
    monkeypatch.setattr(tables, "MIGRATIONS", [*tables.MIGRATIONS, ("broken", fail)])
    with pytest.raises(StoreError):
        Store.open(log)
    monkeypatch.undo()
    assert read_log(log) == before
    Store.open(log).close()


def test_a_log_nobody_wrote_yet(tmp_path):
    with pytest.raises(StoreError, match="there is no log"):
        read_log(tmp_path / "log.sqlite")
    assert store_module.WAIT_S > 0


def test_a_closed_log_takes_nothing(site, log):
    book = SiteBook.open(site.kit, site.plan, log)
    now = book.state.entries[-1].at
    book.close()
    with pytest.raises(StoreError, match=r"the log log\.sqlite is closed, because the server is stopping\. Send again"):
        book.submit(Request("k", "fitted", "OH-S003-3"), now)
    assert len(read_log(log)) == 2
