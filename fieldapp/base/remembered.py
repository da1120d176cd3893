"""Answers kept for the last few questions: after an entry, every phone on site asks the same.

The one way in which answers about a kit, a plan or a log are kept. `functools.lru_cache` stays where the answer
never goes out of date: tables, fonts, catalogues, symbols.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from typing import Generic, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


class _Kept(Generic[R]):
    """One question: whoever computes its answer holds the lock, and all who ask meanwhile wait for it."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.known = False
        self.answer: R


class _One:
    """An object that is told apart by being itself. It is kept with its answer, so that no other takes its number."""

    def __init__(self, thing: object) -> None:
        self.thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _One) and self.thing is other.thing

    def __hash__(self) -> int:
        return id(self.thing)


def remembered(count: int, by: Callable[..., Hashable] | None = None) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Keep what a function answered to its last `count` questions; whoever asks meanwhile waits for the same answer.

    Parameters
    ----------
    count : int
        Bounds the memory: arguments are kept with the answer. A handful does, since only the newest state is asked
        about.
    by : callable, optional
        From the same arguments, all that an answer depends on, to be compared: equal designs have equal statics.
        If not given, arguments are the same if they are one object, or equal words, numbers or None: for large
        values that never change (a state, a site, a plan).

    Notes
    -----
    An answer that could not be given (an exception) is not kept.

    Examples
    --------
    >>> @remembered(2)
    ... def length(words: list[str], unit: str) -> list[int]:
    ...     return [len(word) for word in words]
    >>> words = ["hub", "strut"]
    >>> length(words, "mm") is length(words, "mm"), length(words, "mm") is length(["hub", "strut"], "mm")
    (True, False)
    >>> @remembered(2, by=lambda words, unit: (*words, unit))
    ... def equal_length(words: list[str], unit: str) -> list[int]:
    ...     return [len(word) for word in words]
    >>> equal_length(words, "mm") is equal_length(["hub", "strut"], "mm")
    True
    """
    asked_by = _themselves if by is None else by

    def keeping(answer: Callable[P, R]) -> Callable[P, R]:
        kept: OrderedDict[Hashable, _Kept[R]] = OrderedDict()
        lock = threading.Lock()

        @wraps(answer)
        def asked(*args: P.args, **names: P.kwargs) -> R:
            question = asked_by(*args, **names)
            with lock:
                one = kept.setdefault(question, _Kept())
                kept.move_to_end(question)
                if len(kept) > count:
                    kept.popitem(last=False)
            with one.lock:
                if not one.known:
                    one.answer, one.known = answer(*args, **names), True
            return one.answer

        return asked

    return keeping


def _themselves(*args: object, **names: object) -> Hashable:
    """Arguments as a question: words, numbers and None by their value, everything else by being itself."""
    parts = (*args, *(part for name in sorted(names) for part in (name, names[name])))
    return tuple((type(part), part) if isinstance(part, str | int | float) else _One(part) for part in parts)
