"""The log on disk: append-only, durable, one writing process. With `log.tables` the only code that writes it."""

import hashlib
import json
import os
import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import quote

import sqlalchemy as sa
from filelock import FileLock

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import faults, tables
from fieldapp.log.copying import WAIT_S, copy_log, expect_file, lock_file, readable
from fieldapp.log.entry import Entry
from fieldapp.log.lines import as_record, from_record, to_line
from fieldapp.log.mark import IN_PLACE, mark_from, mark_of, mark_text, refuse_other_kit, refuse_strangers

WRITE_WAIT_S = 1.0
"""How long a write waits for a foreign lock; a phone gives up after 4 s."""
TROUBLED_WAIT_S = 0.05
"""The same while the write before it failed, so that many phones that try again do not hold up those that read."""
CHECK_EVERY = 50
"""Entries after which the file is looked through from outside, as the next start will."""

ENTRY_COLUMNS = tuple(column for column in tables.entries.c if column.name not in ("digest", "imported"))


def _finding(same: sa.ColumnElement[bool]) -> sa.Select[Any]:
    return sa.select(*ENTRY_COLUMNS).where(same).order_by(tables.entries.c.number).limit(1)


_SAME = tables.entries.c.digest == sa.bindparam("digest")
_SAME_KEY = sa.and_(tables.entries.c.key == sa.bindparam("key"), tables.entries.c.imported == sa.literal_column("0"))
_FIND_SAME, _FIND = _finding(_SAME), _finding(sa.or_(_SAME, _SAME_KEY))
_INSERT = sa.insert(tables.entries).returning(tables.entries.c.number)
"""Statements of every write, put together once."""


class Store:
    """The open log. Make one with `Store.open`; close it when done."""

    def __init__(self, path: Path, engine: sa.Engine, lock: FileLock) -> None:
        self.path = path
        self._engine = engine
        self._file_lock = lock
        self._write_lock = threading.Lock()
        self._closed = False
        self._fault: StoreError | None = None
        self._written = 0
        self._anchor = engine.connect()     # while one connection is open, the database keeps its file beside
        self._files = _identities(path)

    @classmethod
    def open(cls, path: Path, kit: Kit | None = None, *, wait_s: float = WAIT_S) -> "Store":
        """Open or make the log at `path`, bring it to this version, and check that it is whole, and of the kit.

        Raises
        ------
        StoreError
            If another process has it open, it is locked, read-only, damaged or of a newer version, or of another kit.
        """
        lock = lock_file(path)
        engine = tables.engine_for(str(path), wait_s=wait_s)
        try:
            with _in_words(path):
                _look_first(engine, path, kit)
                with engine.execution_options(write=True).begin() as connection:
                    tables.migrate(connection, str(path))
                    if kit is not None:
                        _mark(connection, kit)
                check_whole(path)
                return cls(path, engine, lock)
        except BaseException:
            engine.dispose()
            lock.release()
            raise

    def append(self, entry: Entry) -> Entry:
        """Keep an entry admitted here; returns it with its number, on disk for good.

        A key that was admitted here before gives the first entry.
        """
        with self._writing() as connection:
            found = _find(connection, entry, imported=0)
            stored = found or replace(entry, number=_insert(connection, entry, imported=0))
        return stored

    def take_in(self, entries: Iterable[Entry]) -> tuple[Entry, ...]:
        """Keep entries of another laptop, all or none; returns those that were new."""
        new: list[Entry] = []
        with self._writing() as connection:
            for entry in entries:
                if _find(connection, entry, imported=1) is None:
                    new.append(replace(entry, number=_insert(connection, entry, imported=1)))
        return tuple(new)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in order of arrival."""
        with self._write_lock:
            if self._closed:
                raise faults.closed(self.path)
            with _in_words(self.path), self._engine.connect() as connection:
                return _all(connection, since)

    def close(self) -> None:
        """Let go of file and lock, after the write that is under way; harmless a second time.

        Reading and writing are refused from then on.
        """
        with self._write_lock:
            self._closed = True
            self._anchor.close()
            self._engine.dispose()
            self._file_lock.release()

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

    def _refuse_if_unfit(self) -> None:
        if self._closed:
            raise faults.closed(self.path)
        if _identities(self.path) != self._files:
            self._fault = faults.gone(self.path)
        if self._fault is not None and self._fault.fault in faults.LASTING:
            raise StoreError(str(self._fault), self._fault.fault)


def read_log(path: Path, kit: Kit | None = None, then: str = IN_PLACE) -> tuple[Entry, ...]:
    """All entries of a log that another process may be writing, or that lies on a write-protected disk.

    Raises
    ------
    StoreError
        If it cannot be read, or is not of the kit; `then` says what to do about that.
    """
    expect_file(path)
    with _in_words(path), readable(path) as log:
        engine = tables.engine_for(quote(str(log.resolve())), wait_s=WAIT_S, writable=False)
        try:
            with engine.connect() as connection:
                return _read(connection, path, kit, then)
        finally:
            engine.dispose()


def _read(connection: sa.Connection, path: Path, kit: Kit | None, then: str) -> tuple[Entry, ...]:
    tables.refuse_newer(tables.version_of(connection), str(path))
    found = _all(connection)
    if kit is not None and not _carries_mark(connection, kit, path, then):
        refuse_strangers(kit, found, f"the log {path}", then)
    return found


def _all(connection: sa.Connection, since: int = 0) -> tuple[Entry, ...]:
    query = sa.select(*ENTRY_COLUMNS).where(tables.entries.c.number > since).order_by(tables.entries.c.number)
    return tuple(_entry(row) for row in connection.execute(query))


def _carries_mark(connection: sa.Connection, kit: Kit, path: Path, then: str) -> bool:
    """False if the log carries no mark; StoreError if it carries another kit's."""
    marked = sa.inspect(connection).has_table(tables.kit.name)
    text = connection.execute(sa.select(tables.kit.c.mark)).scalar() if marked else None
    if text is None:
        return False
    refuse_other_kit(kit, mark_from(json.loads(text)), f"the log {path}", then)
    return True


