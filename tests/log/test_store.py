"""The file: history cannot be changed, a file in trouble is named in words, what is known is not lost."""

import os
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from dataclasses import replace

import pytest
import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.log import store as store_module
from fieldapp.log.backup import import_lines
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Request
from fieldapp.log.reading import read_log
from fieldapp.log.store import Store
from fieldapp.log.turns import Turns


@pytest.fixture
def log(crew):
    """A log with two entries, closed."""
    crew.done("fitted", "OH-S001-7")
    crew.done("fitted", "OH-S002-5")
    crew.book.close()
    return crew.book._store.path


COLUMNS = "key, kind, part, place, who, sender, at, sent_at, order_ms, data, digest, imported"
EATEN = COLUMNS.replace("kind", "'eaten'", 1)
"""A row of the log as another would have it."""
OTHER_DIGEST = EATEN.replace("digest", "digest || 1")
OTHER = OTHER_DIGEST.replace("imported", "1")
"""One that has nothing in common with the row but what is said beside it."""
ROWS = (f"(number, {COLUMNS}) SELECT number, {OTHER} FROM entries", f"({COLUMNS}) SELECT {EATEN} FROM entries",
        f"({COLUMNS}) SELECT {EATEN.replace('imported', '1')} FROM entries",
        f"({COLUMNS}) SELECT {OTHER_DIGEST} FROM entries",
        f"(number, {COLUMNS}) SELECT -1, {OTHER} FROM entries LIMIT 1")
INSERTS = ("INSERT", "INSERT OR REPLACE", "REPLACE", "INSERT OR IGNORE", "INSERT OR FAIL", "INSERT OR ABORT")
CHANGES = (
    "UPDATE entries SET who = 'me'", "UPDATE OR REPLACE entries SET number = 2 WHERE number = 1", "DELETE FROM entries",
    "UPDATE versions SET version = 0", "DELETE FROM versions", "UPDATE kit SET mark = ''", "DELETE FROM kit",
    "INSERT INTO kit VALUES ('{}')", "INSERT OR REPLACE INTO versions VALUES (1, 'eaten')",
    *(f"{insert} INTO entries {row}" for insert in INSERTS for row in ROWS),
    *(f"INSERT INTO entries {row} WHERE 1 ON CONFLICT{target} DO UPDATE SET kind = 'eaten'" for row in ROWS[:4]
      for target in ("", "(number)", "(digest)", "(key) WHERE imported = 0")))


def test_a_foreign_program_cannot_change_history(site, log):
    SiteBook.open(site.kit, site.plan, log).close()      # gives the log the mark of its kit
    before = log_rows(log)
    for statement in CHANGES:
        with closing(sqlite3.connect(log)) as foreign:
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                foreign.execute(statement)
            foreign.commit()
        assert log_rows(log) == before, statement


def test_our_own_connection_cannot_either(site, log):
    SiteBook.open(site.kit, site.plan, log).close()
    before, store = log_rows(log), Store.open(log)
    for statement in CHANGES:
        with pytest.raises(StoreError, match="never changed"), store._writing() as connection:
            connection.exec_driver_sql(statement)
        assert log_rows(log) == before, statement
    store.close()


def log_rows(log):
    """Everything that the file holds."""
    with closing(sqlite3.connect(log)) as foreign:
        return [foreign.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall()
                for table in ("entries", "versions", "kit")]


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
    monkeypatch.setattr(store_module, "WRITE_WAIT_S", 0.05)
    with SiteBook.open(site.kit, site.plan, log) as book, closing(sqlite3.connect(log)) as foreign:
        foreign.execute("BEGIN IMMEDIATE")
        request = Request("k", "fitted", "OH-S003-3")
        with pytest.raises(StoreError, match=r"is locked by another program \([^)]+\)\. Close it and send "
                                             "again; nothing was half-written"):
            book.submit(request, book.state.entries[-1].at)
        assert not book.state.is_fitted("S003")
        assert len(book.entries()) == 2
        foreign.execute("ROLLBACK")
        assert book.submit(request, book.state.entries[-1].at).number == 3


