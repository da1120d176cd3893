"""The log where its disk takes nothing: it is full, or write-protected. All of it can be read, nothing is written.

Stands in for a `Store`, so that phones go on reading; what they send waits in them. Opened anew once the disk takes
something again.
"""

from collections.abc import Iterable
from contextlib import AbstractContextManager, nullcontext, suppress
from pathlib import Path
from typing import Final, NoReturn

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from fieldapp.base.errors import Fault, StoreError
from fieldapp.kit.kit import Kit
from fieldapp.log.chain import ChainEnd, Gap, gaps, head_after
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, Laptop, laptop_file, this_laptop
from fieldapp.log.mark import IN_PLACE
from fieldapp.log.memory import cut_off, refuse_gaps, refuse_lost, remembered
from fieldapp.log.names import Names
from fieldapp.log.reading import reading
from fieldapp.log.rows import is_chained, known_laptops, read_names, read_rows

TAKES_NOTHING: Final[frozenset[Fault]] = frozenset({"full", "readonly", "io"})
"""Faults of the disk, behind which the log itself may be whole."""


class ReadOnly:
    """All that the log at `path` holds; `why` is what was said when it was to be opened for writing.

    Raises
    ------
    StoreError
        If it cannot be read either, or is not as it was written.
    """

    kept_older: Path | None = None

    def __init__(self, path: Path, kit: Kit, why: StoreError) -> None:
        refuse_lost(path, remembered(path))
        self.path, self.why = path, why
        self.laptop = _laptop(path)
        self._entries: tuple[Entry, ...] = ()
        self._laptops: dict[str, Known] = {}
        self.names = Names()
        if path.exists() and path.stat().st_size > 0:
            self._read(kit)
        self._look_for_gaps()

    def _read(self, kit: Kit) -> None:
        """From where it lies; where the database cannot make its index beside it, from a passing copy."""
        try:
            self._read_from(kit, copied=False)
        except StoreError as error:
            if error.fault not in TAKES_NOTHING:
                raise
            self._read_from(kit, copied=True)

    def _read_from(self, kit: Kit, *, copied: bool) -> None:
        with reading(self.path, copied=copied) as connection:
            self._entries = read_rows(connection, self.path, kit, IN_PLACE)
            self._laptops = known_laptops(connection) if is_chained(connection) else {}
            self.names = read_names(connection)

    def _look_for_gaps(self) -> None:
        """As the `Store` does on opening."""
        memory, own = remembered(self.path), [each for each in self._entries if each.laptop == self.laptop.known.id]
        head = head_after(max(own, key=lambda each: each.serial)) if own else ChainEnd(self.laptop.known.id)
        found: tuple[Gap, ...] = (*gaps(self._entries, self._laptops, signatures=False), *cut_off(memory, head))
        refuse_gaps(self.path, tuple(gap for gap in found if gap.fault != "unknown" and not memory.accepts(gap)))

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in order of arrival."""
        return tuple(each for each in self._entries if (each.number or 0) > since)

    def laptops(self) -> dict[str, Known]:
        """Laptops whose entries are taken as their own, by ID."""
        return self._laptops

    def turn(self, since: int) -> AbstractContextManager[tuple[Entry, ...]]:
        """Nothing is waited for."""
        return nullcontext(())

    def append(self, _entry: Entry) -> NoReturn:
        """Nothing is taken; raises what was said on opening."""
        raise StoreError(str(self.why), self.why.fault)

    def take_in(self, _entries: Iterable[Entry], _laptops: Iterable[Known] = (), _accepted: Iterable[Gap] = (), *,
                names: Names | None = None) -> NoReturn:
        """Nothing is taken in."""
        raise StoreError(str(self.why), self.why.fault)

    def forget(self, _what: Iterable[str]) -> NoReturn:
        """Nothing can be wiped."""
        raise StoreError(str(self.why), self.why.fault)

    def wipe(self) -> None:
        """There is nothing to wipe."""

    def close(self) -> None:
        """There is nothing to let go of."""


def _laptop(path: Path) -> Laptop:
    """The laptop of this log, or one that nobody will hear of."""
    if laptop_file(path).exists():
        with suppress(OSError):
            return this_laptop(path)
    return Laptop(Ed25519PrivateKey.generate())
