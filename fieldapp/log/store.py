"""The log on disk: append-only, durable, one writing process. With `log.rows` and `log.tables` all that writes it."""

import os
import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from urllib.parse import quote

import sqlalchemy as sa
from filelock import FileLock

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import faults, tables
from fieldapp.log.chain import ChainEnd, Gap, gaps, head_after, linked
from fieldapp.log.copying import WAIT_S, copy_log, expect_file, lock_file, readable
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, Laptop, begin_branch, this_laptop
from fieldapp.log.mark import IN_PLACE, refuse_strangers
from fieldapp.log.memory import accepting, cut_off, refuse_gaps, refuse_lost, remember_end, remembered
from fieldapp.log.rows import (
    all_rows,
    carries_mark,
    find_row,
    insert_row,
    is_chained,
    known_laptops,
    meet,
    own_head,
    put_mark,
    read_rows,
)
from fieldapp.log.settling import Settling

WRITE_WAIT_S = 1.0
"""How long a write waits for a foreign lock; a phone gives up after 4 s."""
TROUBLED_WAIT_S = 0.05
"""The same while the write before it failed, so that many phones that try again do not hold up those that read."""
CHECK_EVERY = 50
"""Entries after which the file is looked through from outside, as the next start will."""
QUIET_S, SETTLED_AFTER_S = 0.5, 10.0
"""What was written last is moved into the file itself when nobody wrote for so long, or at the latest after so long,
so that a copy of this file alone has it too. Our choice."""


class Store:
    """The open log. Make one with `Store.open`; close it when done."""

    def __init__(self, path: Path, engine: sa.Engine, lock: FileLock, laptop: Laptop) -> None:
        self.path = path
        self.laptop = laptop
        self._engine = engine
        self._file_lock = lock
        self._write_lock = threading.Lock()
        self._closed = False
        self._fault: StoreError | None = None
        self._written = 0
        self._anchor = engine.connect()     # while one connection is open, the database keeps its file beside
        self._files = _identities(path)
        self._head = own_head(self._anchor, laptop.known.id)
        self._anchor.rollback()
        self._memory = remembered(path)
        self._settling = Settling(self._settle, quiet_s=QUIET_S, at_latest_s=SETTLED_AFTER_S)

    @classmethod
    def open(cls, path: Path, kit: Kit | None = None, *, wait_s: float = WAIT_S, go_on: bool = False) -> "Store":
        """Open or make the log at `path`, bring it to this version, and check that it is whole, and of the kit.

        `go_on`: also without entries that are known to be missing or changed; what is written from then on is a
        branch of its own.

        Raises
        ------
        StoreError
            If another process has it open, it is locked, read-only, damaged or of a newer version, or of another kit;
            if it is gone although the folder remembers one, or not as it was written.
        """
        lock = lock_file(path)
        engine = tables.engine_for(str(path), wait_s=wait_s)
        try:
            with _in_words(path):
                if not go_on:
                    refuse_lost(path, remembered(path))
                _look_first(engine, path, kit)
                with engine.execution_options(write=True).begin() as connection:
                    tables.migrate(connection, str(path))
                    if kit is not None:
                        put_mark(connection, kit)
                    laptop = this_laptop(path)
                    meet(connection, (laptop.known,))
                check_whole(path)
                store = cls(path, engine, lock, laptop)
                store._look_for_gaps(go_on=go_on)
                return store
        except BaseException:
            engine.dispose()
            lock.release()
            raise

    def append(self, entry: Entry) -> Entry:
        """Keep an entry admitted here, as the next of this laptop's chain; returns it as it is on disk for good.

        A key that was admitted here before gives the first entry.
        """
        with self._writing() as connection:
            stored = find_row(connection, entry, imported=0)
            head = self._head
            if stored is None:
                placed = linked(entry, self.laptop, head)
                stored = replace(placed, number=insert_row(connection, placed, imported=0))
                head = head_after(stored)
        self._note_end(head, stored.number or 0)
        return stored

    def take_in(self, entries: Iterable[Entry], laptops: Iterable[Known] = (),
                accepted: Iterable[Gap] = ()) -> tuple[Entry, ...]:
        """Keep entries of other laptops, and those laptops' keys, all or none; returns the entries that were new."""
        self._memory = accepting(self._memory, accepted)
        new: list[Entry] = []
        with self._writing() as connection:
            meet(connection, laptops)
            for entry in entries:
                if find_row(connection, entry, imported=1) is None:
                    new.append(replace(entry, number=insert_row(connection, entry, imported=1)))
        if new:
            self._note_end(self._head, new[-1].number or 0)
        return tuple(new)

    def _note_end(self, head: ChainEnd, number: int) -> None:
        self._head = head
        if number > self._memory.number or head.serial > self._memory.serial:
            self._memory = remember_end(self.path, head, number, self._memory)

    def _look_for_gaps(self, *, go_on: bool) -> None:
        """StoreError naming what is missing or changed; with `go_on` it is remembered as accepted instead."""
        chains = (*gaps(self.entries(), self.laptops(), signatures=False), *cut_off(self._memory, self._head))
        found = tuple(gap for gap in chains if gap.fault != "unknown" and not self._memory.accepts(gap))
        if found and not go_on:
            refuse_gaps(self.path, found)
        if found or (go_on and self._memory.serial > self._head.serial):
            self.laptop = begin_branch(self.path, f"after {self._memory.serial} of {self._head.laptop}")
            with self._writing() as connection:
                meet(connection, (self.laptop.known,))
            self._head = ChainEnd(self.laptop.known.id)
            self._memory = remember_end(self.path, self._head, self._memory.number, accepting(self._memory, found))

    def laptops(self) -> dict[str, Known]:
        """Laptops whose entries are taken as their own, by ID."""
        with self._write_lock, _in_words(self.path), self._engine.connect() as connection:
            return known_laptops(connection)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in order of arrival."""
        with self._write_lock:
            if self._closed:
                raise faults.closed(self.path)
            with _in_words(self.path), self._engine.connect() as connection:
                return all_rows(connection, since)

    def close(self) -> None:
        """Let go of file and lock, after the write that is under way; harmless a second time.

        Reading and writing are refused from then on.
        """
        with self._write_lock:
            if not self._closed:
                self._settling.stop()
                self._settle()
            self._closed = True
            self._anchor.close()
            self._engine.dispose()
            self._file_lock.release()

    def _settle(self) -> None:
        """Move what lies in the file `-wal` into the log itself, as far as nobody reads it; holds up nobody.

        A disk that refuses does no harm: all of it is still in the other file.
        """
        if _identities(self.path) != self._files:
            return      # taken away: whoever opened it now would begin a new file
        with suppress(sa.exc.DBAPIError, sqlite3.Error), closing(self._engine.raw_connection()) as connection:
            connection.cursor().execute("PRAGMA wal_checkpoint(PASSIVE)").close()

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """One write, kept for good when the block ends; else StoreError, and nothing of it is kept."""
        with self._write_lock:
            had_fault = self._fault
            self._refuse_if_unfit()
            wait_s = TROUBLED_WAIT_S if had_fault else WRITE_WAIT_S
            writing = self._engine.execution_options(write=True, wait_ms=round(wait_s * 1000))
            try:
                with _in_words(self.path), writing.begin() as connection:
                    yield connection
                self._written += 1
                if had_fault or self._written % CHECK_EVERY == 0:
                    check_whole(self.path)
            except StoreError as error:
                self._fault = error
                raise
            self._fault = None
            self._settling.ask()

    def _refuse_if_unfit(self) -> None:
        if self._closed:
            raise faults.closed(self.path)
        if _identities(self.path) != self._files:
            self._fault = faults.gone(self.path)
        if self._fault is not None and self._fault.fault in faults.LASTING:
            raise StoreError(str(self._fault), self._fault.fault)


def read_laptops(path: Path) -> dict[str, Known]:
    """Laptops that a log knows, by ID, from a file that another process may be writing; StoreError as `read_log`."""
    with _reading(path) as connection:
        return known_laptops(connection) if is_chained(connection) else {}


def read_log(path: Path, kit: Kit | None = None, then: str = IN_PLACE) -> tuple[Entry, ...]:
    """All entries of a log that another process may be writing, or that lies on a write-protected disk.

    Raises
    ------
    StoreError
        If it cannot be read, or is not of the kit; `then` says what to do about that.
    """
    with _reading(path) as connection:
        return read_rows(connection, path, kit, then)


@contextmanager
def _reading(path: Path) -> Iterator[sa.Connection]:
    expect_file(path)
    with _in_words(path), readable(path) as log:
        engine = tables.engine_for(quote(str(log.resolve())), wait_s=WAIT_S, writable=False)
        try:
            with engine.connect() as connection:
                yield connection
        finally:
            engine.dispose()


def _look_first(engine: sa.Engine, path: Path, kit: Kit | None) -> None:
    """Refuse a log of a newer program or of another kit; of an older program's keep a copy before it is migrated."""
    with engine.connect() as connection:
        version = tables.version_of(connection)
        if version:
            tables.refuse_newer(version, str(path))
            if kit is not None and not carries_mark(connection, kit, path, IN_PLACE):
                found = all_rows(connection, chained=is_chained(connection))
                refuse_strangers(kit, found, f"the log {path}", IN_PLACE)
    if 0 < version < len(tables.MIGRATIONS):
        _keep_older(path, version)


