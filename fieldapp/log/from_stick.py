"""Going on from a stick: its newest whole copy and all lines after it, held against their chains and its end."""

import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from fieldapp.base.errors import StoreError
from fieldapp.kit.atomic import sync_folder, write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.log.backup import forget_again, forgotten_in, move_aside, read_export
from fieldapp.log.chain import ChainEnd, Gap, gaps, heads
from fieldapp.log.copying import copy_log, log_locked
from fieldapp.log.entry import Entry
from fieldapp.log.laptop import Known, begin_branch
from fieldapp.log.lines import digest_of, from_line
from fieldapp.log.memory import accepting, cut_off, forget_end, memory_file, remember, remembered
from fieldapp.log.names import Names, names_from
from fieldapp.log.reading import read_laptops, read_log
from fieldapp.log.rows import fill
from fieldapp.log.stick_files import COPY_ENDS, LINES_END, PLANS, StickFiles, files_on


@dataclass(frozen=True, slots=True)
class OnStick:
    """What a stick gives."""

    files: StickFiles
    entries: tuple[Entry, ...]
    """Those of the whole copy first, then those that only the lines have."""
    laptops: Mapping[str, Known]
    names: Names
    """Names that the lines have, and what was forgotten there."""
    copy: Path | None
    """Newest whole copy; None if there is none that can be read."""
    in_copy: int
    """How many of the entries it holds."""
    gaps: tuple[Gap, ...]
    """What is missing or not as it was written; a cut end too."""
    cut: int
    """How many entries more there were than now, whatever their laptops."""
    broken: tuple[int, ...]
    """Numbers of lines that are no entry any more."""

    @property
    def is_whole(self) -> bool:
        """True if all is there that ever was on it, as it was written."""
        return not (self.gaps or self.cut)


def stick_folder(copy: Path) -> Path | None:
    """The folder of the stick that was named, by itself or by a file of it; None if that is no stick's."""
    if copy.is_dir():
        return copy
    return copy.parent if copy.name.endswith((LINES_END, *COPY_ENDS)) else None


def read_stick(folder: Path, kit: Kit) -> OnStick:
    """All that a stick holds of the log.

    Raises
    ------
    StoreError
        If it holds nothing of this kit, or is a newer program's.
    """
    files = files_on(folder, kit)
    for path in (files.lines, memory_file(files.lines), *files.copies):
        if path.is_symlink():
            raise StoreError(f"{path} is a link to another place, and none is followed. Put the file itself there")
    copy, entries, laptops = _newest_copy(files, kit)
    have = {digest_of(entry) for entry in entries}
    lines, keys, names, broken = _lines(files, kit)
    more = tuple(entry for entry in lines if digest_of(entry) not in have)
    if not lines and copy is None:
        raise StoreError(f"{folder} holds no log of kit {kit.design.frame.prefix}: neither {files.lines.name} nor a "
                         "whole copy of it can be read. Choose the folder that serve --also wrote to, or a backup")
    whole, known = (*entries, *more), {**keys, **laptops}
    end = remembered(files.lines)
    head = heads(whole).get(end.laptop, ChainEnd(end.laptop))
    found = (*gaps(whole, known), *(cut_off(end, head) if end.laptop else ()))
    return OnStick(files, whole, known, names, copy, len(entries), found, max(0, end.number - len(whole)), broken)


def _newest_copy(files: StickFiles, kit: Kit) -> tuple[Path | None, tuple[Entry, ...], Mapping[str, Known]]:
    """The whole copy with most entries; one that was spoiled is passed over, for there are two, and the lines."""
    best: tuple[Path | None, tuple[Entry, ...], Mapping[str, Known]] = (None, (), {})
    for path in files.copies:
        try:
            found = path, read_log(path, kit, "Choose the stick of this kit"), read_laptops(path)
        except StoreError:
            continue
        best = max(best, found, key=lambda each: len(each[1]))
    return best


def _lines(files: StickFiles, kit: Kit) -> tuple[tuple[Entry, ...], Mapping[str, Known], Names, tuple[int, ...]]:
    """Entries, keys of laptops, names, and the numbers of broken lines. What follows the last end of a line was being
    written when the laptop died, and counts as not there."""
    if not files.lines.exists():
        return (), {}, Names(), ()
    try:
        first, *rest = files.lines.read_bytes().split(b"\n")[:-1] or [b""]
    except OSError as error:
        raise StoreError(f"{files.lines} cannot be read: {error.strerror}. Try another plug, or copy the stick") \
            from error
    keys = read_export([first.decode("utf-8", "replace")], kit).laptops
    entries: list[Entry] = []
    names, broken = Names(), []
    for number, line in enumerate(rest, start=2):
        try:
            more = names_from(line.decode(), number)
            if more is None:
                entries.append(from_line(line.decode(), number))
            else:
                names = names.merged(more)
        except (StoreError, UnicodeDecodeError):
            broken.append(number)
    return tuple(entries), keys, names, tuple(broken)


def refuse_not_whole(found: OnStick) -> None:
    """StoreError that names all that is missing or changed on a stick."""
    if found.is_whole:
        return
    named = [*map(str, found.gaps[:5]), *(["and more"] if len(found.gaps) > 5 else [])]
    if found.cut:
        named.append(f"{found.cut} entries fewer than there once were on it")
    raise StoreError(f"the stick {found.files.folder} does not hold all that was written to it: {'; '.join(named)}. "
                     "What these told of broken parts is not known. Look for another copy; only if none is left, go "
                     "on without them by --with-gaps, and inspect the parts concerned", "damaged")


def bring_plans(stick: Path, folder: Path) -> None:
    """The plans that were worked out before, where the folder lacks them; one that cannot be read is worked out anew.

    Raises
    ------
    KitError
        If the disk does not take them.
    """
    for plan in sorted(stick.glob(PLANS)):
        if not (folder / plan.name).exists() and not plan.is_symlink():
            with suppress(OSError):
                write_atomic(folder / plan.name, plan.read_bytes())


def restore_stick(found: OnStick, log: Path, kit: Kit) -> Path | None:
    """Put the log of a stick in the place of `log`, as a branch of its own; what was there is moved aside.

    Returns
    -------
    Path or None
        Where the log that was there is now.

    Raises
    ------
    StoreError
        If a raisebook has the log open, or the disk does not take it.
    """
    log.parent.mkdir(parents=True, exist_ok=True)
    forgotten = forgotten_in(log)
    with log_locked(log):
        ready = log.with_name(log.name + ".restored")
        ready.unlink(missing_ok=True)
        if found.copy is not None:
            copy_log(found.copy, ready)
        fill(ready, kit, found.entries[found.in_copy:], found.laptops.values(), found.names)
        aside = move_aside(log) if log.exists() else None
        os.replace(ready, log)
        sync_folder(log.parent)
        forget_end(log)
        if found.gaps:
            remember(log, accepting(remembered(log), found.gaps))
        begin_branch(log, f"went on from stick {found.files.lines.name}, {len(found.entries)} entries")
    forget_again(log, kit, forgotten)
    return aside
