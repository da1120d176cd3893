"""The open log of one kit on a database server: what `log.store` is for a file, written by several laptops at once."""

import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log import faults, tables
from fieldapp.log.chain import ChainEnd, Gap, gaps, head_after, linked
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, begin_branch, this_laptop
from fieldapp.log.lines import digest_of
from fieldapp.log.mark import IN_PLACE
from fieldapp.log.memory import accepting, cut_off, refuse_gaps, remember, remembered
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
from fieldapp.log.shared.connecting import engine_for, told
from fieldapp.log.shared.photos import erase, find, keep
from fieldapp.log.shared.tables import OLDEST, has_photos, next_number, schema_of, take_turn
from fieldapp.log.shared.words import bad_row, other_history, server_error

NOTHING_NEWER: Final = 2**31 - 1
"""Where no entries are asked for (in no formula)."""
MEMORY: Final = "log-on-server.json"
"""Beside the kit: what `log.memory` keeps there of a log on a server has this name, with -end before the dot."""


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
        self._appended: list[Entry] = []
        self._lock = threading.RLock()
        self._closed = False
        self._fault: StoreError | None = None
        self._head = ChainEnd(self.laptop.known.id)
        self._memory = remembered(path.with_name(MEMORY))
        self._opened: tuple[Entry, ...] | None = None

    @classmethod
    def open(cls, address: str, path: Path, kit: Kit, *, go_on: bool = False) -> "SharedStore":
        """Open the log of a kit on a server, whose tables were made before (`raisebook log copy`).

        `go_on`: also without entries that were answered and are not there; what is written from then on is a branch.

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
                store.names = read_names(connection)
                found = all_rows(connection, store.names)
                laptops = known_laptops(connection)
                store._head = own_head(connection, store.laptop.known.id)
            store._look_for_gaps(found, laptops, go_on=go_on)
            if store.laptop.known.id not in laptops:
                with store.turn(NOTHING_NEWER):
                    meet(store._writing(), (store.laptop.known,))
            store._memory = replace(store._memory, number=0, last="")
            store._note(found)
            store._opened = found
        except BaseException:
            store.close()
            raise
        return store

    def _look_first(self, connection: sa.Connection, kit: Kit) -> None:
        info = connection.dialect.server_version_info or (0,)
        if int(info[0]) * 10000 < OLDEST:
            raise StoreError(f"{self.address} runs PostgreSQL {info[0]}; {OLDEST // 10000} or newer is needed.")
        put_it = f"as the owner of the database: raisebook log copy {self.path.parent} ADDRESS --role ROLE"
        if tables.version_of(connection) == 0:
            raise StoreError(f"{self.address} has no log of the kit {kit.design.frame.prefix}. Put it there first, "
                             f"{put_it}")
        tables.refuse_newer(tables.version_of(connection), self.address)
        if not has_photos(connection):
            raise StoreError(f"{self.address} has no room for photos yet, since an older program made its tables. "
                             f"Bring them up to date, {put_it}")
        carries_mark(connection, kit, self.path, IN_PLACE)

    def _look_for_gaps(self, found: tuple[Entry, ...], laptops: dict[str, Known], *, go_on: bool) -> None:
        """StoreError if entries are missing, changed, or fewer than this laptop has seen; with `go_on` a branch."""
        chains = (*gaps(found, laptops, signatures=False), *cut_off(self._memory, self._head))
        wrong = tuple(gap for gap in chains if gap.fault != "unknown" and not self._memory.accepts(gap))
        trouble = other_history(self.address, self.path.parent, found, self._memory, moved=True)
        if trouble and not go_on:
            raise trouble
        if wrong and not go_on:
            refuse_gaps(self.path, wrong)
        if trouble or wrong:
            self.laptop = begin_branch(self.path, f"after {self._memory.serial} of {self._head.laptop}")
            self._head = ChainEnd(self.laptop.known.id)
            self._memory = accepting(self._memory, wrong)

    @contextmanager
    def turn(self, since: int) -> Iterator[tuple[Entry, ...]]:
        """While inside, no other laptop writes; gives the entries above `since`. All or nothing of it is kept.

        Raises
        ------
        StoreError
            If the server does not answer, or others hold it up; if what was known is not there any more.
        """
        with self._lock, self._speaking() as connection:
            take_turn(connection)
            newer = () if since == NOTHING_NEWER else self._above(connection, since)
            head, names, self._turn, self._appended = self._head, self.names, connection, []
            try:
                yield newer
                connection.commit()
            except BaseException:
                self._head, self.names = head, names
                raise
            finally:
                self._turn = None
            self._note(self._appended)

    def _above(self, connection: sa.Connection, since: int) -> tuple[Entry, ...]:
        """Entries above a number that was known; they, and all that was known, are taken for certain from here on."""
        self.names = read_names(connection)
        found = all_rows(connection, self.names, max(since - 1, 0))
        trouble = other_history(self.address, self.path.parent, found, self._memory, moved=False) if since else None
        if trouble:
            self._fault = trouble
            raise trouble
        newer = tuple(entry for entry in found if (entry.number or 0) > since)
        self._note(newer)
        return newer

    def _note(self, entries: Sequence[Entry]) -> None:
        """Remember these, which are on the server for good, as the last that are known, and of the own chain."""
        for entry in entries:
            if entry.laptop == self._head.laptop and entry.serial > self._head.serial:
                self._head = head_after(entry)
        if entries and (entries[-1].number or 0) > self._memory.number:
            self._memory = replace(self._memory, laptop=self._head.laptop, serial=self._head.serial,
                                   digest=self._head.digest, number=entries[-1].number or 0,
                                   last=digest_of(entries[-1]))
            remember(self.path.with_name(MEMORY), self._memory)

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
            self._appended.append(stored)
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
        """Forget the names of these pseudonyms, and erase these photos."""
        gone = frozenset(what)
        with self.turn(NOTHING_NEWER):
            self.names = put_names(self._writing(), self.names, Names({}, gone))
            erase(self._writing(), gone)

    def keep_photo(self, digest: str, content: bytes) -> None:
        """Keep a photo under its digest; harmless a second time, and nothing comes of one that was erased on request.

        Raises
        ------
        StoreError
            If the server does not take it.
        """
        if digest in self.names.forgotten:
            return
        with self._speaking() as connection:
            keep(connection, digest, content)
            connection.commit()

    def photo(self, digest: str) -> bytes | None:
        """What is kept under a digest, whichever laptop took it; None if nothing is."""
        with self._speaking() as connection:
            return None if digest in self.names.forgotten else find(connection, digest)

    def wipe(self) -> None:
        """The server's own business: rows that were deleted leave its files with VACUUM FULL, and its backups never."""

    def laptops(self) -> dict[str, Known]:
        """Laptops whose entries are taken as their own, by ID."""
        with self._speaking() as connection:
            return known_laptops(connection)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in the order in which they were kept; names as they are now."""
        with self._lock:
            opened, self._opened = self._opened, None
            if opened is not None and since == 0:
                return opened
            with self._speaking() as connection:
                return self._above(connection, since)

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
        if self._fault is not None:
            raise StoreError(str(self._fault), self._fault.fault)
        try:
            with self._engine.connect() as connection:
                yield connection
        except sa.exc.SQLAlchemyError as error:
            raise server_error(self.address, error) from error
        except (ValueError, KeyError, TypeError) as error:
            raise bad_row(self.address, error) from error
