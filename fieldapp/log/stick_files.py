"""The files of a stick beside the laptop: whose stick it is, the log as lines, where it ends, whole copies of it.

On it lie `<prefix>-log.jsonl`, to which each entry is appended and flushed, `<prefix>-log-end.json`, which remembers
where these lines ended, two whole copies of the log in turn, the photos and the small files of the kit. Never the key
of a laptop.
"""

import json
import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from fieldapp.base.errors import StoreError
from fieldapp.kit.atomic import sync_folder
from fieldapp.kit.file import KIT_FILE, has_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.backup import read_export
from fieldapp.log.baggage import KIT_FILES, PHOTO_FOLDER, SECRETS, refuse_folder_of_other_kit
from fieldapp.log.chain import ChainEnd
from fieldapp.log.entry import LOG_NAME
from fieldapp.log.memory import Memory, memory_file

LINES_END, COPY_ENDS = "-log.jsonl", ("-log-1.sqlite", "-log-2.sqlite")
PLANS = "plan-*.json"
"""Orders of erection that were worked out before; for a large frame that takes minutes. They carry a digest."""
ENTRY = b'{"key":'
"""How the line of an entry begins."""
PIECE_BYTES = 256 * 1024
"""A whole copy is carried over in such pieces, each flushed, so that entries get in between. Our choice."""


@dataclass(frozen=True, slots=True)
class StickFiles:
    """Where they lie."""

    folder: Path
    prefix: str
    """Of the kit's IDs."""

    @property
    def lines(self) -> Path:
        """The log as lines of JSON."""
        return self.folder / f"{self.prefix}{LINES_END}"

    @property
    def copies(self) -> tuple[Path, ...]:
        """Whole copies of the log: the older one is replaced once the newer is whole."""
        return tuple(self.folder / f"{self.prefix}{ending}" for ending in COPY_ENDS)

    @property
    def next_copy(self) -> Path:
        """The one to be replaced next."""
        return min(self.copies, key=lambda path: path.stat().st_mtime if path.exists() else -1.0)


def files_on(folder: Path, kit: Kit) -> StickFiles:
    """The files of this kit in a stick's folder."""
    return StickFiles(folder, kit.design.frame.prefix)


def refuse_unfit(source: Path, kit: Kit, files: StickFiles) -> None:
    """Nothing of anybody else's is written over.

    Raises
    ------
    StoreError
        If the folder is not there, is a kit's own folder, or holds files of these names that are no stick's.
    KitError
        If it is another kit's.
    """
    folder = files.folder
    if not folder.is_dir():
        raise StoreError(f"the stick {folder} is not there. Plug it in, or check the name; a folder on it has to be "
                         "made first. Or serve without --also")
    if folder.resolve() == source.resolve() or (folder / LOG_NAME).exists():
        raise StoreError(f"{folder} is a folder that is served from, not a stick beside it. Choose a folder on another "
                         "disk for --also")
    refuse_folder_of_other_kit(source, folder)
    if files.lines.exists() and files.lines.stat().st_size > 0:
        _refuse_other_lines(files, kit)
        return
    foreign = [path for path in ((*files.copies, *(() if has_kit(folder) else map(folder.joinpath, KIT_FILES))))
               if path.exists()]
    if foreign:
        raise StoreError(f"{folder} holds {', '.join(path.name for path in foreign)}, but neither {files.lines.name} "
                         f"nor {KIT_FILE}: it is not known whose these are, and they are not written over. Move them "
                         "away, or choose an empty folder")


def _refuse_other_lines(files: StickFiles, kit: Kit) -> None:
    try:
        with files.lines.open(encoding="utf-8") as file:
            read_export([file.readline()], kit)
    except (StoreError, UnicodeDecodeError) as error:
        raise StoreError(f"{files.lines} is not the log of this kit and is not written over: {error}") from error


