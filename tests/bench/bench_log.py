"""What the log costs, each figure as a ratio to the nearest limit measured in the same run.

Run with: pytest -m bench tests/bench/bench_log.py -s
"""

import json
import sqlite3
import threading
import time
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.log import tables
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.lines import FIELDS, as_record, digest_of, to_line
from fieldapp.log.reading import read_log
from fieldapp.log.rows import put_mark
from fieldapp.log.rules import Setting, decide
from fieldapp.log.stick import Stick
from fieldapp.plan.order import level_order

pytestmark = pytest.mark.bench
NOW = datetime(2026, 5, 1, 10, 14, tzinfo=UTC)
WRITERS, EACH = 16, 40


def site_of(frequency, cut):
    design = Design.model_validate({"frame": {"frequency": frequency, "cut": cut, "diameter_m": 2.4 * frequency}})
    kit = build_kit(design)
    return Setting(kit, level_order(kit.frame, design))


@pytest.fixture(scope="module")
def site():
    return site_of(4, "1/2")


def life(site, count):
    """A log of `count` entries: parts fitted and taken down, round and round."""
    state = fold(site.kit, ())
    parts = [part.id for part in site.kit.parts if part.made_for]
    for number in range(count):
        kind = "fitted" if number // len(parts) % 2 == 0 else "taken_down"
        request = Request(f"key {number}", kind, parts[number % len(parts)])
        outcome = decide(site, state, request, NOW + timedelta(seconds=number))
        assert isinstance(outcome, Entry)
        state = apply(state, outcome)
    return state


def in_threads(work):
    """Seconds for all writers to finish `work(writer)`."""
    threads = [threading.Thread(target=work, args=(number,)) for number in range(WRITERS)]
    start = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - start


def bare_inserts_s(path):
    """The limit: the database alone, one durable row a transaction, under one lock."""
    lock = threading.Lock()
    with closing(sqlite3.connect(path, isolation_level=None, check_same_thread=False)) as database:
        database.executescript("PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; CREATE TABLE t (a TEXT)")

        def write(number):
            for _ in range(EACH):
                with lock:
                    database.execute("INSERT INTO t VALUES (?)", ("x" * 300,))

        return in_threads(write)


def test_admitting_against_bare_inserts(site, tmp_path):
    bare_s = bare_inserts_s(tmp_path / "bare.sqlite")
    parts = [part.id for part in site.kit.parts if part.made_for]
    with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite") as book:
        def write(number):
            for turn in range(EACH):
                outcome = book.submit(Request(f"{number}.{turn}", "fitted" if turn % 2 == 0 else "taken_down",
                                              parts[number]), NOW)
                assert isinstance(outcome, Entry)

        ours_s = in_threads(write)
    total = WRITERS * EACH
    with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite") as book:
        said = sum(len(to_line(entry).encode()) + 1 for entry in book.entries())
    on_disk = (tmp_path / "log.sqlite").stat().st_size
    print(f"\n{on_disk / total:.0f} bytes an entry on disk, {said / total:.0f} exported, ratio {on_disk / said:.2f}")
    print(f"\n{WRITERS} writers: {total / ours_s:.0f} entries/s, bare durable inserts {total / bare_s:.0f}/s, "
          f"ratio {ours_s / bare_s:.2f}")
    assert ours_s / bare_s < 10.0      # an entry is signed, and where the log ends is written beside it
    assert on_disk / said < 4.0


def test_admitting_with_and_without_a_stick(site, tmp_path):
    """Two books in turn, each first as often as the other, so that both meet the same disk."""
    parts, spent = [part.id for part in site.kit.parts if part.made_for], {True: 0.0, False: 0.0}
    (tmp_path / "stick").mkdir()

    def fill(book, turn):
        def write(number):
            for step in range(EACH):
                outcome = book.submit(Request(f"{number}.{turn}.{step}", "label_reprinted", parts[number]), NOW)
                assert isinstance(outcome, Entry)

        return in_threads(write)

    for name in ("alone", "followed"):
        (tmp_path / name).mkdir()
    with (SiteBook.open(site.kit, site.plan, tmp_path / "alone" / "log.sqlite") as alone,
          SiteBook.open(site.kit, site.plan, tmp_path / "followed" / "log.sqlite") as followed):
        stick = Stick(followed, tmp_path / "followed", tmp_path / "stick", lambda: NOW)
        stick.start(lambda status: None)
        fill(alone, "warm"), fill(followed, "warm")
        for turn in range(4):
            for book in (alone, followed) if turn % 2 else (followed, alone):
                spent[book is followed] += fill(book, turn)
        assert stick.close().behind == 0
    total = 4 * WRITERS * EACH
    print(f"\n{WRITERS} writers: {total / spent[True]:.0f} entries/s with a stick on the same disk, "
          f"{total / spent[False]:.0f}/s without, ratio {spent[True] / spent[False]:.2f}")
    assert spent[True] / spent[False] < 3.0


