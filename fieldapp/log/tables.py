"""The tables of the log, what the database itself refuses, and how an older file becomes a newer one."""

import sqlite3
from collections.abc import Callable
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event

from fieldapp.base.errors import StoreError
from fieldapp.log.lines import as_row, from_row
from fieldapp.log.names import veiled_older

metadata = sa.MetaData()

def _entries(metadata: sa.MetaData, *newer: sa.Column[Any]) -> sa.Table:
    """The table of entries as version 1 made it, with the columns that came since."""
    table = sa.Table(
        "entries", metadata,
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("part", sa.Text),
        sa.Column("place", sa.Text),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("sender", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False, comment="server time, UTC"),
        sa.Column("sent_at", sa.Text, comment="the phone's own time, UTC"),
        sa.Column("order_ms", sa.BigInteger().with_variant(sa.Integer, "sqlite"), nullable=False),
        sa.Column("data", sa.Text, nullable=False, comment="JSON"),
        sa.Column("digest", sa.Text, nullable=False, unique=True, comment="SHA-256 of the line without signature"),
        sa.Column("imported", sa.Integer, nullable=False, comment="1 if it was admitted on another laptop"),
        *newer, sqlite_autoincrement=True, comment="one row per entry, in order of arrival; never changed")
    sa.Index("one_key", table.c.key, unique=True, sqlite_where=table.c.imported == 0,
             postgresql_where=table.c.imported == 0)
    return table


_CHAIN: tuple[sa.Column[Any], ...] = (
    sa.Column("answers", sa.Text, comment="JSON"),
    *(sa.Column(name, sa.Integer if none == "0" else sa.Text, nullable=False, server_default=sa.text(none))
      for name, none in (("chief", "0"), ("laptop", "''"), ("serial", "0"), ("before", "''"), ("signature", "''"))))
CHAIN_COLUMNS = tuple(column.name for column in _CHAIN)
"""Columns of version 3: what an entry answers, and its place in its laptop's chain."""
CHAINED_SINCE = 3
entries = _entries(metadata, *_CHAIN)

names = sa.Table(
    "names", metadata,
    sa.Column("pseudonym", sa.Text, primary_key=True),
    sa.Column("name", sa.Text, nullable=False),
    comment="what people typed as a name, by what stands for it in the entries; forgotten on request",
)

forgotten = sa.Table(
    "forgotten", metadata,
    sa.Column("what", sa.Text, primary_key=True),
    comment="one row per pseudonym whose name was forgotten, and per photo that was erased",
)

laptops = sa.Table(
    "laptops", metadata,
    sa.Column("id", sa.Text, primary_key=True),
    sa.Column("public_key", sa.Text, nullable=False, comment="Ed25519 (RFC 8032), base64"),
    sa.Column("branch", sa.Text, nullable=False, comment="empty, or what a restored log was named"),
    comment="one row per laptop whose entries are taken as its own; the first is the one that made this file",
)