def bring_up(files: StickFiles, wanted: bytes) -> Path | None:
    """Make the lines on the stick those of the log, appending where that is enough.

    Parameters
    ----------
    wanted : bytes
        The whole log as exported lines.

    Returns
    -------
    Path or None
        Where lines were put aside that hold entries which this log lacks; with them go the whole copies.

    Raises
    ------
    OSError
        If the stick does not take it.
    """
    held = files.lines.read_bytes() if files.lines.exists() else b""
    whole = held[:held.rfind(b"\n") + 1]
    if whole and wanted.startswith(whole):
        append(files.lines, len(whole), wanted[len(whole):])
        return None
    aside = _put_aside(files) if _says_more(whole, wanted) else None
    replace_file(files.lines, wanted)
    return aside


def _says_more(held: bytes, wanted: bytes) -> bool:
    ours = set(wanted.split(b"\n"))
    return any(line not in ours for line in held.split(b"\n") if line.startswith(ENTRY))


def _put_aside(files: StickFiles) -> Path:
    number = 1
    while (aside := files.folder / f"{files.prefix}-log-kept-{number}.jsonl").exists():
        number += 1
    for path, ending in ((memory_file(files.lines), "-end.json"), (files.copies[0], "-1.sqlite"),
                         (files.copies[1], "-2.sqlite"), (files.lines, ".jsonl")):
        if path.exists():
            os.replace(path, aside.with_name(f"{aside.stem}{ending}"))
    sync_folder(files.folder)
    return aside


def append(lines: Path, at: int, text: bytes) -> int:
    """Write at the end of what is there, and wait until the stick has it; returns where the lines end now.

    Raises
    ------
    OSError
        If the stick does not take it, or the file is not there or shorter than it was.
    """
    with lines.open("r+b") as file:
        if file.seek(0, os.SEEK_END) < at:
            raise FileNotFoundError(f"{lines} is shorter than it was written")
        file.truncate(at)       # of a line that did not get through, the beginning may be there
        file.seek(at)
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    return at + len(text)


def put_end(files: StickFiles, head: ChainEnd, count: int) -> None:
    """Remember beside the lines where they end: `count` entries, and this laptop's newest; never before they do."""
    said = asdict(Memory(head.laptop, head.serial, head.digest, count))
    replace_file(memory_file(files.lines), (json.dumps(said) + "\n").encode())


def replace_file(path: Path, content: bytes) -> None:
    """Write beside it, wait for the stick, then take the name; OSError if the stick refuses."""
    _carry([content], path)


def carry_kit(source: Path, files: StickFiles) -> None:
    """Bring the kit's small files and its plans over, where they differ; OSError if the stick refuses. Makes no folder:
    where the stick was, there may be the laptop's own disk by now."""
    plans = [path.name for path in sorted(source.glob(PLANS))]
    for name in (*KIT_FILES, *plans):
        own, there = source / name, files.folder / name
        if own.is_file() and not (there.is_file() and there.read_bytes() == own.read_bytes()):
            replace_file(there, own.read_bytes())
            if name in SECRETS:
                there.chmod(0o600)


def carry_photos(source: Path, files: StickFiles, there: set[str]) -> None:
    """Bring those photos over that are not `there` yet, and note them; OSError if the stick refuses."""
    for photo in sorted((source / PHOTO_FOLDER).glob("*.jpg")):
        if photo.name not in there:
            folder = files.folder / PHOTO_FOLDER
            folder.mkdir(exist_ok=True)
            if not (folder / photo.name).exists():
                replace_file(folder / photo.name, photo.read_bytes())
            there.add(photo.name)


def carry_copy(source: Path, target: Path) -> None:
    """Bring a whole copy over, in pieces; OSError if the stick refuses, and the older copy is then still there."""
    with source.open("rb") as file:
        _carry(iter(lambda: file.read(PIECE_BYTES), b""), target)


def _carry(pieces: Iterable[bytes], target: Path) -> None:
    ready = target.with_name(f".{target.name}.part")
    try:
        with ready.open("wb") as file:
            for piece in pieces:
                file.write(piece)
                file.flush()
                os.fsync(file.fileno())
        os.replace(ready, target)
    except BaseException:
        with suppress(OSError):
            ready.unlink(missing_ok=True)
        raise
    sync_folder(target.parent)
