"""Copies of a log: backup while it is being written, restore, and lines of JSON that travel between laptops."""

import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

from fieldapp.base.errors import KitError, StoreError
from fieldapp.base.json_text import from_json
from fieldapp.kit.atomic import sync_folder, write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.log.copying import copy_log, log_locked
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, begin_branch
from fieldapp.log.lines import from_line, to_line
from fieldapp.log.mark import CHOOSE, mark_from, mark_of, refuse_other_kit, refuse_strangers
from fieldapp.log.memory import forget_end
from fieldapp.log.names import Names, names_from, names_in, names_line, veiled_older, with_names
from fieldapp.log.reading import names_of, read_log
from fieldapp.log.store import Store

LINES_VERSION = 2
"""Version of the exported lines, said in their first line."""


def backup(log: Path, target: Path) -> Path:
    """Copy a log, also while it is being written; the copy is checked before it takes its name.

    Raises
    ------
    StoreError
        If there is no log, the target is there already, or the copy is not whole.
    """
    if target.exists():
        raise StoreError(f"{target} is there already, and a backup never overwrites another. Choose another name")
    copy_log(log, target)
    return target


def restore(copy: Path, log: Path, kit: Kit | None = None) -> Path | None:
    """Put a backup in the place of the log; what was there is moved aside, never deleted.

    Names that were forgotten since the copy was made are forgotten in it too, if the log that was there can be read.

    Returns
    -------
    Path or None
        Where the log that was there is now.

    Raises
    ------
    StoreError
        If the backup cannot be read, is newer than this program or of another kit, or a raisebook has the log open.
    """
    found = read_log(copy, kit, CHOOSE)
    forgotten = forgotten_in(log)
    with log_locked(log):
        ready = log.with_name(log.name + ".restored")
        copy_log(copy, ready)       # first, so that a full disk leaves the log where it is
        aside = move_aside(log) if log.exists() else None
        os.replace(ready, log)
        sync_folder(log.parent)
        forget_end(log)
        begin_branch(log, f"restored from {copy.name}, {len(found)} entries")
    forget_again(log, kit, forgotten)
    return aside


def forgotten_in(log: Path) -> frozenset[str]:
    """What was forgotten in a log that another is to take the place of; nothing if it cannot be read."""
    with suppress(StoreError):
        return names_of(log).forgotten
    return frozenset()


def forget_again(log: Path, kit: Kit | None, forgotten: frozenset[str]) -> None:
    """Forget in a log that was put back what had been forgotten since; StoreError if it cannot be written."""
    if forgotten:
        with closing(Store.open(log, kit)) as store:
            store.forget(forgotten)


def export_lines(entries: Iterable[Entry], kit: Kit, laptops: Iterable[Known] = (),
                 forgotten: Iterable[str] = (), *, bare: bool = False) -> Iterator[str]:
    """The log as lines of JSON, the first saying what it is, of which kit and laptops; same log, same bytes.

    Parameters
    ----------
    forgotten : iterable of str
        What was forgotten on request, so that whoever joins these lines forgets it too.
    bare : bool
        True to leave out the names that people typed.
    """
    keys = {known.id: {"public_key": known.public_key, "branch": known.branch} for known in laptops}
    first = {"raisebook_log": LINES_VERSION, "kit": kit.design.frame.prefix, "mark": asdict(mark_of(kit)),
             "laptops": dict(sorted(keys.items()))}
    yield json.dumps(first, ensure_ascii=False) + "\n"
    gone = Names({}, frozenset(forgotten))
    if gone.forgotten:
        yield names_line(gone) + "\n"
    veiled = map(veiled_older, entries)
    yield from entry_lines((with_names(entry, Names()) if bare else entry for entry in veiled), set())


def entry_lines(entries: Iterable[Entry], named: set[str]) -> Iterator[str]:
    """Entries as lines, each name on a line of its own before the first entry that it is needed for.

    Parameters
    ----------
    named : set of str
        Pseudonyms whose names were said before; those said now are added.
    """
    for entry in entries:
        known = {who: name for who, name in entry.names.items() if who not in named}
        if known:
            named.update(known)
            yield names_line(Names(known)) + "\n"
        yield to_line(entry) + "\n"


@dataclass(frozen=True, slots=True)
class Brought:
    """What an exported log brings."""

    entries: tuple[Entry, ...]
    laptops: Mapping[str, Known] = field(default_factory=dict)
    """Keys of the laptops whose entries are among them, by ID, as the file has them."""
    names: Names = field(default_factory=Names)
    """Names of those who wrote them, and what was forgotten there."""

    def without(self, forgotten: Names) -> "Brought":
        """The same without the names that were forgotten here."""
        names = self.names.merged(Names({}, forgotten.forgotten))
        return replace(self, entries=tuple(with_names(entry, names) for entry in self.entries), names=names)


