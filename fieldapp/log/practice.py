"""Practice: the same kit with a log of its own, in a folder that is thrown away afterwards."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from fieldapp.base.errors import KitError
from fieldapp.kit.checklist_file import CHECKS_FILE
from fieldapp.kit.file import KIT_FILE
from fieldapp.kit.site_key import KEY_FILE, PHRASE_FILE, SESSIONS_FILE

TAKEN = (KIT_FILE, CHECKS_FILE, KEY_FILE, PHRASE_FILE, SESSIONS_FILE)
"""What practice needs of a kit's folder: no log, no photos, no paper. Plans that are kept come along."""


@contextmanager
def practice_folder(folder: Path) -> Iterator[Path]:
    """While inside, a copy of a kit's folder without anything that happened; gone afterwards.

    Raises
    ------
    KitError
        If the folder cannot be copied.
    """
    with TemporaryDirectory(prefix="raisebook-practice-") as made:
        copy = Path(made)
        try:
            for path in (*(folder / name for name in TAKEN), *folder.glob("plan-*.json")):
                if path.is_file():
                    shutil.copy2(path, copy / path.name)
        except OSError as error:
            raise KitError(f"{folder} cannot be copied for practice: {error}. Free some room on the disk.") from error
        yield copy
