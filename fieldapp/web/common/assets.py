"""Where the style sheets and scripts are: beside the packages in a checkout, inside the package from a wheel."""

import hashlib
from pathlib import Path

from fieldapp.base.errors import ServeError

_PACKAGE = Path(__file__).resolve().parents[2]


def static_dir() -> Path:
    """The folder of css and js.

    Raises
    ------
    ServeError
        If neither place holds it: the installation is incomplete.
    """
    candidates = (_PACKAGE / "static", _PACKAGE.parent / "static")
    for folder in candidates:
        if (folder / "page.css").is_file():
            return folder
    places = " or ".join(str(folder) for folder in candidates)
    raise ServeError(f"the style sheets are missing: page.css is not in {places}. Install raisebook again.")


def static_address(folder: Path) -> str:
    """Where phones fetch them: the address changes with their bytes, so that a phone may keep them for good.

    Scripts name each other relative to their own address, and so share it.
    """
    digest = hashlib.sha256()
    for path in sorted(path for path in folder.iterdir() if path.is_file()):
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    return f"/static/{digest.hexdigest()[:12]}"
