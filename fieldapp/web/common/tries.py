"""Wrong codes and phrases, counted for each sender and in all: guessing takes for ever, and nobody else waits."""

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic

WITHIN_S = 60.0
WRONG_AT_ONCE = 10
"""Wrong ones of one sender within a minute; our choice."""
WRONG_IN_ALL = 60
"""Of all senders within a minute: from then on whoever was wrong of late waits, and nobody else; our choice."""
MOST_IN_ALL = 600
"""Of all senders within a minute: from then on everybody waits who is not in yet. Join codes are one of 30^6, so that
guessing at this pace takes 421 days for an even chance; our choice. Test: tests/web/common/test_tries.py"""
REMEMBERED_S = 600.0
"""How long "of late" is."""


@dataclass(slots=True)
class Tries:
    """Counts them; a try counts as wrong until it proves right, so that many at the same time find no gap."""

    clock: Callable[[], float] = monotonic
    _of: dict[str, deque[float]] = field(default_factory=dict)
    _in_all: deque[float] = field(default_factory=deque)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def begin(self, sender: str) -> bool:
        """True if this sender may try now; then `right` has to be called if it was right."""
        with self._lock:
            now = self.clock()
            self._forget(now)
            if self._must_wait(sender, now):
                return False
            self._of.setdefault(sender, deque()).append(now)
            self._in_all.append(now)
            return True

    def right(self, sender: str) -> None:
        """The try that this sender began last was right."""
        with self._lock:
            mine = self._of.get(sender)
            if mine:
                at = mine.pop()
                if not mine:
                    del self._of[sender]
                if at in self._in_all:
                    self._in_all.remove(at)

    @property
    def somebody_guesses(self) -> bool:
        """True while there are more wrong ones than a crew makes."""
        with self._lock:
            self._forget(self.clock())
            return len(self._in_all) >= WRONG_IN_ALL

    def _must_wait(self, sender: str, now: float) -> bool:
        mine, in_all = self._of.get(sender, ()), len(self._in_all)
        recent = sum(now - at <= WITHIN_S for at in mine)
        return recent >= WRONG_AT_ONCE or in_all >= MOST_IN_ALL or (in_all >= WRONG_IN_ALL and bool(mine))

    def _forget(self, now: float) -> None:
        while self._in_all and now - self._in_all[0] > WITHIN_S:
            self._in_all.popleft()
        for sender in [sender for sender, times in self._of.items() if now - times[-1] > REMEMBERED_S]:
            del self._of[sender]
        for times in self._of.values():
            while len(times) > WRONG_AT_ONCE:
                times.popleft()
