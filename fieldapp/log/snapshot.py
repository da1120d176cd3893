"""The fold of a long log kept beside it, so that opening a kit need not fold all that ever happened.

Derived data, never believed: it says on which entries it rests, by their number and a digest over all that they say,
and of which kit and program it is. Where any of that is not so, or the file is not as it was written, it is passed over
and the whole log is folded. Names stand in it as in the log: whoever forgets one drops it.
"""

import hashlib
import json
import os
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path

from fieldapp.base.clock import moment_text
from fieldapp.base.errors import KitError
from fieldapp.base.json_text import from_json
from fieldapp.base.program import program_digest
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.file import KIT_FILE
from fieldapp.kit.kit import Kit
from fieldapp.log.draft import Draft, thaw
from fieldapp.log.entry import Entry
from fieldapp.log.fold import apply_all, fold, fold_from
from fieldapp.log.plain import as_plain, from_plain
from fieldapp.log.state import State

ROOMS = ("base", "frame", "kit", "log")
"""Program text that a fold depends on."""
KEPT_FROM, KEPT_EVERY = 200, 100
"""Entries of a log worth a snapshot, and more than that after it before it is written anew. Our choice."""


def snapshot_file(log: Path) -> Path:
    """Where it is kept, beside the log."""
    return log.with_name(f"{log.stem}-folded.json")


class Snapshot:
    """That of one log, read when it is opened, and written anew where that pays."""

    def __init__(self, log: Path, kit: Kit, *, writes: bool) -> None:
        """`writes`: False where the disk takes nothing."""
        self._log, self._kit, self._writes = log, kit, writes
        self.rests_on = 0
        """Number of the entries that what lies there rests on; 0 if nothing does that can be relied on."""

    def folded(self, arrived: Sequence[Entry]) -> State:
        """The state after these entries, in order of arrival."""
        kept = _read(self._log, self._kit, arrived)
        if kept is None:
            self.rests_on = 0
            return fold(self._kit, arrived)
        draft, self.rests_on = kept
        return apply_all(fold_from(draft, arrived[:self.rests_on]), arrived[self.rests_on:])

    def keep(self, state: State, arrived: Sequence[Entry]) -> None:
        """Write it, if enough came since; a disk that takes none costs the snapshot only."""
        count, of_kit = len(arrived), _of_kit(self._log)
        if not self._writes or not of_kit or count < KEPT_FROM or count - self.rests_on < KEPT_EVERY:
            return
        try:
            said = effects_text(state)
        except TypeError:
            return          # nothing keeps a log from opening; a test says what is missing
        head = {"program": program_digest(*ROOMS), "kit": of_kit, "count": count, "entries": digest(arrived)}
        text = json.dumps({**head, "content": _content(head, said)})
        with suppress(KitError):
            write_atomic(snapshot_file(self._log), f"{text}\n{said}\n".encode(errors="surrogatepass"))
            self.rests_on = count

    def drop(self) -> None:
        """Write over it and take it away: names stand in it."""
        self.rests_on, path = 0, snapshot_file(self._log)
        with suppress(OSError):
            with path.open("rb+") as file:
                file.write(bytes(path.stat().st_size))
                file.flush()
                os.fsync(file.fileno())
            path.unlink()


def effects_text(state: State) -> str:
    """What entries did to a state, as JSON on one line."""
    draft = thaw(state)
    return json.dumps({name: as_plain(getattr(draft, name)) for name in _FIELDS}, ensure_ascii=False)


def effects_of(kit: Kit, text: str) -> Draft:
    """What `effects_text` wrote; ValueError, KeyError or TypeError if it is anything else."""
    held = from_json(text)
    draft = Draft(kit=kit, **{name: from_plain(held[name]) for name in _FIELDS})
    draft.clashes = list(draft.clashes)
    return draft


def digest(entries: Iterable[Entry]) -> str:
    """SHA-256 over all that the entries say and the names that are known for them, in this order."""
    found = hashlib.sha256()
    for entry in entries:
        said = [entry.key, entry.kind, entry.part, entry.place, entry.who, entry.sender, moment_text(entry.at),
                None if entry.sent_at is None else moment_text(entry.sent_at), entry.order_ms, entry.data,
                entry.answers, entry.chief, entry.laptop, entry.serial, entry.before, entry.names, entry.erased,
                entry.number]
        found.update(json.dumps(said, sort_keys=True).encode())
    return found.hexdigest()


_FIELDS = tuple(name for name in Draft.__dataclass_fields__ if name != "kit")


def _read(log: Path, kit: Kit, arrived: Sequence[Entry]) -> tuple[Draft, int] | None:
    """What was kept, and of how many entries; None if there is nothing that can be relied on."""
    try:
        first, _end, rest = snapshot_file(log).read_bytes().decode(errors="surrogatepass").partition("\n")
        head, said = from_json(first), rest.removesuffix("\n")
        count = int(head["count"])
        claimed = {name: head[name] for name in ("program", "kit", "count", "entries")}
        if head["content"] != _content(claimed, said) or count > len(arrived):
            return None
        true = {"program": program_digest(*ROOMS), "kit": _of_kit(log), "count": count,
                "entries": digest(arrived[:count])}
        if claimed != true:
            return None
        return effects_of(kit, said), count
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def _of_kit(log: Path) -> str:
    """Digest of the kit's own file; empty where a log lies by itself, and nothing is kept."""
    try:
        return hashlib.sha256((log.with_name(KIT_FILE)).read_bytes()).hexdigest()
    except OSError:
        return ""


def _content(head: object, said: str) -> str:
    return hashlib.sha256(f"{json.dumps(head, sort_keys=True)}\n{said}".encode(errors="surrogatepass")).hexdigest()
