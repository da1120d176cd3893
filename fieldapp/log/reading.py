"""Reading a log that another process may be writing, and what the database says of it, in words."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import faults, tables
from fieldapp.log.copying import WAIT_S, expect_file, readable
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known
from fieldapp.log.mark import IN_PLACE
from fieldapp.log.names import Names
from fieldapp.log.rows import is_chained, known_laptops, read_names, read_rows


def read_laptops(path: Path) -> dict[str, Known]:
    """Laptops that a log knows, by ID, from a file that another process may be writing; StoreError as `read_log`."""
    with reading(path) as connection:
        return known_laptops(connection) if is_chained(connection) else {}


def names_of(path: Path) -> Names:
    """What stands outside the entries of a log: names, and what was forgotten; StoreError as `read_log`."""
    with reading(path) as connection:
        return read_names(connection)


def read_log(path: Path, kit: Kit | None = None, then: str = IN_PLACE) -> tuple[Entry, ...]:
    """All entries of a log that another process may be writing, or that lies on a write-protected disk.

    Raises
    ------
    StoreError
        If it cannot be read, or is not of the kit; `then` says what to do about that.
    """
    with reading(path) as connection:
        return read_rows(connection, path, kit, then)


@contextmanager
def reading(path: Path, *, copied: bool = False) -> Iterator[sa.Connection]:
    """A connection that only reads, `copied`: from a passing copy in any case; StoreError if there is no log."""
    expect_file(path)
    with in_words(path), readable(path, copied=copied) as log:
        engine = tables.engine_for(quote(str(log.resolve())), wait_s=WAIT_S, writable=False)
        try:
            with engine.connect() as connection:
                yield connection
        finally:
            engine.dispose()


def check_whole(path: Path) -> None:
    """StoreError if the file is not whole, seen from outside, as the next start will see it."""
    address = f"file:{quote(str(path.resolve()))}?mode=ro"
    with in_words(path), closing(sqlite3.connect(address, uri=True, timeout=WAIT_S)) as connection:
        said = str(connection.execute("PRAGMA quick_check").fetchone()[0])
    if said != "ok":
        raise faults.damaged(path, said)


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn what the database driver says into a StoreError for a person; the cause is kept."""
    try:
        yield
    except (sa.exc.DBAPIError, sqlite3.Error) as error:
        raise faults.store_error(path, getattr(error, "orig", None) or error) from error
    except (ValueError, KeyError, TypeError) as error:
        raise faults.damaged(path, f"a row that is no entry: {error}") from error
    except OSError as error:
        raise StoreError(f"the log {path} cannot be read: {error.strerror}. Check the rights of the file and the space "
                         "for passing copies on this computer") from error
