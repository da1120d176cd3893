"""What goes along when a log is carried away: the photos that its entries name, and the small files of its kit."""

import hashlib
import os
from collections.abc import Collection, Iterable
from pathlib import Path

from fieldapp.base.errors import KitError
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.checklist_file import CHECKS_FILE
from fieldapp.kit.file import DESIGN_FILE, KIT_FILE, has_kit, read_kit
from fieldapp.kit.site_key import KEY_FILE, PHRASE_FILE, SESSIONS_FILE
from fieldapp.log.mark import mark_of

PHOTO_FOLDER = "photos"
"""Beside the log. A photo's name is the SHA-256 of what is in it, so it is never changed and never clashes."""

SECRETS = (KEY_FILE, PHRASE_FILE, SESSIONS_FILE)
"""Whoever has these can let phones join. They go along, so that joined phones and posters stay good."""
PLAIN_FILES = (KIT_FILE, DESIGN_FILE, CHECKS_FILE)
KIT_FILES = (*PLAIN_FILES, *SECRETS)


def copy_photos(source: Path, target: Path, erased: Iterable[str] = ()) -> int:
    """Copy the photos beside one log to another's folder; those that are there already stay.

    Parameters
    ----------
    source, target : Path
        Folders that hold the two logs.
    erased : iterable of str
        What was forgotten: photos that are not copied, and erased where they are there.

    Returns
    -------
    int
        How many were copied.

    Raises
    ------
    KitError
        If the disk does not give or take them; says how many were copied before.
    """
    there, gone = target / PHOTO_FOLDER, frozenset(erased)
    erase_photos(target, gone)
    lacking = [path for path in _photos(source)
               if path.stem not in gone and not (there / path.name).exists() and is_itself(path)]
    for copied, path in enumerate(lacking):
        try:
            _copy(path, there / path.name)
        except KitError as error:
            raise KitError(f"{copied} of {len(lacking)} photos were copied to {there}, then: {error} Those that are "
                           f"there are not copied again.") from error
    return len(lacking)


def _photos(folder: Path) -> list[Path]:
    """Files in the folder of photos; none where that is a link to another place."""
    there = folder / PHOTO_FOLDER
    return [] if there.is_symlink() else sorted(there.glob("*.jpg"))


def photos_in(folder: Path) -> list[Path]:
    """Photos beside a log that are what their name says, and no links."""
    return [path for path in _photos(folder) if is_itself(path) and path.is_file()]


def is_itself(photo: Path) -> bool:
    """True for a file, no link, that holds what its name says."""
    try:
        return not photo.is_symlink() and hashlib.sha256(photo.read_bytes()).hexdigest() == photo.stem
    except OSError:
        return True     # it cannot be read: whoever copies it says so


def strange_photos(folder: Path) -> tuple[str, ...]:
    """Names of photos that are not taken: links, and those that do not hold what their name says."""
    return tuple(path.name for path in _photos(folder) if not is_itself(path))


def erase_photos(folder: Path, digests: Iterable[str]) -> int:
    """Write over the photos of these names beside a log and remove them; gives how many were there.

    Raises
    ------
    KitError
        If one of them cannot be removed.
    """
    there = [path for path in (folder / PHOTO_FOLDER / f"{digest}.jpg" for digest in digests) if path.is_file()]
    for path in there:
        try:
            with path.open("rb+") as file:
                file.write(bytes(path.stat().st_size))
                file.flush()
                os.fsync(file.fileno())
            path.unlink()
        except OSError as error:
            raise KitError(f"the photo {path} could not be erased: {error.strerror}. Change the rights of the file and "
                           "repeat") from error
    return len(there)


def copy_kit_files(source: Path, target: Path, *, only_lacking: bool,
                   names: Collection[str] = KIT_FILES) -> tuple[str, ...]:
    """Copy the kit's own small files from one folder to another; gives their names, of those that were copied.

    Links are followed to no other place.

    Raises
    ------
    KitError
        If the disk does not give or take them.
    """
    copied = []
    for name in (name for name in KIT_FILES if name in names):
        if (source / name).is_file() and not (only_lacking and (target / name).exists()):
            _copy(source / name, target / name, secret=name in SECRETS)
            copied.append(name)
    return tuple(copied)


def refuse_folder_of_other_kit(folder: Path, target: Path) -> None:
    """KitError if `target` holds another kit than `folder`."""
    if not has_kit(target) or target.resolve() == folder.resolve():
        return
    own, other = mark_of(read_kit(folder)), mark_of(read_kit(target))
    if (own.prefix, own.places) != (other.prefix, other.places):
        raise KitError(f"{target} holds kit {other.prefix} ({other.name}), not {own.prefix} ({own.name}) of {folder}. "
                       "Choose another folder")


def _copy(source: Path, target: Path, *, secret: bool = False) -> None:
    if source.is_symlink():
        raise KitError(f"{source} is a link to another place, and none is followed. Put the file itself there, or "
                       "delete the link")
    try:
        content = source.read_bytes()
    except OSError as error:
        raise KitError(f"{source} cannot be read: {error.strerror}.") from error
    write_atomic(target, content, secret=secret)
