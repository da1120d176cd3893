"""Writing a file, or a whole folder of them, so that a reader finds the old or the new, never half of it."""

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
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


MAKING = ".making-"
"""How the folder begins in which files wait for each other."""
LEFT_FOR_S = 24 * 3600
"""What a run left that was killed is removed by a later one after a day [s].
Source: our choice; no run lasts as long. Test: tests/kit/test_atomic.py"""


@contextmanager
def all_at_once(folder: Path, last: str) -> Iterator[Path]:
    """Gives a folder to write into; its files take their places in `folder` once all are there, or none does.

    Parameters
    ----------
    folder : Path
        Made if need be.
    last : str
        Name of the file that takes its place after all others: who finds it finds the others.

    Raises
    ------
    KitError
        If the disk or its permissions do not allow it; what was there is then there again.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _sweep(folder)
        ready = Path(tempfile.mkdtemp(dir=folder, prefix=MAKING))
    except OSError as error:
        raise KitError(_not_written(folder, error)) from error
    try:
        yield ready
        _put_in_place(ready, folder, last)
    finally:
        shutil.rmtree(ready, ignore_errors=True)


def _sweep(folder: Path) -> None:
    for left in folder.glob(f"{MAKING}*"):
        if time.time() - left.stat().st_mtime > LEFT_FOR_S:
            shutil.rmtree(left, ignore_errors=True)


def _put_in_place(ready: Path, folder: Path, last: str) -> None:
    """Keep a copy of what is there, then rename; where one rename fails, all are taken back."""
    names = sorted((path.relative_to(ready) for path in ready.rglob("*") if path.is_file()),
                   key=lambda name: (str(name) == last, name))
    names = [name for name in names if not _same(ready / name, folder / name)]
    before, done = ready / "before", list[Path]()
    try:
        for name in names:
            (before / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            if (folder / name).exists():
                shutil.copy2(folder / name, before / name)
        for name in names:
            os.replace(ready / name, folder / name)
            done.append(name)
    except OSError as error:
        for name in done:
            _take_back(before / name, folder / name)
        raise KitError(_not_written(Path(error.filename2 or error.filename or folder), error)) from error
    for parent in {(folder / name).parent for name in names}:
        sync_folder(parent)


def _same(new: Path, old: Path) -> bool:
    return old.is_file() and old.stat().st_size == new.stat().st_size and old.read_bytes() == new.read_bytes()


def _take_back(kept: Path, place: Path) -> None:
    with suppress(OSError):
        if kept.exists():
            os.replace(kept, place)
        else:
            place.unlink()


def _not_written(path: Path, error: OSError) -> str:
    return (f"{path} cannot be written: {error.strerror}. Free space on the disk, close the file where it is open, or "
            f"change the permissions of the folder, then run the command again. Nothing was changed.")
