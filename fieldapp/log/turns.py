"""Who writes next: a lock that is handed to whoever has waited longest."""

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager


class Turns:
    """A lock that is handed to whoever waits longest; a plain lock may pass somebody over again and again."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._taken = False
        self._waiting: deque[threading.Lock] = deque()

    @contextmanager
    def turn(self, within_s: float = -1.0) -> Iterator[bool]:
        """Inside it is our turn; gives False if it is not, as it did not come within the time (below 0: any time)."""
        ours = self._take(within_s)
        try:
            yield ours
        finally:
            if ours:
                self._pass_on()

    def _take(self, within_s: float) -> bool:
        with self._lock:
            if not self._taken:
                self._taken = True
                return True
            gate = threading.Lock()
            gate.acquire()
            self._waiting.append(gate)
        if gate.acquire(timeout=within_s):
            return True
        with self._lock:
            if gate not in self._waiting:
                return True         # handed over at the last moment
            self._waiting.remove(gate)
            return False

    def _pass_on(self) -> None:
        with self._lock:
            if self._waiting:
                self._waiting.popleft().release()
            else:
                self._taken = False