def _keep_older(path: Path, version: int) -> None:
    number, kept = 1, path.with_name(f"{path.stem}.version-{version}{path.suffix}")
    while kept.exists():
        number += 1
        kept = path.with_name(f"{path.stem}.version-{version}-{number}{path.suffix}")
    copy_log(path, kept)


def _identities(path: Path) -> tuple[tuple[int, int] | None, ...]:
    """Which file lies at the path, and which with the last pages beside it: the same as long as nobody moves them."""
    found: list[tuple[int, int] | None] = []
    for name in (path, f"{path}-wal"):
        try:
            status = os.stat(name)
            found.append((status.st_dev, status.st_ino))
        except OSError:
            found.append(None)
    return tuple(found)


def check_whole(path: Path) -> None:
    """StoreError if the file is not whole, seen from outside, as the next start will see it."""
    address = f"file:{quote(str(path.resolve()))}?mode=ro"
    with _in_words(path), closing(sqlite3.connect(address, uri=True, timeout=WAIT_S)) as connection:
        said = str(connection.execute("PRAGMA quick_check").fetchone()[0])
    if said != "ok":
        raise faults.damaged(path, said)


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Turn what the database driver says into a StoreError for a person; the cause is kept."""
    try:
        yield
    except (sa.exc.DBAPIError, sqlite3.Error) as error:
        raise faults.store_error(path, getattr(error, "orig", None) or error) from error
    except (ValueError, KeyError, TypeError) as error:
        raise faults.damaged(path, f"a row that is no entry: {error}") from error
    except OSError as error:
        raise StoreError(f"the log {path} cannot be read: {error.strerror}. Check the rights of the file and the space "
                         "for passing copies on this computer") from error
