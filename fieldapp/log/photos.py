"""The photos that entries name by their digest: where they lie, and how they travel with a copy of the log."""

from pathlib import Path

from fieldapp.kit.atomic import write_atomic

PHOTO_FOLDER = "photos"
"""Beside the log. A photo's name is the SHA-256 of what is in it, so it is never changed and never clashes."""


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
        If the disk does not take them.
    """
    there = target / PHOTO_FOLDER
    lacking = [path for path in sorted((source / PHOTO_FOLDER).glob("*.jpg")) if not (there / path.name).exists()]
    for path in lacking:
        write_atomic(there / path.name, path.read_bytes())
    return len(lacking)