def test_one_more_entry_on_a_long_log_and_a_large_frame(site):
    def one_more_s(site, count):
        state = life(site, count)
        part = next(part.id for part in site.kit.parts if part.made_for and state.parts[part.id].fitted_at is None)
        outcome = decide(site, state, Request("one more", "fitted", part), NOW + timedelta(days=1))
        start = time.perf_counter()
        for _ in range(50):
            apply(state, outcome)
        return (time.perf_counter() - start) / 50

    short_s, long_s, large_s = one_more_s(site, 50), one_more_s(site, 5000), one_more_s(site_of(8, "5/8"), 500)
    print(f"\napply: {short_s * 1e6:.0f} µs after 50 entries, {long_s * 1e6:.0f} µs after 5,000 (ratio "
          f"{long_s / short_s:.1f}), {large_s * 1e6:.0f} µs at frequency 8 after 500 (ratio {large_s / short_s:.1f})")
    assert long_s / short_s < 40.0


def test_folding_again_against_reading(site, tmp_path):
    state = life(site, 5000)
    with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite") as book:
        book.take_in(state.entries)
        start = time.perf_counter()
        kept = book._store.entries()
        read_s = time.perf_counter() - start
        start = time.perf_counter()
        assert fold(site.kit, kept).fitted == state.fitted
        fold_s = time.perf_counter() - start
    print(f"\n5,000 entries: read {read_s:.3f} s, folded {fold_s:.3f} s, ratio {fold_s / read_s:.2f}")
    assert fold_s / read_s < 3.0


def write_version_2(path, kit, entries):
    """The file as programs wrote it that knew of no chains."""
    engine = tables.engine_for(str(path), wait_s=1.0)
    insert = sa.insert(tables.entries).values(imported=0)
    with engine.execution_options(write=True).begin() as connection:
        for number, (words, step) in enumerate(tables.MIGRATIONS[:2], start=1):
            step(connection)
            connection.execute(sa.insert(tables.versions).values(version=number, words=words))
        put_mark(connection, kit)
        for entry in entries:
            record = as_record(entry)
            row = {name: record[name] for name in FIELDS if name != "data"}
            connection.execute(insert, {**row, "data": json.dumps(record["data"]), "digest": digest_of(entry)})
    engine.dispose()


def test_a_log_of_10000_entries_of_the_version_before_opens_is_kept_beside_and_folds_alike(site, tmp_path):
    """Parts fitted and taken down; of every kind there are some in tests/journey/test_earlier_folder.py."""
    path, state = tmp_path / "log.sqlite", life(site, 10_000)
    older = [replace(entry, answers=None, chief=False) for entry in state.entries]
    write_version_2(path, site.kit, older)
    with closing(sqlite3.connect(path)) as database:
        assert "laptop" not in {row[1] for row in database.execute("PRAGMA table_info(entries)")}
    start = time.perf_counter()
    with SiteBook.open(site.kit, site.plan, path) as book:
        open_s = time.perf_counter() - start
        assert book.state == fold(site.kit, older)
        assert (book.state.parts, book.state.fitted) == (state.parts, state.fitted)
    start = time.perf_counter()
    with SiteBook.open(site.kit, site.plan, path):
        again_s = time.perf_counter() - start
    print(f"\n10,000 entries: brought to this version in {open_s:.2f} s, opened again in {again_s:.2f} s, ratio "
          f"{open_s / again_s:.2f}")
    assert [entry.key for entry in read_log(path.with_name("log.version-2.sqlite"))] == [e.key for e in older]
    assert open_s / again_s < 5.0
