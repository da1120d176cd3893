"""Each laptop's entries as a chain: what was changed, what is missing, and what nobody vouches for."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, Laptop
from fieldapp.log.lines import digest_of

ChainFault = Literal["missing", "changed", "doubled", "unsigned", "unknown"]
FAULT_WORDS: Mapping[ChainFault, str] = {
    "missing": "missing", "changed": "not what their laptop wrote, or the entry before them is not",
    "doubled": "there twice, and differ", "unsigned": "not signed by that laptop",
    "unknown": "of a laptop that is not known here"}


@dataclass(frozen=True, slots=True)
class ChainEnd:
    """Where a laptop's chain ends."""

    laptop: str
    serial: int = 0
    digest: str = ""


@dataclass(frozen=True, slots=True)
class Gap:
    """A run of entries of one laptop that cannot be relied on, and why."""

    laptop: str
    first: int
    last: int
    fault: ChainFault

    def __str__(self) -> str:
        which = f"entry {self.first}" if self.first == self.last else f"entries {self.first} to {self.last}"
        return f"{which} of laptop {self.laptop}: {FAULT_WORDS[self.fault]}"


def linked(entry: Entry, laptop: Laptop, head: ChainEnd) -> Entry:
    """The entry as the next of this laptop's chain, signed."""
    placed = replace(entry, laptop=head.laptop, serial=head.serial + 1, before=head.digest, signature="")
    return replace(placed, signature=laptop.sign(digest_of(placed)))


def head_after(entry: Entry) -> ChainEnd:
    """The end of its laptop's chain when this entry is the last."""
    return ChainEnd(entry.laptop, entry.serial, digest_of(entry))


def heads(entries: Iterable[Entry]) -> dict[str, ChainEnd]:
    """Where each laptop's chain ends."""
    last: dict[str, Entry] = {}
    for entry in entries:
        if entry.laptop and (entry.laptop not in last or entry.serial > last[entry.laptop].serial):
            last[entry.laptop] = entry
    return {laptop: head_after(entry) for laptop, entry in last.items()}


def gaps(entries: Iterable[Entry], known: Mapping[str, Known], *, signatures: bool = True) -> tuple[Gap, ...]:
    """All that is wrong with the chains in a log, laptop by laptop; entries of older programs stand in none.

    Parameters
    ----------
    known : mapping
        Laptops by ID, with their keys.
    signatures : bool
        False to leave them out, where every entry was looked at when it came in: the chain alone then tells.
    """
    chained = sorted((entry for entry in entries if entry.laptop), key=lambda entry: (entry.laptop, entry.serial))
    found: list[Gap] = []
    for laptop, chain in groupby(chained, key=lambda entry: entry.laptop):
        vouched = known.get(laptop)
        found += _runs(_faults(laptop, tuple(chain), vouched, signatures=signatures))
    return tuple(found)


def _faults(laptop: str, chain: tuple[Entry, ...], known: Known | None, *, signatures: bool) -> Iterator[Gap]:
    last, digest = 0, ""
    for entry in chain:
        own = digest_of(entry)
        if entry.serial > last + 1:
            yield Gap(laptop, last + 1, entry.serial - 1, "missing")
        elif entry.serial == last:
            if own != digest:
                yield Gap(laptop, entry.serial, entry.serial, "doubled")
            continue
        elif entry.before != digest:
            yield Gap(laptop, entry.serial, entry.serial, "changed")
        if known is None or known.id != laptop:
            yield Gap(laptop, entry.serial, entry.serial, "unknown")
        elif signatures and not known.signed(own, entry.signature):
            yield Gap(laptop, entry.serial, entry.serial, "unsigned")
        last, digest = entry.serial, own


def _runs(faults: Iterable[Gap]) -> Iterator[Gap]:
    """Neighbours with the same fault told as one."""
    open_run: Gap | None = None
    for fault in sorted(faults, key=lambda gap: (gap.fault, gap.first)):
        if open_run and fault.fault == open_run.fault and fault.first == open_run.last + 1:
            open_run = replace(open_run, last=fault.last)
            continue
        if open_run:
            yield open_run
        open_run = fault
    if open_run:
        yield open_run
