"""Answers kept for the last few questions: after an entry, every phone on site asks the same.

For questions about large values that never change (a state, a site, a plan) and are told apart by being the
same object, not by comparing all of it. Where a question can be compared, `functools.lru_cache` does.
"""

import threading
from collections import deque
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def remembered(count: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Keep what a function answered to its last `count` questions; whoever asks meanwhile waits for the same answer.

    Arguments are the same if they are one object, or equal words, numbers or None. They are kept with the answer,
    so `count` bounds the memory; a handful does, since only the newest state is asked about.

    Examples
    --------
    >>> @remembered(2)
    ... def length(words: list[str], unit: str) -> list[int]:
    ...     return [len(word) for word in words]
    >>> words = ["hub", "strut"]
    >>> length(words, "mm") is length(words, "mm"), length(words, "mm") is length(["hub", "strut"], "mm")
    (True, False)
    """
    def keeping(answer: Callable[P, R]) -> Callable[P, R]:
        kept: deque[tuple[tuple[object, ...], R]] = deque(maxlen=count)
        lock = threading.RLock()

        @wraps(answer)
        def asked(*args: P.args, **names: P.kwargs) -> R:
            question = (*args, *(part for name in sorted(names) for part in (name, names[name])))
            with lock:
                for before, said in kept:
                    if _same(before, question):
                        return said
                said = answer(*args, **names)
                kept.appendleft((question, said))
                return said

        return asked

    return keeping


def _same(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    return len(one) == len(other) and all(
        a is b or (isinstance(a, str | int | float) and type(a) is type(b) and a == b)
        for a, b in zip(one, other, strict=True))
