"""A long answer in pieces, beside the pages: other questions come in between, and what is known is shown meanwhile."""

import threading
import time
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass
from typing import Generic, TypeVar

from flask import current_app

from fieldapp.web.common.beside import Beside, beside

PIECE_S = 0.3
"""How long one piece may take before others have their turn. [s]"""
EXTENSION = "raisebook pieces"

_LOCK = threading.Lock()
R = TypeVar("R")


@dataclass(slots=True, eq=False)
class Growing(Generic[R]):
    """An answer that grows."""

    question: Hashable
    steps: Iterator[R]
    so_far: R | None = None
    whole: bool = False
    fault: Exception | None = None

    def go_on(self) -> None:
        """For one piece."""
        until = time.monotonic() + PIECE_S
        try:
            self._step()
            while not self.whole and time.monotonic() < until:
                self._step()
        except Exception as error:
            self.fault, self.whole = error, True

    def _step(self) -> None:
        try:
            self.so_far = next(self.steps)
        except StopIteration:
            self.whole = True


def growing(subject: str, question: Hashable, steps: Callable[[], Iterator[R]], *, patience_s: float) -> R | None:
    """The newest of what `steps` yields; it goes on beside the pages until there is no more.

    Parameters
    ----------
    subject : str
        Only the newest question of a subject counts.
    question : hashable
        All that the answer depends on.
    steps : callable
        Begins the work; called once.
    patience_s : float
        How long to wait for the first of it. [s]

    Raises
    ------
    Exception
        What the work raised.
    """
    known: dict[str, Growing[R]] = current_app.extensions.setdefault(EXTENSION, {})
    with _LOCK:
        answer = known.get(subject)
        fresh = answer is None or answer.question != question
        if answer is None or fresh:
            answer = known[subject] = Growing(question, steps())
    if fresh:
        beside().answer(subject, (question, 0), _piece(beside(), subject, answer, 0), patience_s=patience_s)
    if answer.fault is not None:
        raise answer.fault
    return answer.so_far


def _piece(worker: Beside, subject: str, answer: Growing[R], number: int) -> Callable[[], None]:
    """The work of one piece, which puts the following one behind all that waits."""
    def piece() -> None:
        answer.go_on()
        if not answer.whole:
            worker.begun(subject, (answer.question, number + 1), _piece(worker, subject, answer, number + 1))

    return piece
