"""That nothing was written down, told again without asking the pages: what two hundred phones ask every 2.5 s.

A question that the pages answered with 304 is answered so again while the log is the same, from what was kept: no
page, no template, no lock. Only for a while, so that what changes by the clock alone is told, and who was here is
seen.
"""

import time
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from fieldapp.log.book import Halt, SiteBook
from fieldapp.log.state import State
from fieldapp.web.server.security import STRANGE_HOST

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

ASKED = ("REQUEST_METHOD", "PATH_INFO", "QUERY_STRING", "HTTP_IF_NONE_MATCH", "HTTP_HOST", "HTTP_COOKIE",
         "HTTP_ACCEPT_LANGUAGE", "HTTP_ACCEPT_ENCODING", "HTTP_ORIGIN", "wsgi.url_scheme")
"""All of a request that its answer depends on."""
POLL = "/api/state"
GOOD_FOR_S = 10.0
"""After which the pages are asked again: four polls of a phone. Our choice."""
MOST = 1000
"""Questions that are kept: phones that a laptop serves. Our choice."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """Headers of a 304, and what they were true of."""

    headers: tuple[tuple[str, str], ...]
    state: State
    halt: Halt | None
    until: float


class Unchanged:
    """Before the pages of an application, behind the look at the Host."""

    def __init__(self, app: "WSGIApplication", book: SiteBook) -> None:
        self.app, self.book = app, book
        self._kept: dict[tuple[str, ...], _Kept] = {}

    def __call__(self, environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
        """Answer at once what was answered just now, or pass it on."""
        if environ.get("PATH_INFO") != POLL or "HTTP_IF_NONE_MATCH" not in environ or STRANGE_HOST in environ:
            return self.app(environ, start)
        question = tuple(str(environ.get(name, "")) for name in ASKED)
        state, halt, now = self.book.state, self.book.halt, time.monotonic()
        kept = self._kept.get(question)
        if kept is not None and kept.state is state and kept.halt is halt and now < kept.until:
            start("304 NOT MODIFIED", list(kept.headers))
            return ()

        def noting(status: str, headers: list[tuple[str, str]], *more: Any) -> Any:
            if status.startswith("304") and not any(name.lower() == "set-cookie" for name, _ in headers):
                self._keep(question, _Kept(tuple(headers), state, halt, now + GOOD_FOR_S))
            return start(status, headers, *more)

        return self.app(environ, noting)

    def _keep(self, question: tuple[str, ...], kept: _Kept) -> None:
        if len(self._kept) >= MOST:
            self._kept = {}
        self._kept[question] = kept
