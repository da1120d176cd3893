"""Which program this is: what was kept by another one is worked out anew."""

import hashlib
from functools import lru_cache
from pathlib import Path


@lru_cache(maxsize=8)
def program_digest(*rooms: str) -> str:
    """SHA-256 over the text of these rooms, in hexadecimal figures: another one as soon as a line of theirs is."""
    home = Path(__file__).parents[1]
    digest = hashlib.sha256()
    for path in sorted(path for room in rooms for path in (home / room).rglob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()