def test_read_only_file(site, log):
    with SiteBook.open(site.kit, site.plan, log) as book:
        sa.event.listen(book._store._engine, "begin", lambda c: c.exec_driver_sql("PRAGMA query_only = ON"))
        with pytest.raises(StoreError, match=r"cannot be opened or written \([^)]+\)\. "
                                             r"Check the rights of the file and its folder, "
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
        with pytest.raises(StoreError, match=r"is full \([^)]+\)\. Make room and send again"):
            write_on(book, words, now)
        kept = book.entries()
        assert read_log(log) == kept
        pages["limit"] = 100_000
        assert book.submit(Request("m", "fitted", "OH-S004-1"), now).number == len(kept) + 1


def spoil_pages(log):
    """Overwrite all pages but the first in the file, as a failing disk does; its length stays."""
    pages = log.stat().st_size // 4096
    with log.open("rb+") as file:
        file.seek(4096)
        file.write(bytes(range(256)) * 16 * (pages - 1))


@pytest.mark.parametrize("spoil", ["no database", "torn pages", "row that is no entry"])
def test_damaged_file(site, log, spoil):
    if spoil == "no database":
        log.write_bytes(b"once upon a time " * 500)
    elif spoil == "torn pages":
        spoil_pages(log)
    else:
        with closing(sqlite3.connect(log)) as foreign, foreign:
            foreign.execute("INSERT INTO entries (key, kind, who, sender, at, order_ms, data, digest, imported) "
                            "VALUES ('x', 'fitted', '', '', 'yesterday', 1, '{}', 'd', 0)")
    said = message_of(site, log)
    assert said.startswith("the log log.sqlite is damaged or is no log (")
    assert said.endswith("). Keep the file, and restore the newest backup in its place: raisebook restore. What can "
                         "still be read of it, raisebook log export --damaged brings out")


def test_a_log_nobody_wrote_yet(tmp_path):
    with pytest.raises(StoreError, match="there is no log"):
        read_log(tmp_path / "log.sqlite")


def test_a_closed_log_takes_nothing(site, log):
    book = SiteBook.open(site.kit, site.plan, log)
    now = book.state.entries[-1].at
    book.close()
    closed = r"the log log\.sqlite is closed, because the server is stopping\. Send again"
    with pytest.raises(StoreError, match=closed):
        book.submit(Request("k", "fitted", "OH-S003-3"), now)
    with pytest.raises(StoreError, match=closed):
        book._store.entries()
    book.close()
    assert len(read_log(log)) == 2


def test_closing_waits_for_the_write_under_way(site, log):
    """Entries answered before the close are there, all others were refused, and nobody else got the lock meanwhile."""
    store, answered, refused = Store.open(log, site.kit), [], []
    some = store.entries()[0]

    def write(writer):
        for turn in range(1000):
            try:
                answered.append(store.append(replace(some, key=f"{writer} {turn}")).key)
            except StoreError as error:
                refused.append(error.fault)
                return

    threads = [threading.Thread(target=write, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    time.sleep(0.1)
    store.close()
    with closing(Store.open(log, site.kit)) as again:
        there = [entry.key for entry in again.entries()]
    for thread in threads:
        thread.join()
    assert refused == ["closed"] * 6
    assert sorted(answered) == sorted(there[2:])


@pytest.mark.parametrize("when", ["idle", "stopped"])
def test_a_copy_of_the_file_alone_has_every_entry(site, log, tmp_path, monkeypatch, when):
    """Also with a reader beside it, for whom the database keeps the other file at the stop."""
    monkeypatch.setattr(store_module, "QUIET_S", 0.05 if when == "idle" else 60.0)
    book = SiteBook.open(site.kit, site.plan, log)
    with closing(sqlite3.connect(log)) as reader:
        assert reader.execute("SELECT count(*) FROM entries").fetchone() == (2,)
        for number in range(60):
            book.submit(Request(f"l {number}", "label_reprinted", "OH-S004-1"), book.state.entries[-1].at)
        if when == "stopped":
            book.close()
        copy = tmp_path / "alone.sqlite"
        for _ in range(100):
            shutil.copyfile(log, copy)
            if when == "stopped" or len(read_log(copy)) == 62:
                break
            time.sleep(0.05)
        assert len(read_log(copy)) == 62
        book.close()


def test_an_entry_does_not_wait_for_the_copying_of_those_before_it(site, log, monkeypatch):
    monkeypatch.setattr(store_module, "QUIET_S", 0.0)
    at_work, go_on = threading.Event(), threading.Event()
    with SiteBook.open(site.kit, site.plan, log) as book:
        settle = book._store._settle

        def slow():
            at_work.set()
            assert go_on.wait(10.0)
            settle()

        book._store._settling._work = slow
        now = book.state.entries[-1].at
        book.submit(Request("k", "fitted", "OH-S003-3"), now)
        assert at_work.wait(10.0)
        assert book.submit(Request("l", "fitted", "OH-S004-1"), now).number == 4
        go_on.set()


def attempt(book, number, now):
    """One more entry, or what was said of it."""
    try:
        return book.submit(Request(f"l {number}", "label_reprinted", "OH-S004-1"), now)
    except StoreError as error:
        return str(error)


@pytest.mark.parametrize("what", ["log.sqlite", "log.sqlite-wal"])
def test_a_file_taken_away_while_it_is_served_takes_nothing_more(site, log, what):
    """What was written into a file that nobody can open again would be lost, and the phone told otherwise."""
    book = SiteBook.open(site.kit, site.plan, log)
    now = book.state.entries[-1].at
    assert book.submit(Request("k", "fitted", "OH-S003-3"), now).number == 3
    os.replace(log.with_name(what), log.with_name("taken away"))
    with pytest.raises(StoreError, match="was moved, deleted or replaced while it was in use") as caught:
        book.submit(Request("l", "fitted", "OH-S004-1"), now)
    assert caught.value.fault == book.halt.fault == "gone"
    rescued = log.with_name("log-rescued.jsonl")
    assert str(rescued) in str(caught.value)
    assert import_lines(rescued.read_text().splitlines(), site.kit) == book.entries()
    book.close()


def test_a_page_spoiled_while_it_is_served_is_noticed_and_nothing_known_is_lost(site, log, monkeypatch):
    monkeypatch.setattr(store_module, "CHECK_EVERY", 5)
    book = SiteBook.open(site.kit, site.plan, log)
    now = book.state.entries[-1].at
    book.submit(Request("k", "fitted", "OH-S003-3"), now)
    spoil_pages(log)
    said = [outcome for number in range(10) if isinstance(outcome := attempt(book, number, now), str)]
    assert len(said) >= 6
    assert all("is damaged or is no log" in words and "log-rescued.jsonl" in words for words in said)
    known = book.entries()
    assert book.state.is_fitted("S003")
    book.close()
    log.unlink()
    with SiteBook.open(site.kit, site.plan, log, go_on=True) as again:
        again.take_in(import_lines(log.with_name("log-rescued.jsonl").read_text().splitlines(), site.kit))
        assert again.entries() == known


def test_many_who_write_do_not_keep_a_locked_log_waiting(site, log, monkeypatch):
    """The first waits for the lock, the others fail soon, so that the threads are free for those that read."""
    monkeypatch.setattr(store_module, "WRITE_WAIT_S", 0.4)
    with SiteBook.open(site.kit, site.plan, log) as book, closing(sqlite3.connect(log)) as foreign:
        now = book.state.entries[-1].at
        foreign.execute("BEGIN EXCLUSIVE")
        start = time.monotonic()
        for number in range(5):
            with pytest.raises(StoreError) as caught:
                book.submit(Request(f"k {number}", "fitted", "OH-S003-3"), now)
            assert caught.value.fault == "locked"
        assert time.monotonic() - start < 5 * 0.4
        foreign.execute("ROLLBACK")
        assert book.submit(Request("k 0", "fitted", "OH-S003-3"), now).number == 3
        assert book.halt is None


def test_turns_come_in_the_order_of_coming_and_who_gives_up_holds_up_nobody():
    turns, order, threads = Turns(), [], []

    def wait(name, within_s):
        with turns.turn(within_s) as ours:
            order.append((name, ours))

    with turns.turn() as first:
        assert first
        for number in range(6):
            threads.append(threading.Thread(target=wait, args=(number, 0.01 if number == 2 else 30.0)))
            threads[-1].start()
            if number == 2:
                threads[-1].join()
            while len(turns._waiting) < sum(thread.is_alive() for thread in threads):
                time.sleep(0.001)
    for thread in threads:
        thread.join()
    assert order == [(2, False), (0, True), (1, True), (3, True), (4, True), (5, True)]
    with turns.turn(0.0) as ours:
        assert ours
