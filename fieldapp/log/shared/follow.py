"""What other laptops write into a shared store is taken note of at once: one connection listens for all kits."""

import logging
import threading
from collections.abc import Mapping
from contextlib import suppress
from typing import Final

import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.log.book import SiteBook
from fieldapp.log.opening import follow_way
from fieldapp.log.shared.tables import CHANNEL, CONNECT_WITHIN_S

LOOK_EVERY_S: Final = 2.0
"""However quiet it is, so that a message that was lost costs no more; phones ask every 2.5 s (in no formula)."""
AGAIN_AFTER_S: Final = 1.0
"""Between two tries to reach a server that does not answer (in no formula)."""

_terminal = logging.getLogger("raisebook")


class Follower:
    """Keeps open books up to date with their store, on a thread of its own."""

    def __init__(self, address: str, books: Mapping[str, SiteBook]) -> None:
        """`books` by the schema of their kit."""
        self._address = sa.make_url(address).set(drivername="postgresql").render_as_string(hide_password=False)
        self._books = dict(books)
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="follow the store", daemon=True)
        self._reached = True

    def start(self) -> "Follower":
        """Begin; gives itself."""
        self._thread.start()
        return self

    def stop(self) -> None:
        """End within two seconds; harmless a second time."""
        self._stopping.set()
        if self._thread.is_alive():
            self._thread.join(LOOK_EVERY_S + CONNECT_WITHIN_S)

    def _run(self) -> None:
        import psycopg  # only where a store is shared

        while not self._stopping.is_set():
            try:
                with psycopg.connect(self._address, autocommit=True, connect_timeout=CONNECT_WITHIN_S) as connection:
                    connection.execute(f"LISTEN {CHANNEL}")
                    self._say_reached(reached=True)
                    self._look(set(self._books))
                    while not self._stopping.is_set():
                        told = {notice.payload for notice in connection.notifies(timeout=LOOK_EVERY_S, stop_after=1)}
                        self._look(told & self._books.keys() or set(self._books))
            except psycopg.Error as error:
                self._say_reached(reached=False, said=str(error))
                self._stopping.wait(AGAIN_AFTER_S)

    def _look(self, schemas: set[str]) -> None:
        for schema in schemas:
            with suppress(StoreError):      # the next entry of a phone says so, in words
                if self._books[schema].catch_up():
                    follow_way(self._books[schema])

    def _say_reached(self, *, reached: bool, said: str = "") -> None:
        """To the terminal, once each time it changes."""
        if reached != self._reached:
            _terminal.warning("The store answers again." if reached else
                              f"The store does not answer: {' '.join(said.split())[:200]}. Phones keep what they send.")
        self._reached = reached
