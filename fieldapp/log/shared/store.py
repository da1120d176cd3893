"""The open log of one kit on a database server: what `log.store` is for a file, written by several laptops at once."""

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

import sqlalchemy as sa

from fieldapp.base.errors import Fault, StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import faults, tables
from fieldapp.log.chain import ChainEnd, Gap, gaps, head_after, linked
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, this_laptop
from fieldapp.log.mark import IN_PLACE
from fieldapp.log.memory import refuse_gaps
from fieldapp.log.names import Names, names_in, veiled, veiled_older, with_names
from fieldapp.log.rows import (
    all_rows,
    carries_mark,
    find_row,
    insert_row,
    known_laptops,
    meet,
    own_head,
    put_names,
    read_names,
)
from fieldapp.log.shared.tables import OLDEST, engine_for, next_number, said_by, schema_of, take_turn, told

_OF_STATE: Final[dict[str, Fault]] = {"53100": "full", "55P03": "busy", "57014": "busy", "42501": "readonly",
                                      "25006": "readonly"}
"""What a class of SQLSTATE means to people: disk full, lock not available, query cancelled, rights, read only.
Source: PostgreSQL 15 documentation, appendix A. Test: tests/log/test_shared.py"""

NOTHING_NEWER: Final = 2**31 - 1
"""Where no entries are asked for (in no formula)."""


