"""Copies of a log: backup while it is being written, restore, and lines of JSON that travel between laptops."""

import json
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from fieldapp.base.errors import StoreError
from fieldapp.log.entry import Entry
from fieldapp.log.lines import from_line, to_line
from fieldapp.log.store import copy_log, log_locked, read_log

LINES_VERSION = 1
"""Version of the exported lines, said in their first line."""


def backup(log: Path, target: Path) -> Path:
    """Copy a log, also while it is being written; the copy is checked before it takes its name.

    Raises
    ------
    StoreError
        If there is no log, the target is there already, or the copy is not whole.
    """
    if target.exists():
        raise StoreError(f"{target} is there already, and a backup never overwrites another. Choose another name")
    copy_log(log, target)
    return target


def restore(copy: Path, log: Path) -> Path | None:
    """Put a backup in the place of the log; what was there is moved aside, never deleted.

    Returns
    -------
    Path or None
        Where the log that was there is now.

    Raises
    ------
    StoreError
        If the backup cannot be read or is newer than this program, or a raisebook has the log open.
    """
    read_log(copy)
    with log_locked(log):
        ready = log.with_name(log.name + ".restored")
        copy_log(copy, ready)       # first, so that a full disk leaves the log where it is
        aside = _move_aside(log) if log.exists() else None
        os.replace(ready, log)
    return aside


def export_lines(entries: Iterable[Entry], prefix: str) -> Iterator[str]:
    """The log as lines of JSON, the first saying what it is; same log, same bytes."""
    yield json.dumps({"raisebook_log": LINES_VERSION, "kit": prefix}) + "\n"
    for entry in entries:
        yield to_line(entry) + "\n"


def import_lines(lines: Iterable[str], prefix: str) -> tuple[Entry, ...]:
    """The entries of an exported log; all lines are read before any is taken in.

    Raises
    ------
    StoreError
        If it is no exported log, one of another kit or of a newer program, or a line is broken.
    """
    numbered = [(number, line) for number, line in enumerate(lines, start=1) if line.strip()]
    if not numbered:
        raise StoreError("the file is empty; an exported log has at least its first line. Export it again")
    _check_first_line(numbered[0][1], prefix)
    return tuple(from_line(line, number) for number, line in numbered[1:])


def _check_first_line(line: str, prefix: str) -> None:
    try:
        first = json.loads(line)
        version, kit = first["raisebook_log"], first["kit"]
    except (ValueError, KeyError, TypeError):
        raise StoreError("the file is no exported log: its first line does not say so. "
                         "Make one with 'raisebook log export'") from None
    if not isinstance(version, int) or version > LINES_VERSION:
        raise StoreError(f"the exported log has version {version}; this program reads up to version {LINES_VERSION}. "
                         "Install the newer program that wrote it")
    if kit != prefix:
        raise StoreError(f"the exported log is of kit {kit}, this is kit {prefix}. Choose the file of this kit")


def _move_aside(log: Path) -> Path:
    """Rename the log and the files that SQLite keeps beside it."""
    number = 1
    while (aside := log.with_name(f"{log.stem}.before-restore-{number}{log.suffix}")).exists():
        number += 1
    for ending in ("-wal", "-shm", ""):
        beside = Path(f"{log}{ending}")
        if beside.exists():
            os.replace(beside, f"{aside}{ending}")
    return aside
