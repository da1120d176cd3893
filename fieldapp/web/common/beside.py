"""What takes long is computed beside the pages: one worker, one queue, one answer kept for each subject.

A page asks and waits a moment; is the answer not there by then, the page says so and is looked at again. Whoever asks
the same meanwhile waits for the same answer. A question that was followed by a newer one about its subject before
anybody began on it is out of date and is not begun. Listeners for the network and the announcement of the site compute
no answers and keep threads of their own.
"""

import threading
from collections.abc import Callable, Hashable
from concurrent.futures import CancelledError, Future
from concurrent.futures import TimeoutError as TooLong
from typing import Any, TypeVar

from flask import current_app

EXTENSION = "raisebook beside"

R = TypeVar("R")


class Beside:
    """The worker of one application; it is there while a question waits, and ends with the program at the latest."""

    def __init__(self) -> None:
        self._asked: dict[str, tuple[Hashable, Future[Any]]] = {}
        self._waiting: dict[str, tuple[Future[Any], Callable[[], Any]]] = {}
        self._lock = threading.Lock()
        self._working = self._stopped = False

    def stop(self) -> None:
        """Begin nothing more, with what is waited for or anew: whoever asks has no answer yet."""
        with self._lock:
            self._stopped = True
            for answer, _work in self._waiting.values():
                answer.cancel()
            self._waiting.clear()

    def answer(self, subject: str, question: Hashable, work: Callable[[], R], *, patience_s: float) -> R | None:
        """What `work` returns, computed once for equal questions in a row; None while it is not there.

        Parameters
        ----------
        subject : str
            Only the newest question of a subject counts, and only its answer is kept.
        question : hashable
            All that the answer depends on.
        work : callable
            Called by the worker, at most once, without a request.
        patience_s : float
            How long to wait. [s]

        Raises
        ------
        Exception
            What `work` raised, for everybody who asks this question.
        """
        try:
            found: R = self.begun(subject, question, work).result(patience_s)
        except (TooLong, CancelledError):
            return None
        return found

    def known(self, subject: str, question: Hashable) -> Any | None:
        """The answer, if it is there; nothing is begun."""
        with self._lock:
            asked, answer = self._asked.get(subject, (None, None))
        there = answer is not None and asked == question and answer.done() and answer.exception() is None
        return answer.result() if there and answer is not None else None

    def begun(self, subject: str, question: Hashable, work: Callable[[], R]) -> Future[R]:
        """The same without waiting."""
        with self._lock:
            asked, answer = self._asked.get(subject, (None, None))
            if answer is not None and asked == question:
                return answer
            if subject in self._waiting:
                self._waiting[subject][0].cancel()
            answer = Future()
            if self._stopped:
                answer.cancel()
                return answer
            self._asked[subject] = question, answer
            self._waiting[subject] = answer, work
            if not self._working:
                self._working = True
                threading.Thread(target=self._work, name="beside the pages", daemon=True).start()
        return answer

    def _work(self) -> None:
        while (following := self._following()) is not None:
            answer, work = following
            try:
                answer.set_result(work())
            except BaseException as error:  # told to whoever asked; the worker goes on
                answer.set_exception(error)

    def _following(self) -> tuple[Future[Any], Callable[[], Any]] | None:
        """What has waited longest; None ends the worker."""
        with self._lock:
            if not self._waiting:
                self._working = False
                return None
            answer, work = self._waiting.pop(next(iter(self._waiting)))
            answer.set_running_or_notify_cancel()
            return answer, work


def beside() -> Beside:
    """That of the application that answers this request."""
    found: Beside = current_app.extensions[EXTENSION]
    return found
