"""The log on disk: append-only, durable, one writing process. The only code that opens the database."""

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
from filelock import FileLock, Timeout
from sqlalchemy.dialects.sqlite import insert

from fieldapp.base.errors import StoreError
from fieldapp.log import tables
from fieldapp.log.entry import Entry
from fieldapp.log.lines import as_record, from_record, to_line

WAIT_S = 5.0
"""How long a write waits for a foreign lock on the file [s]."""

ENTRY_COLUMNS = tuple(column for column in tables.entries.c if column.name not in ("digest", "imported"))


class Store:
    """The open log. Make one with `Store.open`; close it when done."""

    def __init__(self, path: Path, engine: sa.Engine, lock: FileLock) -> None:
        self.path = path
        self._engine = engine
        self._file_lock = lock
        self._write_lock = threading.Lock()
        self._closed = False

    @classmethod
    def open(cls, path: Path, *, wait_s: float = WAIT_S) -> "Store":
        """Open or make the log at `path`, bring it to this version, and check that it is whole.

        Raises
        ------
        StoreError
            If another process has it open, or it is locked, read-only, damaged or of a newer version.
        """
        lock = _lock_file(path)
        engine = tables.engine_for(str(path), wait_s=wait_s)
        try:
            with _in_words(path):
                _keep_older(engine, path)
                with engine.execution_options(write=True).begin() as connection:
                    tables.migrate(connection, str(path))
                _check_whole(engine, path)
        except BaseException:
            engine.dispose()
            lock.release()
            raise
        return cls(path, engine, lock)

    def append(self, entry: Entry) -> Entry:
        """Keep an entry admitted here; returns it with its number, on disk for good.

        A key that was admitted here before gives the first entry.
        """
        with self._write_lock, _in_words(self.path), self._writing() as connection:
            number = _insert(connection, entry, imported=0)
            if number is not None:
                return replace(entry, number=number)
            found = tables.entries.c.key == entry.key
            row = connection.execute(sa.select(*ENTRY_COLUMNS).where(found).order_by("number").limit(1)).one()
        return _entry(row)

    def take_in(self, entries: Iterable[Entry]) -> tuple[Entry, ...]:
        """Keep entries of another laptop, all or none; returns those that were new."""
        new: list[Entry] = []
        with self._write_lock, _in_words(self.path), self._writing() as connection:
            for entry in entries:
                number = _insert(connection, entry, imported=1)
                if number is not None:
                    new.append(replace(entry, number=number))
        return tuple(new)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in order of arrival."""
        query = sa.select(*ENTRY_COLUMNS).where(tables.entries.c.number > since).order_by(tables.entries.c.number)
        with _in_words(self.path), self._engine.connect() as connection:
            return tuple(_entry(row) for row in connection.execute(query))

    def close(self) -> None:
        """Let go of file and lock; harmless a second time. Writing is refused from then on."""
        self._closed = True
        self._engine.dispose()
        self._file_lock.release()

    def _writing(self) -> Any:
        if self._closed:
            raise StoreError(f"the log {self.path.name} is closed, because the server is stopping. "
                             f"Send again when it runs")
        return self._engine.execution_options(write=True).begin()


def read_log(path: Path) -> tuple[Entry, ...]:
    """All entries of a log that another process may be writing; StoreError if it cannot be read."""
    _expect_file(path)
    engine = tables.engine_for(quote(str(path.resolve())), wait_s=WAIT_S, writable=False)
    try:
        with _in_words(path), engine.connect() as connection:
            tables.refuse_newer(tables.version_of(connection), str(path))
            query = sa.select(*ENTRY_COLUMNS).order_by(tables.entries.c.number)
            return tuple(_entry(row) for row in connection.execute(query))
    finally:
        engine.dispose()


def copy_log(source: Path, target: Path) -> None:
    """A whole, checked copy of a log, also while it is being written; `target` appears at once or not at all."""
    _expect_file(source)
    target.parent.mkdir(parents=True, exist_ok=True)
    part_written = target.with_name(target.name + ".part")
    try:
        with _in_words(source):
            _copy_pages(source, part_written)
        _flush(part_written)
        os.replace(part_written, target)
    finally:
        part_written.unlink(missing_ok=True)


@contextmanager
def log_locked(path: Path) -> Iterator[None]:
    """Hold the log against every other process; StoreError if one has it open."""
    lock = _lock_file(path)
    try:
        yield
    finally:
        lock.release()


def _copy_pages(source: Path, target: Path) -> None:
    target.unlink(missing_ok=True)
    address = f"file:{quote(str(source.resolve()))}?mode=ro"
    with closing(sqlite3.connect(address, uri=True, timeout=WAIT_S)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new, pages=-1)
        new.execute("PRAGMA journal_mode = DELETE").close()
        said = [str(row[0]) for row in new.execute("PRAGMA integrity_check")]
    if said != ["ok"]:
        raise sqlite3.DatabaseError(f"malformed: {said[0]}")


def _flush(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _insert(connection: sa.Connection, entry: Entry, *, imported: int) -> int | None:
    """The number given, or None if the entry is there already."""
    record = as_record(entry)
    record["data"] = json.dumps(record["data"], ensure_ascii=False, separators=(",", ":"))
    digest = hashlib.sha256(to_line(entry).encode()).hexdigest()
    statement = insert(tables.entries).values(**record, digest=digest, imported=imported)
    returning = statement.on_conflict_do_nothing().returning(tables.entries.c.number)
    number: int | None = connection.execute(returning).scalar()
    return number


def _entry(row: Any) -> Entry:
    record = dict(row._mapping)
    number = record.pop("number")
    record["data"] = json.loads(record["data"])
    return replace(from_record(record), number=number)


def _lock_file(path: Path) -> FileLock:
    lock = FileLock(f"{path}.lock", thread_local=False)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise StoreError(f"the log {path} is open in another raisebook on this computer. "
                         "Close that one first; two must not write one log") from None
    except OSError as error:
        raise StoreError(f"the folder of {path} cannot be written ({error.strerror}). "
                         "Choose a folder of your own, or change its rights") from error
    return lock


def _expect_file(path: Path) -> None:
    if not path.is_file():
        raise StoreError(f"there is no log {path}. Nothing has been logged in this folder yet, or the name is wrong")


def _keep_older(engine: sa.Engine, path: Path) -> None:
    """A copy of a file of an earlier version, beside it, before it is migrated."""
    with engine.connect() as connection:
        version = tables.version_of(connection)
    if 0 < version < len(tables.MIGRATIONS):
        copy_log(path, path.with_name(f"{path.stem}.version-{version}{path.suffix}"))


def _check_whole(engine: sa.Engine, path: Path) -> None:
    with engine.connect() as connection:
        said = str(connection.exec_driver_sql("PRAGMA quick_check").scalar())
    if said != "ok":
        raise _damaged(path, said)


def _damaged(path: Path, said: str) -> StoreError:
    return StoreError(f"the log {path} is damaged or is no log ({said}). "
                      "Keep the file, and restore the newest backup in its place: raisebook restore")


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Turn what the database driver says into a StoreError for a person; the cause is kept."""
    try:
        yield
    except (sa.exc.DBAPIError, sqlite3.Error) as error:
        raise _store_error(path, str(getattr(error, "orig", error))) from error
    except (ValueError, KeyError, TypeError) as error:
        raise _damaged(path, f"a row that is no entry: {error}") from error


def _store_error(path: Path, said: str) -> StoreError:
    if "locked" in said or "busy" in said:
        return StoreError(f"the log {path} is locked by another program ({said}). "
                          "Close it and send again; nothing was half-written")
    if "readonly" in said or "read-only" in said or "unable to open" in said:
        return StoreError(f"the log {path} cannot be opened or written ({said}). "
                          "Check the rights of the file and its folder, and send again; reading goes on")
    if "full" in said:
        return StoreError(f"the disk with the log {path} is full ({said}). "
                          "Make room and send again; what was answered before is safe")
    if "malformed" in said or "not a database" in said:
        return _damaged(path, said)
    return StoreError(f"the log {path} could not be read or written ({said}). Send again; if it stays, restart")