class SharedStore:
    """The open log. Make one with `SharedStore.open`; close it when done."""

    kept_older: Path | None = None

    def __init__(self, address: str, path: Path, kit: Kit) -> None:
        self.path = path
        """Where a rescue file would lie: beside the key of this laptop, in the kit's folder."""
        self.address = told(address)
        self.schema = schema_of(kit)
        self.laptop = this_laptop(path)
        self.names = Names()
        self._engine = engine_for(address, self.schema)
        self._turn: sa.Connection | None = None
        self._lock = threading.RLock()
        self._closed = False
        self._head = ChainEnd(self.laptop.known.id)

    @classmethod
    def open(cls, address: str, path: Path, kit: Kit) -> "SharedStore":
        """Open the log of a kit on a server, whose tables were made before (`raisebook log copy`).

        Raises
        ------
        StoreError
            If the server does not answer, is too old, has no log of this kit or one of a newer program; or entries of
            it are missing or changed.
        """
        store = cls(address, path, kit)
        try:
            with store._speaking() as connection:
                store._look_first(connection, kit)
            with store.turn(NOTHING_NEWER):
                meet(store._writing(), (store.laptop.known,))
            with store._speaking() as connection:
                store._head = own_head(connection, store.laptop.known.id)
                store.names = read_names(connection)
                found = gaps(all_rows(connection, store.names), known_laptops(connection), signatures=False)
                refuse_gaps(path, tuple(gap for gap in found if gap.fault != "unknown"))
        except BaseException:
            store.close()
            raise
        return store

    def _look_first(self, connection: sa.Connection, kit: Kit) -> None:
        info = connection.dialect.server_version_info or (0,)
        if int(info[0]) * 10000 < OLDEST:
            raise StoreError(f"{self.address} runs PostgreSQL {info[0]}; {OLDEST // 10000} or newer is needed.")
        if tables.version_of(connection) == 0:
            raise StoreError(f"{self.address} has no log of the kit {kit.design.frame.prefix}. Put it there first, as "
                             f"the owner of the database: raisebook log copy {self.path.parent} {self.address}")
        tables.refuse_newer(tables.version_of(connection), self.address)
        carries_mark(connection, kit, self.path, IN_PLACE)

    @contextmanager
    def turn(self, since: int) -> Iterator[tuple[Entry, ...]]:
        """While inside, no other laptop writes; gives the entries above `since`. All or nothing of it is kept.

        Raises
        ------
        StoreError
            If the server does not answer, or others hold it up.
        """
        with self._lock, self._speaking() as connection:
            last = take_turn(connection)
            if last < since < NOTHING_NEWER:
                raise StoreError(f"the server {self.address} has {last} entries of this kit where {since} were "
                                 "answered: it was put back from an older copy, or does not wait for its disk", "gone")
            self.names = read_names(connection)
            head, names, self._turn = self._head, self.names, connection
            try:
                yield all_rows(connection, self.names, since) if last > since else ()
                connection.commit()
            except BaseException:
                self._head, self.names = head, names
                raise
            finally:
                self._turn = None

    def append(self, entry: Entry) -> Entry:
        """Keep an entry admitted here, within a `turn`, as the next of this laptop's chain; as it is there for good.

        A key that was admitted on any laptop before gives the first entry.
        """
        connection = self._writing()
        stored = find_row(connection, entry, imported=0)
        if stored is None:
            pseudonyms = {name: who for who, name in sorted(self.names.known.items(), reverse=True)}
            placed = linked(veiled(entry, pseudonyms), self.laptop, self._head)
            stored = replace(placed, number=insert_row(connection, placed, imported=0, number=next_number(connection)))
            self._head = head_after(stored)
            if not stored.names.items() <= self.names.known.items():
                self.names = put_names(connection, self.names, Names(stored.names))
        return with_names(stored, self.names)

    def take_in(self, entries: Iterable[Entry], laptops: Iterable[Known] = (), accepted: Iterable[Gap] = (), *,
                names: Names | None = None) -> tuple[Entry, ...]:
        """Keep entries of other laptops, those laptops' keys, and names, all or none; returns what entries were new."""
        moved = [veiled_older(entry) for entry in entries]
        new: list[Entry] = []
        with self.turn(NOTHING_NEWER):
            connection = self._writing()
            meet(connection, laptops)
            self.names = put_names(connection, self.names, names_in(moved).merged(names or Names()))
            for entry in moved:
                if find_row(connection, entry, imported=1) is None:
                    number = insert_row(connection, entry, imported=1, number=next_number(connection))
                    new.append(with_names(replace(entry, number=number), self.names))
        return tuple(new)

    def forget(self, what: Iterable[str]) -> None:
        """Forget the names of these pseudonyms, and note these photos as erased."""
        with self.turn(NOTHING_NEWER):
            self.names = put_names(self._writing(), self.names, Names({}, frozenset(what)))

    def wipe(self) -> None:
        """The server's own business: rows that were deleted leave its files with VACUUM FULL, and its backups never."""

    def laptops(self) -> dict[str, Known]:
        """Laptops whose entries are taken as their own, by ID."""
        with self._speaking() as connection:
            return known_laptops(connection)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in the order in which they were kept; names as they are now."""
        with self._lock, self._speaking() as connection:
            self.names = read_names(connection)
            return all_rows(connection, self.names, since)

    def close(self) -> None:
        """Let go of the server; harmless a second time."""
        with self._lock:
            self._closed = True
            self._engine.dispose()

    def _writing(self) -> sa.Connection:
        if self._turn is None:
            raise RuntimeError("a shared log is written within a turn only")
        return self._turn

    @contextmanager
    def _speaking(self) -> Iterator[sa.Connection]:
        """A connection; what the server says is turned into words for a person."""
        if self._closed:
            raise faults.closed(self.path)
        try:
            with self._engine.connect() as connection:
                yield connection
        except sa.exc.SQLAlchemyError as error:
            raise self._in_words(error) from error
        except (ValueError, KeyError, TypeError) as error:
            raise StoreError(f"the log on {self.address} holds a row that is no entry: {error}. Put back the newest "
                             "backup of the database, or go on from another copy: raisebook log copy", "damaged"
                             ) from error

    def _in_words(self, error: sa.exc.SQLAlchemyError) -> StoreError:
        state, said = getattr(getattr(error, "orig", None), "sqlstate", None) or "", said_by(error)
        fault = _OF_STATE.get(state, "" if state and not state.startswith(("08", "57", "58")) else "away")
        if fault == "away":
            return StoreError(f"the server {self.address} does not answer ({said}). Start it, or mend the network; "
                              "phones keep what they send, and nothing was half-written", "away")
        return StoreError(f"the server {self.address} did not take it ({said}). Nothing was half-written; send again",
                          fault)
