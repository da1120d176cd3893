"""Where the style sheets and scripts lie, which pages fetch and the pocket copy carries inside itself."""

from pathlib import Path

from fieldapp.base.errors import ServeError

_PACKAGE = Path(__file__).resolve().parents[1]


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
