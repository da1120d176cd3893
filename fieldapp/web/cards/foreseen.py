"""Once a page is answered, what stands after each green step is worked out beside: the next entry finds it there."""

from flask import Flask, Response, request

from fieldapp.log.book import SiteBook
from fieldapp.reports.verdict.likely import foresee_next
from fieldapp.web.common.beside import Beside
from fieldapp.web.common.context import state

FORESEEN = "raisebook foreseen"
FORESEES = "RAISEBOOK_FORESEES"
"""True where pages are served to phones: there time passes between entries."""


def install(app: Flask, book: SiteBook) -> None:
    """Give the application a worker of its own, so that nothing waits behind what takes minutes."""
    worker = app.extensions[FORESEEN] = Beside()
    app.config.setdefault(FORESEES, False)

    @app.after_request
    def _look_ahead(response: Response) -> Response:
        if app.config[FORESEES] and request.method == "GET" and response.mimetype == "text/html":
            seen = state()
            if seen is book.state:
                worker.begun("next", len(seen.entries), lambda: foresee_next(
                    book.site, seen, is_now=lambda: book.state is seen))
        return response
