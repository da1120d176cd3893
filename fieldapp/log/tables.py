"""The tables of the log, what the database itself refuses, and how an older file becomes a newer one."""

import sqlite3
from collections.abc import Callable
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event

from fieldapp.base.errors import StoreError

metadata = sa.MetaData()

entries = sa.Table(
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
    sa.Column("order_ms", sa.Integer, nullable=False),
    sa.Column("data", sa.Text, nullable=False, comment="JSON"),
    sa.Column("digest", sa.Text, nullable=False, unique=True, comment="SHA-256 of the line as exported"),
    sa.Column("imported", sa.Integer, nullable=False, comment="1 if it was admitted on another laptop"),
    sqlite_autoincrement=True,
    comment="one row per entry, in order of arrival; never changed",
)
sa.Index("one_key", entries.c.key, unique=True, sqlite_where=entries.c.imported == 0,
         postgresql_where=entries.c.imported == 0)

versions = sa.Table(
    "versions", metadata,
    sa.Column("version", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("words", sa.Text, nullable=False),
    comment="one row per migration that this file went through",
)

_REFUSAL = "BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END"
GUARDS = (
    *(f"CREATE TRIGGER IF NOT EXISTS {table}_refuse_{action.lower()} BEFORE {action} ON {table} {_REFUSAL}"
      for table in ("entries", "versions") for action in ("UPDATE", "DELETE")),
    "CREATE TRIGGER IF NOT EXISTS entries_refuse_replace BEFORE INSERT ON entries "
    f"WHEN EXISTS (SELECT 1 FROM entries WHERE number = NEW.number) {_REFUSAL}",
)
"""SQL that no builder of the library writes: SQLite's own triggers."""

Migration = Callable[[sa.Connection], None]


def keep_entries(connection: sa.Connection) -> None:
    """Version 1: the log, its versions, and the triggers that guard both."""
    metadata.create_all(connection)
    for statement in GUARDS:
        connection.execute(sa.text(statement))


MIGRATIONS: list[tuple[str, Migration]] = [("entries kept", keep_entries)]
"""In order; the place in the list, from 1, is the version."""


def version_of(connection: sa.Connection) -> int:
    """Version of the file; 0 for an empty one."""
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
    for number, (words, step) in enumerate(MIGRATIONS[version:], start=version + 1):
        step(connection)
        connection.execute(sa.insert(versions).values(version=number, words=words))


def engine_for(path: str, *, wait_s: float, writable: bool = True) -> sa.Engine:
    """An engine whose every connection is durable, guarded, and begins its own transactions.

    Writers begin IMMEDIATE (execution option `write`), so that none finds out half-way that another was first.
    """
    url = sa.URL.create("sqlite", database=path if writable else f"file:{path}",
                        query={} if writable else {"mode": "ro", "uri": "true"})
    engine = sa.create_engine(url, connect_args={"timeout": wait_s, "check_same_thread": False})

    def prepare(connection: sqlite3.Connection, record: Any) -> None:
        connection.isolation_level = None
        pragmas = ["foreign_keys = ON", "synchronous = FULL", "fullfsync = ON", "checkpoint_fullfsync = ON",
                   "recursive_triggers = ON"]
        for pragma in ["journal_mode = WAL", *pragmas] if writable else ["query_only = ON"]:
            connection.execute(f"PRAGMA {pragma}").close()

    def begin(connection: sa.Connection) -> None:
        write = connection.get_execution_options().get("write", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    event.listen(engine, "connect", prepare)
    event.listen(engine, "begin", begin)
    return engine
