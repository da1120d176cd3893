"""A log moved from its file to a server and back: the same entries, names, laptops and photos, one after the other."""

from pathlib import Path
from typing import Any

import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import tables
from fieldapp.log.copying import lock_file
from fieldapp.log.entry import LOG_NAME
from fieldapp.log.laptop import begin_branch
from fieldapp.log.mark import IN_PLACE
from fieldapp.log.memory import MOVED, forget_end
from fieldapp.log.reading import in_words, reading
from fieldapp.log.rows import carries_mark, put_mark
from fieldapp.log.shared.connecting import engine_for, said_by, told
from fieldapp.log.shared.photos import bring, take_home
from fieldapp.log.shared.tables import counter, has_photos, next_number, prepare, schema_of

_TABLES = (tables.names, tables.forgotten, tables.laptops)
Held = dict[str, list[dict[str, Any]]]
"""Rows by table."""
UNHURRIED = "SET LOCAL statement_timeout = '60s'"
"""A large photo over a slow network may take longer than a phone would wait (in no formula)."""


def to_server(folder: Path, kit: Kit, address: str, *, role: str = "") -> int:
    """Put the log of a kit's folder on a server, as the owner of the database; returns how many entries.

    The file is kept under another name, and what remembers its end stays: `serve` would miss the log, and says so.

    Raises
    ------
    StoreError
        If the server does not take it or has entries of this kit already; the file is in use or cannot be read.
    """
    path = folder / LOG_NAME
    if not path.exists():
        return _made(folder, kit, address, {}, role=role)
    with lock_file(path):
        with reading(path) as connection:
            held = _all(connection)
        count = _made(folder, kit, address, held, role=role)
        path.rename(path.with_name(MOVED))
        return count


def _made(folder: Path, kit: Kit, address: str, held: Held, *, role: str) -> int:
    rows = held.get(tables.entries.name, [])
    engine = engine_for(address, schema_of(kit))
    try:
        with engine.begin() as connection:
            connection.execute(sa.text(UNHURRIED))
            prepare(connection, kit, role=role)
            there = int(connection.execute(sa.select(counter.c.last)).scalar_one())
            if there and rows:
                raise StoreError(f"{told(address)} holds {there} entries of the kit {kit.design.frame.prefix} already; "
                                 "a log is put into an empty store only. To bring two together: raisebook log export, "
                                 "and raisebook log import with --store")
            for table in _TABLES:
                if held.get(table.name):
                    connection.execute(sa.insert(table), held[table.name])
            for row in rows:
                connection.execute(sa.insert(tables.entries), {**row, "number": next_number(connection)})
            bring(connection, folder, {row["what"] for row in held.get(tables.forgotten.name, ())})
    except sa.exc.SQLAlchemyError as error:
        raise StoreError(f"{told(address)} did not take the log ({said_by(error)}). Nothing was written there, and "
                         "the file is as it was. Is this the owner of the database?") from error
    finally:
        engine.dispose()
    return len(rows)


def from_server(address: str, folder: Path, kit: Kit) -> int:
    """Put what a server holds of this kit into a new log file in its folder, photos too; returns how many entries.

    It goes on as a branch of its own, so that no serial ever means two entries.

    Raises
    ------
    StoreError
        If the folder has a log already, the server does not answer, or holds no log of this kit.
    """
    path = folder / LOG_NAME
    if path.exists():
        raise StoreError(f"{path} is there already. Move it away first, or join the two: raisebook log export, import")
    engine = engine_for(address, schema_of(kit))
    try:
        with engine.begin() as connection:
            connection.execute(sa.text(UNHURRIED))
            if tables.version_of(connection) == 0:
                raise StoreError(f"{told(address)} has no log of the kit {kit.design.frame.prefix}")
            tables.refuse_newer(tables.version_of(connection), told(address))
            carries_mark(connection, kit, path, IN_PLACE)
            held = _all(connection)
            if has_photos(connection):
                take_home(connection, folder)
    except sa.exc.SQLAlchemyError as error:
        raise StoreError(f"{told(address)} does not answer ({said_by(error)}). Start it, or mend the network"
                         ) from error
    finally:
        engine.dispose()
    with lock_file(path):
        forget_end(path)
        _write(path, kit, held)
    count = len(held[tables.entries.name])
    begin_branch(path, f"taken from a store after {count}")
    return count


def _write(path: Path, kit: Kit, held: Held) -> None:
    ready = path.with_name(f".{path.name}.new")
    ready.unlink(missing_ok=True)
    engine = tables.engine_for(str(ready), wait_s=0.0)
    try:
        with in_words(path), engine.execution_options(write=True).begin() as connection:
            tables.migrate(connection, str(path))
            put_mark(connection, kit)
            for table in (tables.entries, *_TABLES):
                if held[table.name]:
                    connection.execute(sa.insert(table), held[table.name])
        with in_words(path), engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        engine.dispose()
    ready.rename(path)
    for rest in ("-wal", "-shm"):
        ready.with_name(ready.name + rest).unlink(missing_ok=True)


def _all(connection: sa.Connection) -> Held:
    asked = ((table.name, sa.select(table).order_by(*table.primary_key)) for table in (tables.entries, *_TABLES))
    return {name: [dict(row._mapping) for row in connection.execute(query)] for name, query in asked}