versions = sa.Table(
    "versions", metadata,
    sa.Column("version", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("words", sa.Text, nullable=False),
    comment="one row per migration that this file went through",
)

kit = sa.Table(
    "kit", metadata,
    sa.Column("mark", sa.Text, primary_key=True, comment="JSON"),
    comment="one row: the kit that this log is of",
)

_REFUSAL = "BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END"
_GUARD = "CREATE TRIGGER IF NOT EXISTS"
GUARDS_1 = (
    *(f"{_GUARD} {table}_refuse_{action.lower()} BEFORE {action} ON {table} {_REFUSAL}"
      for table in ("entries", "versions") for action in ("UPDATE", "DELETE")),
    f"{_GUARD} entries_refuse_replace BEFORE INSERT ON entries "
    f"WHEN EXISTS (SELECT 1 FROM entries WHERE number = NEW.number) {_REFUSAL}",
)
"""SQL that no builder of the library writes: SQLite's own triggers."""

GUARDS_2 = (
    f"{_GUARD} entries_refuse_again BEFORE INSERT ON entries "
    "WHEN EXISTS (SELECT 1 FROM entries WHERE digest = NEW.digest) OR (NEW.imported = 0 AND EXISTS "
    f"(SELECT 1 FROM entries WHERE key = NEW.key AND imported = 0)) {_REFUSAL}",
    f"{_GUARD} entries_refuse_below_one AFTER INSERT ON entries WHEN NEW.number < 1 {_REFUSAL}",
    f"{_GUARD} versions_refuse_replace BEFORE INSERT ON versions "
    f"WHEN EXISTS (SELECT 1 FROM versions WHERE version = NEW.version) {_REFUSAL}",
    *(f"{_GUARD} kit_refuse_{action.lower()} BEFORE {action} ON kit {_REFUSAL}" for action in ("UPDATE", "DELETE")),
    f"{_GUARD} kit_refuse_second BEFORE INSERT ON kit WHEN EXISTS (SELECT 1 FROM kit) {_REFUSAL}",
)
"""INSERT OR REPLACE deletes the row in its way, and fires no trigger of DELETE on a connection that did not ask for
it; so what would be in the way is refused before. Who inserts in earnest looks first (`log.store`)."""

GUARDS_3 = (
    *(f"{_GUARD} {table}_refuse_{action.lower()} BEFORE {action} ON {table} {_REFUSAL}"
      for table in ("laptops", "forgotten") for action in ("UPDATE", "DELETE")),
    f"{_GUARD} forgotten_refuse_replace BEFORE INSERT ON forgotten "
    f"WHEN EXISTS (SELECT 1 FROM forgotten WHERE what = NEW.what) {_REFUSAL}",
    *(f"{_GUARD} names_refuse_forgotten_{action.lower()} BEFORE {action} ON names "
      f"WHEN EXISTS (SELECT 1 FROM forgotten WHERE what = NEW.pseudonym) {_REFUSAL}"
      for action in ("INSERT", "UPDATE")),
    f"{_GUARD} laptops_refuse_replace BEFORE INSERT ON laptops "
    f"WHEN EXISTS (SELECT 1 FROM laptops WHERE id = NEW.id) {_REFUSAL}",
    "CREATE UNIQUE INDEX IF NOT EXISTS one_serial ON entries (laptop, serial) WHERE laptop <> '' AND imported = 0",
)
"""A laptop's key stays what it was; no laptop gives one serial twice; what was forgotten stays so. A name may go."""

Migration = Callable[[sa.Connection], None]


def keep_entries(connection: sa.Connection) -> None:
    """Version 1: the log, its versions, and the triggers that guard both."""
    first = sa.MetaData()
    first.create_all(connection, tables=[_entries(first)])
    metadata.create_all(connection, tables=[versions])
    _put(connection, GUARDS_1)


def mark_kit(connection: sa.Connection) -> None:
    """Version 2: which kit the log is of; a row that would replace another is refused whatever it has in common."""
    metadata.create_all(connection, tables=[kit])
    _put(connection, GUARDS_2)


def chain_entries(connection: sa.Connection) -> None:
    """Version 3: what an entry answers, whose it is, and its place in that laptop's chain; before any chain starts,
    the names that people typed move out of the entries, which are written anew with pseudonyms."""
    older = _entries(sa.MetaData())
    rows = [dict(row._mapping) for row in connection.execute(sa.select(older).order_by(older.c.number))]
    moved = [(row, veiled_older(from_row(row))) for row in rows]
    connection.execute(sa.text("DROP TABLE entries"))       # with its triggers, none of which fires
    metadata.create_all(connection, tables=[entries, laptops, names, forgotten])
    if moved:
        connection.execute(sa.insert(entries), [
            {**as_row(entry), "number": row["number"], "imported": row["imported"]} for row, entry in moved])
    known = {who: name for _row, entry in moved for who, name in entry.names.items()}
    if known:
        connection.execute(sa.insert(names), [{"pseudonym": who, "name": name} for who, name in known.items()])
    _put(connection, (*GUARDS_1, *GUARDS_2, *GUARDS_3))


def _put(connection: sa.Connection, statements: tuple[str, ...]) -> None:
    for statement in statements:
        connection.execute(sa.text(statement))


MIGRATIONS: list[tuple[str, Migration]] = [
    ("entries kept", keep_entries), ("kit marked", mark_kit), ("entries chained", chain_entries)]
"""In order; the place in the list, from 1, is the version."""


def version_of(connection: sa.Connection) -> int:
    """Version of the file; 0 for an empty one, and for one that is no log."""
    if not sa.inspect(connection).has_table("versions"):
        return 0
    return int(connection.execute(sa.select(sa.func.max(versions.c.version))).scalar() or 0)


def refuse_newer(version: int, path: str) -> None:
    """StoreError if this program is too old for the file."""
    if version > len(MIGRATIONS):
        raise StoreError(f"the log {path} has version {version}; this program reads up to version {len(MIGRATIONS)}. "
                         "Install the newer program that wrote it; the file was left as it is")


def migrate(connection: sa.Connection, path: str) -> None:
    """Bring the file to this version, each step with its record; one transaction, given by the caller."""
    version = version_of(connection)
    refuse_newer(version, path)
    others = sa.inspect(connection).get_table_names() if version == 0 else []
    if others:
        raise StoreError(f"{path} is no log: it holds the table {others[0]} of another program. Move it away; it was "
                         "left as it is")
    for number, (words, step) in enumerate(MIGRATIONS[version:], start=version + 1):
        step(connection)
        connection.execute(sa.insert(versions).values(version=number, words=words))


def engine_for(path: str, *, wait_s: float, writable: bool = True) -> sa.Engine:
    """An engine whose every connection is durable, guarded, and begins its own transactions.

    Writers begin IMMEDIATE (execution option `write`), so that none finds out half-way that another was first, and
    wait `wait_s` for a foreign lock, or as long as their option `wait_ms` says.
    """
    url = sa.URL.create("sqlite", database=path if writable else f"file:{path}",
                        query={} if writable else {"mode": "ro", "uri": "true"})
    engine = sa.create_engine(url, connect_args={"timeout": wait_s, "check_same_thread": False})

    def prepare(connection: sqlite3.Connection, record: Any) -> None:
        connection.isolation_level = None
        pragmas = ["foreign_keys = ON", "synchronous = FULL", "fullfsync = ON", "checkpoint_fullfsync = ON",
                   "recursive_triggers = ON", "secure_delete = ON", "temp_store = MEMORY"]
        for pragma in ["journal_mode = WAL", *pragmas] if writable else ["query_only = ON"]:
            connection.execute(f"PRAGMA {pragma}").close()

    def begin(connection: sa.Connection) -> None:
        options = connection.get_execution_options()
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {options.get('wait_ms', round(wait_s * 1000))}")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("write", False) else "BEGIN")

    event.listen(engine, "connect", prepare)
    event.listen(engine, "begin", begin)
    return engine
