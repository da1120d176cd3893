"""What goes along when a log is carried away: the photos that its entries name, and the small files of its kit."""

from pathlib import Path

from fieldapp.base.errors import KitError
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.checklist_file import CHECKS_FILE
from fieldapp.kit.file import DESIGN_FILE, KIT_FILE, has_kit, read_kit
from fieldapp.kit.site_key import KEY_FILE, PHRASE_FILE
from fieldapp.log.mark import mark_of

PHOTO_FOLDER = "photos"
"""Beside the log. A photo's name is the SHA-256 of what is in it, so it is never changed and never clashes."""

SECRETS = (KEY_FILE, PHRASE_FILE)
"""Whoever has these can let phones join. They go along, so that joined phones and posters stay good."""
KIT_FILES = (KIT_FILE, DESIGN_FILE, CHECKS_FILE, *SECRETS)


def copy_photos(source: Path, target: Path) -> int:
    """Copy the photos beside one log to another's folder; those that are there already stay.

    Parameters
    ----------
    source, target : Path
        Folders that hold the two logs.

    Returns
    -------
    int
        How many were copied.

    Raises
    ------
    KitError
        If the disk does not give or take them; says how many were copied before.
    """
    there = target / PHOTO_FOLDER
    lacking = [path for path in sorted((source / PHOTO_FOLDER).glob("*.jpg")) if not (there / path.name).exists()]
    for copied, path in enumerate(lacking):
        try:
            _copy(path, there / path.name)
        except KitError as error:
            raise KitError(f"{copied} of {len(lacking)} photos were copied to {there}, then: {error} Those that are "
                           f"there are not copied again.") from error
    return len(lacking)


def copy_kit_files(source: Path, target: Path, *, only_lacking: bool) -> tuple[str, ...]:
    """Copy the kit's own small files from one folder to another; gives their names, of those that were copied.

    Raises
    ------
    KitError
        If the disk does not give or take them.
    """
    copied = []
    for name in KIT_FILES:
        if (source / name).is_file() and not (only_lacking and (target / name).exists()):
            _copy(source / name, target / name)
            if name in SECRETS:
                (target / name).chmod(0o600)
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


def _copy(source: Path, target: Path) -> None:
    try:
        content = source.read_bytes()
    except OSError as error:
        raise KitError(f"{source} cannot be read: {error.strerror}.") from error
    write_atomic(target, content)
