"""How far long work is: whoever starts it listens, whoever does it tells, and nothing passes a listener on."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

Listener = Callable[[str, int, int], None]
"""Told (what, done, in all)."""

_listener: ContextVar[Listener | None] = ContextVar("listener", default=None)


@contextmanager
def listening(progress: Listener) -> Iterator[None]:
    """While inside, `progress` is told how far the work is.

    Examples
    --------
    >>> heard = []
    >>> with listening(lambda what, done, total: heard.append((what, done, total))):
    ...     tell("steps", 3, 60)
    >>> tell("steps", 4, 60)
    >>> heard
    [('steps', 3, 60)]
    """
    token = _listener.set(progress)
    try:
        yield
    finally:
        _listener.reset(token)


def tell(what: str, done: int, total: int) -> None:
    """Say how far it is, if anybody listens."""
    progress = _listener.get()
    if progress:
        progress(what, done, total)
