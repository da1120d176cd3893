"""Whoever asks from this machine has swapped the terminal's address for the laptop's session, as its browser does."""

from datetime import datetime

from fieldapp.web.common.context import CLOCK
from fieldapp.web.common.rights import COOKIES, EXTENSION


def laptop_cookie(app):
    """The session of the laptop's own browser, as it sends it."""
    held = app.extensions[EXTENSION]
    now: datetime = app.extensions[CLOCK]()
    return f"{COOKIES['laptop']}={held.token(held.sessions.begin('laptop', now))}"


def at_the_laptop(app):
    """The same application; what comes from this machine brings the session along. Gives the application."""
    inner, cookie = app.wsgi_app, laptop_cookie(app)

    def from_here(environ, start):
        if environ.get("REMOTE_ADDR", "127.0.0.1") == "127.0.0.1":
            environ["HTTP_COOKIE"] = "; ".join(filter(None, (environ.get("HTTP_COOKIE"), cookie)))
        return inner(environ, start)

    app.wsgi_app = from_here
    return app
