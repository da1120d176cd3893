"""Work that waits for a quiet moment: done a little after the last time it was asked for, by a thread of its own."""

import threading
import time
from collections.abc import Callable


class Settling:
    """Calls `work` once nobody has asked for it for a while; the thread is there only while something is asked for."""

    def __init__(self, work: Callable[[], None], *, quiet_s: float, at_latest_s: float) -> None:
        self._work = work
        self._quiet_s, self._at_latest_s = quiet_s, at_latest_s
        self._asked = 0.0
        self._lock, self._at_work = threading.Lock(), threading.Lock()
        self._stopped = threading.Event()
        self._thread: threading.Thread | None = None

    def ask(self) -> None:
        """To be done `quiet_s` after the last asking, and `at_latest_s` after the first; returns at once."""
        with self._lock:
            self._asked = time.monotonic()
            if self._thread is None and not self._stopped.is_set():
                self._thread = threading.Thread(target=self._wait, args=(self._asked,), name="settling", daemon=True)
                self._thread.start()

    def stop(self) -> None:
        """Nothing more is begun; what is under way is waited for."""
        with self._lock:
            self._stopped.set()
            thread = self._thread
        if thread is not None:
            thread.join()
        with self._at_work:
            pass

    def _wait(self, first: float) -> None:
        while (wait_s := self._left_s(first)) > 0.0:
            if self._stopped.wait(wait_s):
                return
        with self._lock:
            self._thread = None     # what is asked for from here on may not be in what follows
        with self._at_work:
            if not self._stopped.is_set():
                self._work()

    def _left_s(self, first: float) -> float:
        with self._lock:
            due = min(self._asked + self._quiet_s, first + self._at_latest_s)
        return due - time.monotonic()
