"""Whole copies of a log's file, also while it is written; one writer at a time; and what a damaged file still gives."""

import errno
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from urllib.parse import quote

from filelock import FileLock, Timeout

from fieldapp.base.errors import StoreError
from fieldapp.kit.atomic import sync_folder
from fieldapp.log.entry import Entry
from fieldapp.log.faults import damaged, disk_fault, store_error
from fieldapp.log.lines import digest_of, from_row
from fieldapp.log.names import Names, with_names

WAIT_S = 5.0
"""How long opening, reading and copying wait for a foreign lock on the file [s]."""

GIVE_UP_AFTER = 2000
"""Numbers in a row that give nothing, after which a log whose length is not known is taken to end."""


def copy_log(source: Path, target: Path) -> None:
    """A whole, checked copy of a log, also while it is being written; `target` appears at once or not at all.

    Raises
    ------
    StoreError
        If the log cannot be read, is not whole, or the copy cannot be written.
    """
    expect_file(source)
    part_written = target.with_name(target.name + ".part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with readable(source) as log:
            _copy_pages(log, part_written)
        _flush(part_written)
        os.replace(part_written, target)
        sync_folder(target.parent)
    except sqlite3.Error as error:
        raise _which(source, target, error) from error
    except OSError as error:
        raise StoreError(f"{target} cannot be written: {error.strerror}. Choose another place, or make room there; "
                         f"{source} is as it was", "full" if error.errno == errno.ENOSPC else "") from error
    finally:
        _forget(part_written)


def expect_file(path: Path) -> None:
    """StoreError if there is no log."""
    if not path.is_file():
        raise StoreError(f"there is no log {path}. Nothing has been logged in this folder yet, or the name is wrong")


@contextmanager
def readable(log: Path, *, copied: bool = False) -> Iterator[Path]:
    """The log where it can be read: where it lies, or a passing copy if its folder is write-protected, or `copied`.

    The database needs an index beside a log; without one, what came last (the file `-wal`) would be passed over.
    """
    if not copied and (os.access(log.parent, os.W_OK) or Path(f"{log}-shm").exists()):
        yield log
        return
    with TemporaryDirectory(prefix="raisebook-") as folder:
        for ending in ("", "-wal"):
            if Path(f"{log}{ending}").exists():
                shutil.copyfile(f"{log}{ending}", Path(folder) / f"{log.name}{ending}")
        yield Path(folder) / log.name


def lock_file(path: Path) -> FileLock:
    """The lock on the log at `path`, held; StoreError if another process has it, or the folder cannot be written."""
    lock = FileLock(f"{path}.lock", thread_local=False)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise StoreError(f"the log {path} is open in another raisebook on this computer. "
                         "Close that one first; two must not write one log") from None
    except (OSError, NotImplementedError) as error:
        said = getattr(error, "strerror", None) or error
        raise StoreError(f"the folder of {path} cannot be written ({said}). "
                         "Choose a folder of your own, or change its rights", disk_fault(error)) from error
    return lock


@contextmanager
def log_locked(path: Path) -> Iterator[None]:
    """Hold the log against every other process; StoreError if one has it open."""
    lock = lock_file(path)
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
        raise damaged(source, said[0])


def _which(source: Path, target: Path, error: sqlite3.Error) -> StoreError:
    """A full disk is the copy's; whatever else the database says is of the log."""
    found = store_error(source, error)
    return store_error(target, error) if found.fault in ("full", "io") else found


def _flush(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _forget(part_written: Path) -> None:
    for path in (part_written, Path(f"{part_written}-journal")):
        path.unlink(missing_ok=True)


def salvage(path: Path) -> tuple[tuple[Entry, ...], tuple[int, ...]]:
    """The entries that can be read, and the numbers of those that cannot.

    Raises
    ------
    StoreError
        If nothing at all can be read.
    """
    expect_file(path)
    with readable(path) as log, closing(_opened(log)) as connection:
        last, names = _last(connection), _names(connection)
        found: dict[int, Entry] = {}
        number, latest = 0, 0
        while number < last if last else number < latest + GIVE_UP_AFTER:
            number += 1
            entry = _entry(connection, number)
            if entry is not None:
                found[number], latest = with_names(entry, names), number
    if not found:
        raise damaged(path, "not one entry can be read")
    return tuple(found.values()), tuple(n for n in range(1, (last or latest) + 1) if n not in found)


def _opened(log: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"file:{quote(str(log.resolve()))}?mode=ro", uri=True, timeout=WAIT_S)


def _last(connection: sqlite3.Connection) -> int:
    """The number given last, which the database keeps apart; 0 if that cannot be read."""
    try:
        row = connection.execute("SELECT seq FROM sqlite_sequence WHERE name = 'entries'").fetchone()
        return int(row[0])
    except (sqlite3.Error, TypeError, ValueError):
        return 0


def salvaged_names(path: Path) -> Names:
    """What stands outside the entries of a damaged log, as far as it can be read."""
    expect_file(path)
    with readable(path) as log, closing(_opened(log)) as connection:
        return _names(connection)


def _names(connection: sqlite3.Connection) -> Names:
    known: dict[str, str] = {}
    forgotten: set[str] = set()
    with suppress(sqlite3.Error):       # none in the file of an older program
        forgotten.update(str(what) for (what,) in connection.execute("SELECT what FROM forgotten"))
    with suppress(sqlite3.Error):
        known.update((str(who), str(name)) for who, name in connection.execute("SELECT pseudonym, name FROM names"))
    return Names().merged(Names(known, frozenset(forgotten)))


def _entry(connection: sqlite3.Connection, number: int) -> Entry | None:
    """The entry with this number, if its row is whole: it has the digest that it was written with."""
    try:
        cursor = connection.execute("SELECT * FROM entries WHERE number = ?", (number,))
        row = cursor.fetchone()
        if row is None:
            return None
        record: dict[str, Any] = dict(zip((column[0] for column in cursor.description), row, strict=True))
        entry = from_row(record)
    except (sqlite3.Error, ValueError, KeyError, TypeError):
        return None
    return entry if digest_of(entry) == record["digest"] else None


def identities(path: Path) -> tuple[tuple[int, int] | None, ...]:
    """Which file lies at the path, and which with the last pages beside it: the same as long as nobody moves them."""
    found: list[tuple[int, int] | None] = []
    for name in (path, f"{path}-wal"):
        try:
            status = os.stat(name)
            found.append((status.st_dev, status.st_ino))
        except OSError:
            found.append(None)
    return tuple(found)
