"""What is wrong with the log's file: a word for the pages, and a message for whoever has the laptop."""

import errno
import shutil
import sqlite3
from pathlib import Path

from fieldapp.base.errors import Fault, KitError, StoreError

LASTING: frozenset[Fault] = frozenset({"damaged", "gone", "lost_there"})
"""Faults that writing on would make worse: the log takes nothing more until it was opened anew."""

LEAST_BYTES = 100_000
"""A disk with less room is full: the database's index alone takes a third of it. Our choice."""
FULL = (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC))
"""Numbers of the system for a disk or a share of it that is full."""

_OF_CODE: dict[int, Fault] = {
    sqlite3.SQLITE_BUSY: "locked", sqlite3.SQLITE_LOCKED: "locked", sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_READONLY: "readonly", sqlite3.SQLITE_PERM: "readonly", sqlite3.SQLITE_CANTOPEN: "readonly",
    sqlite3.SQLITE_IOERR: "io", sqlite3.SQLITE_CORRUPT: "damaged", sqlite3.SQLITE_NOTADB: "damaged"}

_WORDS: dict[Fault, str] = {
    "locked": "the log {path} is locked by another program ({said}). Close it and send again; nothing was half-written",
    "full": "the disk with the log {path} is full ({said}). Make room and send again; what was answered before is safe",
    "readonly": "the log {path} cannot be opened or written ({said}). Check the rights of the file and its folder, and "
                "send again; reading goes on",
    "io": "the disk with the log {path} did not take it ({said}). Check its plug, its space and its health, and send "
          "again; what was answered before is safe. If it stays, copy the folder to another disk and serve it there",
    "": "the log {path} could not be read or written ({said}). Send again; if it stays, restart",
}


def store_error(path: Path, error: BaseException) -> StoreError:
    """What the database's driver said of the log, in words."""
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    fault = _OF_CODE.get(code & 0xFF, "")
    if fault == "damaged" or "no such table" in str(error):
        return damaged(path, str(error))
    return StoreError(_WORDS[fault].format(path=path, said=error), fault)


def disk_fault(error: BaseException) -> Fault:
    """What the system says of a file that could not be made."""
    number = getattr(error, "errno", None)
    return "full" if number in FULL else "io" if number == errno.EIO else "readonly"


def of_the_disk(path: Path, error: StoreError | KitError) -> StoreError:
    """The same as trouble of the disk of the log at `path`; raises it again if nothing that was written caused it.

    The database calls a full disk a failing one where its index finds no room.
    """
    if isinstance(error, StoreError):
        no_room = error.fault == "io" and shutil.disk_usage(path.parent).free < LEAST_BYTES
        return StoreError(_WORDS["full"].format(path=path, said=error.__cause__), "full") if no_room else error
    if isinstance(error.__cause__, OSError):
        return StoreError(str(error), disk_fault(error.__cause__))
    raise error


def damaged(path: Path, said: str) -> StoreError:
    """The file is no log, or not a whole one."""
    return StoreError(f"the log {path} is damaged or is no log ({said}). "
                      "Keep the file, and restore the newest backup in its place: raisebook restore. What can still be "
                      "read of it, raisebook log export --damaged brings out", "damaged")


def closed(path: Path) -> StoreError:
    """The server is being stopped."""
    return StoreError(f"the log {path.name} is closed, because the server is stopping. Send again when it runs",
                      "closed")


def gone(path: Path) -> StoreError:
    """Whatever is written now would be lost with the file that nobody can open any more."""
    return StoreError(f"the log {path} was moved, deleted or replaced while it was in use. Stop raisebook, put the "
                      "file back or restore the newest backup, and start again", "gone")


def busy(path: Path) -> StoreError:
    """Another entry holds the log up."""
    return StoreError(f"the log {path} is held up by another entry: the disk is slow, or another program has it. Send "
                      "again; nothing was half-written", "busy")
