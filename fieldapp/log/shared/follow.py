"""What other laptops write into a shared store is taken note of at once: one connection listens for all kits."""

import logging
import threading
from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from fieldapp.base.errors import StoreError
from fieldapp.log.baggage import erase_photos
from fieldapp.log.book import Halt, SiteBook
from fieldapp.log.faults import LASTING
from fieldapp.log.opening import follow_way
from fieldapp.log.shared.connecting import ANSWER_WITHIN_S, CONNECT_WITHIN_S, connect
from fieldapp.log.shared.tables import CHANNEL

if TYPE_CHECKING:
    import psycopg

LOOK_EVERY_S: Final = 2.0
"""However quiet it is, so that a message that was lost costs no more; phones ask every 2.5 s (in no formula)."""
AGAIN_AFTER_S: Final = 1.0
"""Between two tries to reach a server that does not answer (in no formula)."""

_terminal = logging.getLogger("raisebook")


Ends = Mapping[str, tuple[int, int]]
"""Schema of a kit → its last number, and how much of it was forgotten."""


class Follower:
    """Keeps open books up to date with their store, on a thread of its own."""

    def __init__(self, address: str, books: Mapping[str, SiteBook]) -> None:
        """`books` by the schema of their kit."""
        self._address = address
        self._books = dict(books)
        self._ends: Ends = {}
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="follow the store", daemon=True)
        self._reached = True

    def start(self) -> "Follower":
        """Begin; gives itself."""
        self._thread.start()
        return self

    def stop(self) -> None:
        """End within a few seconds; harmless a second time."""
        self._stopping.set()
        if self._thread.is_alive():
            self._thread.join(LOOK_EVERY_S + CONNECT_WITHIN_S + ANSWER_WITHIN_S)

    def _run(self) -> None:
        import psycopg  # only where a store is shared

        while not self._stopping.is_set():
            try:
                with connect(self._address, autocommit=True) as connection:
                    connection.execute(f"LISTEN {CHANNEL}")
                    self._say_reached(reached=True)
                    while not self._stopping.is_set():
                        self._look(_ends(connection, self._books))
                        list(connection.notifies(timeout=LOOK_EVERY_S, stop_after=1))
            except psycopg.Error as error:
                self._say_reached(reached=False, said=str(error))
                self._stopping.wait(AGAIN_AFTER_S)

    def _look(self, ends: Ends) -> None:
        """Let the books whose logs have changed catch up; one that cannot just now is asked again the next time."""
        seen = dict(self._ends)
        for schema, end in ends.items():
            if end != seen.get(schema):
                with suppress(StoreError):      # the next entry of a phone says so, in words
                    _catch_up(self._books[schema])
                    seen[schema] = end
        self._ends = seen

    def _say_reached(self, *, reached: bool, said: str = "") -> None:
        """To the terminal, once each time it changes."""
        if reached != self._reached:
            _terminal.warning("The store answers again." if reached else
                              f"The store does not answer: {' '.join(said.split())[:200]}. Phones keep what they send.")
        self._reached = reached


def _ends(connection: "psycopg.Connection[Any]", schemas: Iterable[str]) -> Ends:
    """Where the log of each kit ends; one question for all, which also tells whether the server is still there."""
    from psycopg import sql  # as above

    one = "SELECT {name}, (SELECT last FROM {of}.counter), (SELECT count(*) FROM {of}.forgotten)"
    asked = [sql.SQL(one).format(name=sql.Literal(schema), of=sql.Identifier(schema)) for schema in schemas]
    return {schema: (last, forgotten)
            for schema, last, forgotten in connection.execute(sql.SQL(" UNION ALL ").join(asked))}


def _catch_up(book: SiteBook) -> None:
    """Take note of what is new; where the server lacks what was answered, phones are told before one of them writes."""
    try:
        if book.catch_up():
            follow_way(book)
    except StoreError as error:
        if error.fault in LASTING:
            book.halt = Halt(error.fault, book.entries()[-1].at)
        raise
    if book.folder is not None:
        erase_photos(book.folder, book.names.forgotten)
