"""Entries, names, laptops and the kit's mark as rows of the log's tables; all but `fill` are given their connection."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from fieldapp.base.json_text import from_json
from fieldapp.kit.kit import Kit
from fieldapp.log import tables
from fieldapp.log.chain import ChainEnd, head_after
from fieldapp.log.entry import Entry
from fieldapp.log.faults import store_error
from fieldapp.log.laptop import Known
from fieldapp.log.lines import as_row, digest_of, from_row
from fieldapp.log.mark import mark_from, mark_of, mark_text, refuse_other_kit, refuse_strangers
from fieldapp.log.names import Names, with_names

ENTRY_COLUMNS = tuple(column for column in tables.entries.c if column.name not in ("digest", "imported"))


def _finding(same: sa.ColumnElement[bool]) -> sa.Select[Any]:
    return sa.select(*ENTRY_COLUMNS).where(same).order_by(tables.entries.c.number).limit(1)


_SAME = tables.entries.c.digest == sa.bindparam("digest")
_SAME_KEY = sa.and_(tables.entries.c.key == sa.bindparam("key"), tables.entries.c.imported == sa.literal_column("0"))
_FIND_SAME, _FIND = _finding(_SAME), _finding(sa.or_(_SAME, _SAME_KEY))
_INSERT = sa.insert(tables.entries).returning(tables.entries.c.number)
"""Statements of every write, put together once."""


def read_rows(connection: sa.Connection, path: Path, kit: Kit | None, then: str) -> tuple[Entry, ...]:
    tables.refuse_newer(tables.version_of(connection), str(path))
    found = all_rows(connection, read_names(connection), chained=is_chained(connection))
    if kit is not None and not carries_mark(connection, kit, path, then):
        refuse_strangers(kit, found, f"the log {path}", then)
    return found


def all_rows(connection: sa.Connection, names: Names, since: int = 0, *, chained: bool = True) -> tuple[Entry, ...]:
    columns = ENTRY_COLUMNS if chained else [c for c in ENTRY_COLUMNS if c.name not in tables.CHAIN_COLUMNS]
    query = sa.select(*columns).where(tables.entries.c.number > since).order_by(tables.entries.c.number)
    return tuple(with_names(from_row(dict(row._mapping)), names) for row in connection.execute(query))


def is_chained(connection: sa.Connection) -> bool:
    """False for the file of an older program, which knows nothing of chains."""
    return tables.version_of(connection) >= tables.CHAINED_SINCE


def find_row(connection: sa.Connection, entry: Entry, *, imported: int) -> Entry | None:
    """The entry that is there already: the very same one or, of those admitted here, one with the same key."""
    row = connection.execute(_FIND_SAME if imported else _FIND, {"digest": digest_of(entry), "key": entry.key}).first()
    return None if row is None else from_row(dict(row._mapping))


def insert_row(connection: sa.Connection, entry: Entry, *, imported: int, number: int | None = None) -> int:
    """The number given: by the file itself, or by whoever counts for several laptops."""
    own = {} if number is None else {"number": number}
    given: int = connection.execute(_INSERT, {**as_row(entry), "imported": imported, **own}).scalar_one()
    return given


def read_names(connection: sa.Connection) -> Names:
    """What stands outside the entries; nothing in the file of an older program."""
    if not is_chained(connection):
        return Names()
    known = connection.execute(sa.select(tables.names.c.pseudonym, tables.names.c.name))
    forgotten = connection.execute(sa.select(tables.forgotten.c.what)).scalars()
    return Names({str(row.pseudonym): str(row.name) for row in known}, frozenset(forgotten))


def put_names(connection: sa.Connection, had: Names, more: Names) -> Names:
    """Add to what the log has; names that were forgotten on either side are deleted. Returns what it has now."""
    now = had.merged(more)
    dropped = [who for who, name in had.known.items() if now.known.get(who) != name]
    added = [{"pseudonym": who, "name": name} for who, name in now.known.items() if had.known.get(who) != name]
    if dropped:
        gone = tables.names.c.pseudonym == sa.bindparam("gone")
        connection.execute(sa.delete(tables.names).where(gone), [{"gone": who} for who in dropped])
    if added:
        connection.execute(sa.insert(tables.names), added)
    if now.forgotten - had.forgotten:
        connection.execute(sa.insert(tables.forgotten), [{"what": what} for what in
                                                         sorted(now.forgotten - had.forgotten)])
    return now


def known_laptops(connection: sa.Connection) -> dict[str, Known]:
    rows = connection.execute(sa.select(tables.laptops.c.public_key, tables.laptops.c.branch))
    return {known.id: known for known in (Known(*row) for row in rows)}


def meet(connection: sa.Connection, laptops: Iterable[Known]) -> None:
    """Take these laptops' entries as their own from now on."""
    met = known_laptops(connection)
    for known in laptops:
        if known.id not in met:
            connection.execute(sa.insert(tables.laptops).values(id=known.id, public_key=known.public_key,
                                                                branch=known.branch))


def own_head(connection: sa.Connection, laptop: str) -> ChainEnd:
    """Where the chain of this laptop ends."""
    query = sa.select(*ENTRY_COLUMNS).where(tables.entries.c.laptop == laptop)
    row = connection.execute(query.order_by(tables.entries.c.serial.desc()).limit(1)).first()
    return ChainEnd(laptop) if row is None else head_after(from_row(dict(row._mapping)))


def carries_mark(connection: sa.Connection, kit: Kit, path: Path, then: str) -> bool:
    """False if the log carries no mark; StoreError if it carries another kit's."""
    marked = sa.inspect(connection).has_table(tables.kit.name)
    text = connection.execute(sa.select(tables.kit.c.mark)).scalar() if marked else None
    if text is None:
        return False
    refuse_other_kit(kit, mark_from(from_json(text)), f"the log {path}", then)
    return True


def put_mark(connection: sa.Connection, kit: Kit) -> None:
    """Give the log the kit's mark, if it has none yet; its entries fit, as was looked at before."""
    if connection.execute(sa.select(tables.kit.c.mark)).first() is None:
        connection.execute(sa.insert(tables.kit).values(mark=mark_text(mark_of(kit))))


def fill(path: Path, kit: Kit, entries: Iterable[Entry], laptops: Iterable[Known], names: Names) -> None:
    """Put more entries, laptops and names into a log's file that nobody has open, made if it is not there; all or none.

    Raises
    ------
    StoreError
        If the disk does not take them, or the file is of another kit or a newer program.
    """
    engine = tables.engine_for(str(path), wait_s=0.0)
    try:
        with engine.execution_options(write=True).begin() as connection:
            tables.migrate(connection, str(path))
            put_mark(connection, kit)
            meet(connection, laptops)
            put_names(connection, read_names(connection), names)
            for entry in entries:
                if find_row(connection, entry, imported=1) is None:
                    insert_row(connection, entry, imported=1)
    except sa.exc.DBAPIError as error:
        raise store_error(path, error.orig or error) from error
    finally:
        engine.dispose()
