"""A log moved from its file to a server and back: the same entries, names and laptops, one after the other."""

from collections.abc import Iterable
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
from fieldapp.log.shared.tables import counter, engine_for, next_number, prepare, said_by, schema_of, told

_TABLES = (tables.names, tables.forgotten, tables.laptops)


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
        return _made(kit, address, (), {}, role=role)
    with lock_file(path):
        with reading(path) as connection:
            rows = _rows(connection, tables.entries, tables.entries.c.number)
            others = {table.name: _rows(connection, table, *table.primary_key) for table in _TABLES}
        count = _made(kit, address, rows, others, role=role)
        path.rename(path.with_name(MOVED))
        return count


def _made(kit: Kit, address: str, rows: Iterable[dict[str, Any]], others: dict[str, list[dict[str, Any]]], *,
          role: str) -> int:
    engine = engine_for(address, schema_of(kit))
    count = 0
    try:
        with engine.begin() as connection:
            prepare(connection, kit, role=role)
            held = int(connection.execute(sa.select(counter.c.last)).scalar_one())
            if held and rows:
                raise StoreError(f"{told(address)} holds {held} entries of the kit {kit.design.frame.prefix} already; "
                                 "a log is put into an empty store only. To bring two together, join them in one "
                                 "folder by raisebook log import, and copy that")
            for table in _TABLES:
                if others.get(table.name):
                    connection.execute(sa.insert(table), others[table.name])
            for row in rows:
                connection.execute(sa.insert(tables.entries), {**row, "number": next_number(connection)})
                count += 1
    except sa.exc.SQLAlchemyError as error:
        raise StoreError(f"{told(address)} did not take the log ({said_by(error)}). Nothing was written there, and "
                         "the file is as it was. Is this the owner of the database?") from error
    finally:
        engine.dispose()
    return count


def from_server(address: str, folder: Path, kit: Kit) -> int:
    """Put what a server holds of this kit into a new log file in its folder; returns how many entries.

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
        with engine.connect() as connection:
            if tables.version_of(connection) == 0:
                raise StoreError(f"{told(address)} has no log of the kit {kit.design.frame.prefix}")
            tables.refuse_newer(tables.version_of(connection), told(address))
            carries_mark(connection, kit, path, IN_PLACE)
            rows = _rows(connection, tables.entries, tables.entries.c.number)
            others = {table.name: _rows(connection, table, *table.primary_key) for table in _TABLES}
    except sa.exc.SQLAlchemyError as error:
        raise StoreError(f"{told(address)} does not answer ({said_by(error)}). Start it, or mend the network"
                         ) from error
    finally:
        engine.dispose()
    with lock_file(path):
        forget_end(path)
        _write(path, kit, rows, others)
    begin_branch(path, f"taken from a store after {len(rows)}")
    return len(rows)


def _write(path: Path, kit: Kit, rows: list[dict[str, Any]], others: dict[str, list[dict[str, Any]]]) -> None:
    ready = path.with_name(f".{path.name}.new")
    ready.unlink(missing_ok=True)
    engine = tables.engine_for(str(ready), wait_s=0.0)
    try:
        with in_words(path), engine.execution_options(write=True).begin() as connection:
            tables.migrate(connection, str(path))
            put_mark(connection, kit)
            for table, found in ((tables.entries, rows), *((table, others[table.name]) for table in _TABLES)):
                if found:
                    connection.execute(sa.insert(table), found)
        with in_words(path), engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        engine.dispose()
    ready.rename(path)
    for rest in ("-wal", "-shm"):
        ready.with_name(ready.name + rest).unlink(missing_ok=True)


def _rows(connection: sa.Connection, table: sa.Table, *order: sa.ColumnElement[Any]) -> list[dict[str, Any]]:
    return [dict(row._mapping) for row in connection.execute(sa.select(table).order_by(*order))]
