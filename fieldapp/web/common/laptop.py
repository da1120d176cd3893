"""The laptop's own browser, known by an address that is good once; `serve` prints and opens it.

Why not by 127.0.0.1: whatever forwards connections on this machine (a tunnel, another user's program, a name that was
pointed at it) comes from there, too.
"""

import hmac
import secrets
import threading
from collections.abc import Callable


class OneUse:
    """A secret that is good once; the next one is told to the terminal as soon as it was used."""

    def __init__(self, told: Callable[[str], None] | None = None) -> None:
        self.told = told
        self.run = secrets.token_hex(16)
        """Of this run of the server: what the laptop was given ends with it."""
        self._lock = threading.Lock()
        self._secret = secrets.token_urlsafe(32)

    @property
    def path(self) -> str:
        """Where the laptop's own browser goes."""
        return f"/laptop/{self._secret}"

    def use(self, secret: str) -> bool:
        """True if it was the one, which is void from now on."""
        with self._lock:
            if not hmac.compare_digest(secret.encode(), self._secret.encode()):
                return False
            self._secret = secrets.token_urlsafe(32)
        if self.told is not None:
            self.told(self.path)
        return True
