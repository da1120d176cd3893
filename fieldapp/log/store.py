"""The log on disk: append-only, durable, one writing process. With `log.rows` and `log.tables` all that writes it."""

import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext, suppress
from dataclasses import replace
from pathlib import Path

import sqlalchemy as sa
from filelock import FileLock

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import faults, tables
from fieldapp.log.chain import ChainEnd, Gap, gaps, head_after, linked
from fieldapp.log.copying import WAIT_S, copy_log, identities, lock_file
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, Laptop, begin_branch, this_laptop
from fieldapp.log.mark import IN_PLACE, refuse_strangers
from fieldapp.log.memory import accepting, cut_off, refuse_gaps, refuse_lost, remember_end, remembered
from fieldapp.log.names import Names, names_in, veiled, veiled_older, with_names
from fieldapp.log.reading import check_whole, in_words
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
    put_names,
    read_names,
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
        self.kept_older: Path | None = None
        """Copy of an older program's log that was migrated on opening; names that people typed stand in it."""
        self.laptop = laptop
        self._engine = engine
        self._file_lock = lock
        self._write_lock = threading.Lock()
        self._closed = False
        self._fault: StoreError | None = None
        self._written = 0
        self._anchor = engine.connect()     # while one connection is open, the database keeps its file beside
        self._files = identities(path)
        self._head = own_head(self._anchor, laptop.known.id)
        self._name(read_names(self._anchor))
        self._anchor.rollback()
        self._memory = remembered(path)
        self._opened: tuple[Entry, ...] | None = None
        """What was read when it was opened, for whoever asks first."""
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
            with in_words(path):
                if not go_on:
                    refuse_lost(path, remembered(path))
                kept = _look_first(engine, path, kit)
                with engine.execution_options(write=True).begin() as connection:
                    tables.migrate(connection, str(path))
                    if kit is not None:
                        put_mark(connection, kit)
                    laptop = this_laptop(path)
                    meet(connection, (laptop.known,))
                check_whole(path)
                store = cls(path, engine, lock, laptop)
                store.kept_older = kept
                store._look_for_gaps(go_on=go_on)
                if kept:
                    store.wipe()
                return store
        except BaseException:
            engine.dispose()
            lock.release()
            raise

    def turn(self, since: int) -> AbstractContextManager[tuple[Entry, ...]]:
        """Nobody else writes this file, so there is nothing to wait for, and nothing above `since` to be told."""
        return nullcontext(())

    def append(self, entry: Entry) -> Entry:
        """Keep an entry admitted here, as the next of this laptop's chain; returns it as it is on disk for good.

        A key that was admitted here before gives the first entry.
        """
        with self._writing() as connection:
            stored = find_row(connection, entry, imported=0)
            head, names = self._head, self.names
            if stored is None:
                placed = linked(veiled(entry, self._pseudonyms), self.laptop, head)
                stored = replace(placed, number=insert_row(connection, placed, imported=0))
                head = head_after(stored)
                if not stored.names.items() <= names.known.items():
                    names = put_names(connection, names, Names(stored.names))
        self._name(names)
        self._note_end(head, stored.number or 0)
        return with_names(stored, names)

    def take_in(self, entries: Iterable[Entry], laptops: Iterable[Known] = (), accepted: Iterable[Gap] = (), *,
                names: Names | None = None) -> tuple[Entry, ...]:
        """Keep entries of other laptops, those laptops' keys, and names, all or none; returns what entries were new.

        What was forgotten there is forgotten here, and the other way round; whoever calls `wipe`s the file then.
        """
        self._memory = accepting(self._memory, accepted)
        moved = [veiled_older(entry) for entry in entries]
        new: list[Entry] = []
        with self._writing() as connection:
            meet(connection, laptops)
            now = put_names(connection, self.names, names_in(moved).merged(names or Names()))
            for entry in moved:
                if find_row(connection, entry, imported=1) is None:
                    new.append(with_names(replace(entry, number=insert_row(connection, entry, imported=1)), now))
        self._name(now)
        if new:
            self._note_end(self._head, new[-1].number or 0)
        return tuple(new)

    def forget(self, what: Iterable[str]) -> None:
        """Forget the names of these pseudonyms, and note these photos as erased; the file holds none of them then.

        Raises
        ------
        StoreError
            If it could not be written, or what was deleted could not be wiped from the file; to be done again.
        """
        with self._writing() as connection:
            now = put_names(connection, self.names, Names({}, frozenset(what)))
        self._name(now)
        self.wipe()

    def wipe(self) -> None:
        """Write the file anew and empty the one with the last pages, so that nothing deleted is left in either."""
        with self._write_lock, in_words(self.path), closing(self._engine.raw_connection()) as connection:
            cursor = connection.cursor()
            cursor.execute("VACUUM")
            busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
            cursor.close()
        if busy:
            raise StoreError(f"what was forgotten may still lie in {self.path}-wal, because another program reads the "
                             "log. Close that one and forget it again", "locked")

    def _name(self, names: Names) -> None:
        self.names = names
        """What stands outside the entries."""
        self._pseudonyms = {name: who for who, name in sorted(names.known.items(), reverse=True)}

    def _note_end(self, head: ChainEnd, number: int) -> None:
        self._head = head
        if number > self._memory.number or head.serial > self._memory.serial:
            self._memory = remember_end(self.path, head, number, self._memory)

    def _look_for_gaps(self, *, go_on: bool) -> None:
        """StoreError naming what is missing or changed; with `go_on` it is remembered as accepted instead."""
        entries = self.entries()
        chains = (*gaps(entries, self.laptops(), signatures=False), *cut_off(self._memory, self._head))
        found = tuple(gap for gap in chains if gap.fault != "unknown" and not self._memory.accepts(gap))
        if found and not go_on:
            refuse_gaps(self.path, found)
        if found or (go_on and self._memory.serial > self._head.serial):
            self.laptop = begin_branch(self.path, f"after {self._memory.serial} of {self._head.laptop}")
            with self._writing() as connection:
                meet(connection, (self.laptop.known,))
            self._head = ChainEnd(self.laptop.known.id)
            self._memory = remember_end(self.path, self._head, self._memory.number, accepting(self._memory, found))
        self._opened = entries

    def laptops(self) -> dict[str, Known]:
        """Laptops whose entries are taken as their own, by ID."""
        with self._write_lock, in_words(self.path), self._engine.connect() as connection:
            return known_laptops(connection)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in order of arrival."""
        with self._write_lock:
            if self._closed:
                raise faults.closed(self.path)
            opened, self._opened = self._opened, None
            if opened is not None and since == 0:
                return opened
            with in_words(self.path), self._engine.connect() as connection:
                return all_rows(connection, self.names, since)

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
        if identities(self.path) != self._files:
            return      # taken away: whoever opened it now would begin a new file
        with suppress(sa.exc.DBAPIError, sqlite3.Error), closing(self._engine.raw_connection()) as connection:
            connection.cursor().execute("PRAGMA wal_checkpoint(PASSIVE)").close()

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """One write, kept for good when the block ends; else StoreError, and nothing of it is kept."""
        with self._write_lock:
            had_fault, self._opened = self._fault, None
            self._refuse_if_unfit()
            wait_s = TROUBLED_WAIT_S if had_fault else WRITE_WAIT_S
            writing = self._engine.execution_options(write=True, wait_ms=round(wait_s * 1000))
            try:
                with in_words(self.path), writing.begin() as connection:
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
        if identities(self.path) != self._files:
            self._fault = faults.gone(self.path)
        if self._fault is not None and self._fault.fault in faults.LASTING:
            raise StoreError(str(self._fault), self._fault.fault)


def _look_first(engine: sa.Engine, path: Path, kit: Kit | None) -> Path | None:
    """Refuse a log of a newer program or of another kit; of an older program's keep a copy before it is migrated."""
    with engine.connect() as connection:
        version = tables.version_of(connection)
        if version:
            tables.refuse_newer(version, str(path))
            if kit is not None and not carries_mark(connection, kit, path, IN_PLACE):
                found = all_rows(connection, Names(), chained=is_chained(connection))
                refuse_strangers(kit, found, f"the log {path}", IN_PLACE)
    return _keep_older(path, version) if 0 < version < len(tables.MIGRATIONS) else None


def _keep_older(path: Path, version: int) -> Path:
    number, kept = 1, path.with_name(f"{path.stem}.version-{version}{path.suffix}")
    while kept.exists():
        number += 1
        kept = path.with_name(f"{path.stem}.version-{version}-{number}{path.suffix}")
    copy_log(path, kept)
    return kept
