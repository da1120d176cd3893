"""Writing a file so that a reader finds the old one or the new one, never half of it."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from fieldapp.base.errors import KitError


def write_atomic(path: Path, content: bytes, *, secret: bool = False) -> None:
    """Put `content` into `path`; the folder is made if need be, and an equal file is left alone.

    Parameters
    ----------
    path : Path
    content : bytes
    secret : bool
        True for what only the owner may read, from its first byte on.

    Raises
    ------
    KitError
        If the disk or its permissions do not allow it; the old file is then still there.
    """
    try:
        if path.is_file() and path.read_bytes() == content:
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        _replace(path, content, 0o600 if secret else 0o644)
    except OSError as error:
        raise KitError(f"{path} cannot be written: {error.strerror}. Free space on the disk or change the "
                       f"permissions of the folder, then run the command again.") from error


def _replace(path: Path, content: bytes, mode: int) -> None:
    """Write beside it, force it to the disk, then rename."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, mode)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Force names to the disk, too: a rename that was answered is there after a power cut.

    Where a folder cannot be opened for that (Windows, some sticks), the system sees to it by itself.
    """
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