def import_lines(lines: Iterable[str], kit: Kit) -> tuple[Entry, ...]:
    """The entries of an exported log; see `read_export`."""
    return read_export(lines, kit).entries


def read_export(lines: Iterable[str], kit: Kit) -> Brought:
    """The entries of an exported log and the keys of their laptops; all lines are read before any is taken in.

    Raises
    ------
    StoreError
        If it is no exported log, one of another kit or of a newer program, or a line is broken.
    """
    numbered = [(number, line) for number, line in enumerate(lines, start=1) if line.strip()]
    if not numbered:
        raise StoreError("the file is empty; an exported log has at least its first line. Export it again")
    marked = _check_first_line(*numbered[0], kit)
    names, entries = Names(), []
    for number, line in numbered[1:]:
        more = names_from(line, number)
        if more is None:
            entries.append(veiled_older(from_line(line, number)))
        else:
            names = names.merged(more)
    if not marked:
        refuse_strangers(kit, entries, "the exported log")
    names = names.merged(names_in(entries))
    return Brought(tuple(with_names(entry, names) for entry in entries), _laptops(*numbered[0]), names)


def _laptops(number: int, line: str) -> dict[str, Known]:
    """Keys of laptops as the first line gives them; none where an older program wrote it."""
    try:
        said = from_json(line).get("laptops", {})
        found = [(name, Known(str(keys["public_key"]), str(keys["branch"]))) for name, keys in said.items()]
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise StoreError(f"line {number} does not name its laptops as it should ({error}). "
                         "Export the log again") from error
    wrong = [name for name, known in found if known.id != name]
    if wrong:
        raise StoreError(f"line {number} gives laptop {wrong[0]} a key that is not its own. Export the log again on "
                         "the laptop that wrote it")
    return dict(found)


def rescue(entries: Iterable[Entry], kit: Kit, log: Path, laptops: Iterable[Known] = (),
           forgotten: Iterable[str] = ()) -> Path:
    """Write the entries that are known, as lines, beside a log that is lost; KitError if the disk refuses."""
    text = "".join(export_lines(entries, kit, laptops, forgotten)).encode()
    number, path = 1, log.with_name(f"{log.stem}-rescued.jsonl")
    while path.exists() and path.read_bytes() != text:
        number += 1
        path = log.with_name(f"{log.stem}-rescued-{number}.jsonl")
    write_atomic(path, text)
    return path


def rescued(entries: Sequence[Entry], kit: Kit, log: Path, laptops: Iterable[Known], forgotten: Iterable[str]) -> str:
    """Keep what is known beside a lost log, and say where."""
    count = len(entries)
    try:
        path = rescue(entries, kit, log, laptops, forgotten)
    except (KitError, OSError) as error:
        return (f"Do not stop this program yet: it still knows all {count} entries, but could not write them down "
                f"({error}). Make room; it tries again with the next entry that a phone sends")
    return f"All {count} entries are kept in {path}: after that, bring them back with raisebook log import"


def _check_first_line(number: int, line: str, kit: Kit) -> bool:
    """True if the line carries the kit's mark, False if it was written before there were any."""
    own = kit.design.frame.prefix
    try:
        first = from_json(line)
        version, prefix = first["raisebook_log"], first["kit"]
    except (ValueError, KeyError, TypeError):
        raise StoreError("the file is no exported log: its first line does not say so. "
                         "Make one with 'raisebook log export'") from None
    if type(version) is not int or version < 1:
        raise StoreError(f"line {number} gives the exported log the version {version!r}; versions are 1 to "
                         f"{LINES_VERSION}. Export it again")
    if version > LINES_VERSION:
        raise StoreError(f"the exported log has version {version}; this program reads up to version {LINES_VERSION}. "
                         "Install the newer program that wrote it")
    if prefix != own:
        raise StoreError(f"the exported log is of kit {prefix}, this is kit {own}. Choose the file of this kit")
    if "mark" not in first:
        return False
    try:
        refuse_other_kit(kit, mark_from(first["mark"]), "the exported log")
    except ValueError as error:
        raise StoreError(f"line {number}: {error}. Export the log again") from error
    return True


def move_aside(log: Path) -> Path:
    """Rename the log and the files that SQLite keeps beside it."""
    number = 1
    while (aside := log.with_name(f"{log.stem}.before-restore-{number}{log.suffix}")).exists():
        number += 1
    for ending in ("-wal", "-shm", ""):
        beside = Path(f"{log}{ending}")
        if beside.exists():
            os.replace(beside, f"{aside}{ending}")
    return aside
