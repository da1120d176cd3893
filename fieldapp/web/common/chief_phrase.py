"""The chief's pass phrase: kept beside the log as a salted hash, so that it holds over restarts and nobody reads it."""

from pathlib import Path

from werkzeug.security import check_password_hash, generate_password_hash

from fieldapp.base.errors import ServeError
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.site_key import PHRASE_FILE

SHORTEST = 8
LONGEST = 200


def chief_hash(folder: Path, phrase: str | None) -> str:
    """The hash to check against: of `phrase`, which is kept from now on, or else of the one kept; "" if neither is.

    Raises
    ------
    ServeError
        If the phrase is too short or too long, or the kept one cannot be read.
    KitError
        If it cannot be written.
    """
    path = folder / PHRASE_FILE
    kept = _kept(path)
    if phrase is None or (kept and is_phrase(phrase, kept)):
        return kept
    phrase = _tidy(phrase)
    if not SHORTEST <= len(phrase) <= LONGEST:
        raise ServeError(f"the chief's pass phrase has {len(phrase)} characters; {SHORTEST} to {LONGEST} are allowed. "
                         f"Take three or four words.")
    made = generate_password_hash(phrase)
    write_atomic(path, f"{made}\n".encode())
    path.chmod(0o600)
    return made


def is_phrase(given: str, known_hash: str) -> bool:
    """True if the phrase is the one; takes as long for a wrong one."""
    return bool(known_hash) and len(given) <= 4 * LONGEST and check_password_hash(known_hash, _tidy(given))


def _tidy(phrase: str) -> str:
    """As people type it on a phone: one blank between words, capitals or not."""
    return " ".join(phrase.split()).casefold()


def _kept(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8").strip() if path.exists() else ""
    except (OSError, ValueError) as error:
        raise ServeError(f"{path} cannot be read. Delete it and give the pass phrase anew with --chief-phrase."
                         ) from error
