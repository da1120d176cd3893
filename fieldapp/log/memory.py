"""What a kit's folder remembers of its log, beside it: where it ended, so that a log that is gone or cut short is seen.

Written after every entry, without waiting for the disk: it may lag behind the log, never run ahead of it.
"""

import json
import os
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from fieldapp.base.errors import StoreError
from fieldapp.base.json_text import from_json
from fieldapp.log.chain import ChainEnd, Gap

_ENDING = "-end.json"
MOVED = "log-moved-to-a-store.sqlite"
"""The file as it was, once its log is on a server."""


@dataclass(frozen=True, slots=True)
class Memory:
    """Where the log ended, and which gaps in it somebody chose to go on with."""

    laptop: str = ""
    serial: int = 0
    digest: str = ""
    number: int = 0
    """Number of the newest entry, of whatever laptop."""
    accepted: tuple[tuple[str, int, int, str], ...] = ()
    last: str = ""
    """Digest of the newest entry, where several laptops write; empty for a log in a file."""

    def accepts(self, gap: Gap) -> bool:
        """True if somebody went on with it before."""
        return any(gap.laptop == laptop and first <= gap.first and gap.last <= last and gap.fault == fault
                   for laptop, first, last, fault in self.accepted)


def accepting(memory: Memory, found: Iterable[Gap]) -> Memory:
    """The same with further gaps that somebody went on with."""
    return replace(memory, accepted=(*memory.accepted, *((gap.laptop, gap.first, gap.last, gap.fault)
                                                         for gap in found)))


def memory_file(log: Path) -> Path:
    """Where it is kept."""
    return log.with_name(f"{log.stem}{_ENDING}")


def remembered(log: Path) -> Memory:
    """What the folder remembers; nothing if it never had a log, or what it remembers cannot be read."""
    try:
        held: dict[str, Any] = from_json(memory_file(log).read_text(encoding="utf-8"))
        accepted = tuple((str(a), int(b), int(c), str(d)) for a, b, c, d in held["accepted"])
        return Memory(str(held["laptop"]), int(held["serial"]), str(held["digest"]), int(held["number"]), accepted,
                      str(held.get("last", "")))
    except (OSError, ValueError, TypeError, KeyError):
        return Memory()


def remember(log: Path, memory: Memory) -> None:
    """Keep it; a disk that refuses costs the memory, never the entry, which is in the log by now."""
    path, ready = memory_file(log), log.with_name(f".{log.stem}{_ENDING}")
    try:
        ready.write_text(json.dumps(asdict(memory)) + "\n", encoding="utf-8")
        os.replace(ready, path)
    except OSError:
        ready.unlink(missing_ok=True)


def forget_end(log: Path) -> None:
    """Another log lies there now, put there on purpose; what was accepted of it is forgotten too."""
    memory_file(log).unlink(missing_ok=True)


def remember_end(log: Path, head: ChainEnd, number: int, memory: Memory) -> Memory:
    """Keep where the log ends now."""
    now = replace(memory, laptop=head.laptop, serial=head.serial, digest=head.digest, number=number)
    remember(log, now)
    return now


def cut_off(memory: Memory, head: ChainEnd) -> tuple[Gap, ...]:
    """What is missing at the end of this laptop's chain, or is another entry than the one that is remembered."""
    if memory.laptop != head.laptop or memory.serial < head.serial:
        return ()
    if memory.serial > head.serial:
        return (Gap(head.laptop, head.serial + 1, memory.serial, "missing"),)
    return (Gap(head.laptop, head.serial, head.serial, "changed"),) if memory.digest != head.digest else ()


def refuse_moved(log: Path) -> None:
    """StoreError if the folder's log was moved to a database server."""
    if log.with_name(MOVED).exists():
        raise StoreError(f"the log {log} was moved to a database server. Serve it from there: raisebook yard "
                         f"{log.parent} --store ADDRESS; or bring it back: raisebook log copy ADDRESS {log.parent}. "
                         f"{MOVED} is as old as the move: what broke since does not stand in it", "gone")


def refuse_lost(log: Path, memory: Memory) -> None:
    """StoreError if the folder had a log with entries and has none now; says what there is to go on from."""
    if memory.number == 0 or (log.exists() and log.stat().st_size > 0):
        return
    refuse_moved(log)
    kept = sorted(path.name for path in (*log.parent.glob(f"{log.stem}-*{log.suffix}"),
                                         *log.parent.glob(f"{log.stem}-rescued*.jsonl")) if path.is_file())
    there = f"In the folder are: {', '.join(kept)}" if kept else "No copy of it lies in the folder; look on the stick"
    raise StoreError(f"the log {log} is {'empty' if log.exists() else 'gone'}: it held {memory.number} entries, and "
                     f"without it broken parts look sound. {there}. Put it back with raisebook restore (a copy) or "
                     "raisebook log import (a rescue file); only if nothing is left, go on with a new log by --go-on, "
                     "and inspect the whole kit before it is used", "gone")


def refuse_gaps(log: Path, found: tuple[Gap, ...]) -> None:
    """StoreError that names every gap, if there is one."""
    if found:
        named = "; ".join(map(str, found[:5])) + ("; and more" if len(found) > 5 else "")
        raise StoreError(f"the log {log} is not as it was written: {named}. What these told of broken parts is not "
                         "known. Restore a backup, or import the log of another laptop; only if nothing is left, go "
                         "on without them by --go-on, and inspect the parts concerned", "damaged")