def _look_first(engine: sa.Engine, path: Path, kit: Kit | None) -> None:
    """Refuse a log of a newer program or of another kit; of an older program's keep a copy before it is migrated."""
    with engine.connect() as connection:
        version = tables.version_of(connection)
        if version:
            tables.refuse_newer(version, str(path))
            if kit is not None and not _carries_mark(connection, kit, path, IN_PLACE):
                refuse_strangers(kit, _all(connection), f"the log {path}", IN_PLACE)
    if 0 < version < len(tables.MIGRATIONS):
        _keep_older(path, version)


def _keep_older(path: Path, version: int) -> None:
    number, kept = 1, path.with_name(f"{path.stem}.version-{version}{path.suffix}")
    while kept.exists():
        number += 1
        kept = path.with_name(f"{path.stem}.version-{version}-{number}{path.suffix}")
    copy_log(path, kept)


def _mark(connection: sa.Connection, kit: Kit) -> None:
    """Give the log the kit's mark, if it has none yet; its entries fit, as was looked at before."""
    if connection.execute(sa.select(tables.kit.c.mark)).first() is None:
        connection.execute(sa.insert(tables.kit).values(mark=mark_text(mark_of(kit))))


def _find(connection: sa.Connection, entry: Entry, *, imported: int) -> Entry | None:
    """The entry that is there already: the very same one or, of those admitted here, one with the same key."""
    row = connection.execute(_FIND_SAME if imported else _FIND, {"digest": _digest(entry), "key": entry.key}).first()
    return None if row is None else _entry(row)


def _insert(connection: sa.Connection, entry: Entry, *, imported: int) -> int:
    """The number given."""
    record = as_record(entry)
    record["data"] = json.dumps(record["data"], ensure_ascii=False, separators=(",", ":"))
    number: int = connection.execute(_INSERT, {**record, "digest": _digest(entry), "imported": imported}).scalar_one()
    return number


def _digest(entry: Entry) -> str:
    return hashlib.sha256(to_line(entry).encode()).hexdigest()


def _entry(row: Any) -> Entry:
    record = dict(row._mapping)
    number = record.pop("number")
    record["data"] = json.loads(record["data"])
    return replace(from_record(record), number=number)


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
