"""Whole copies of a log's file, also while it is written; and the lock that lets one process write at a time."""

import errno
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

from filelock import FileLock, Timeout

from fieldapp.base.errors import StoreError
from fieldapp.log.faults import damaged, store_error

WAIT_S = 5.0
"""How long opening, reading and copying wait for a foreign lock on the file [s]."""


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
def readable(log: Path) -> Iterator[Path]:
    """The log where it can be read: where it lies, or a passing copy if its folder is write-protected.

    The database needs an index beside a log; without one, what came last (the file `-wal`) would be passed over.
    """
    if os.access(log.parent, os.W_OK) or Path(f"{log}-shm").exists():
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
                         "Choose a folder of your own, or change its rights") from error
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
