"""What can still be read of a damaged log: row by row, each held against its own digest."""

import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import quote

from fieldapp.log.copying import WAIT_S, expect_file, readable
from fieldapp.log.entry import Entry
from fieldapp.log.faults import damaged
from fieldapp.log.lines import FIELDS, from_record, to_line

GIVE_UP_AFTER = 2000
"""Numbers in a row that give nothing, after which a log whose length is not known is taken to end."""

_ROW = f"SELECT {', '.join(FIELDS)}, digest FROM entries WHERE number = ?"


def salvage(path: Path) -> tuple[tuple[Entry, ...], tuple[int, ...]]:
    """The entries that can be read, and the numbers of those that cannot.

    Raises
    ------
    StoreError
        If nothing at all can be read.
    """
    expect_file(path)
    with readable(path) as log, closing(_opened(log)) as connection:
        last = _last(connection)
        found: dict[int, Entry] = {}
        number, latest = 0, 0
        while number < last if last else number < latest + GIVE_UP_AFTER:
            number += 1
            entry = _entry(connection, number)
            if entry is not None:
                found[number], latest = entry, number
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


def _entry(connection: sqlite3.Connection, number: int) -> Entry | None:
    """The entry with this number, if its row is whole: it has the digest that it was written with."""
    try:
        row = connection.execute(_ROW, (number,)).fetchone()
        if row is None:
            return None
        record: dict[str, Any] = dict(zip(FIELDS, row[:-1], strict=True))
        record["data"] = json.loads(record["data"])
        entry = from_record(record)
    except (sqlite3.Error, ValueError, KeyError, TypeError):
        return None
    return entry if hashlib.sha256(to_line(entry).encode()).hexdigest() == row[-1] else None
