"""What is refused before any page is asked: strange hosts, writes from other sites; and the headers of every answer."""

import ipaddress
import socket
from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

from fieldapp.web.common.addresses import host_name

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; "
                               "base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
LOCAL_SUFFIXES = (".local", ".lan", ".internal", ".home.arpa", ".localhost")
"""Names that no public name server answers, so no foreign page can point one at this machine."""


def host_is_ours(authority: str, names: Collection[str]) -> bool:
    """True for a bare address, a name of the local network, this machine's name, or one of `names`.

    A numeric address cannot be forged by a foreign name server, so any is taken.
    """
    name = host_name(authority)
    if name is None:
        return False
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return name == "localhost" or name.endswith(LOCAL_SUFFIXES) or name in names
    return True


def comes_from_here(origin: str | None, referer: str | None, authority: str) -> bool:
    """True if a write was sent by one of our own pages, or by a program that says no origin at all.

    Browsers name the page's origin with every write, "null" where they hide it.
    """
    source = origin or referer
    if source is None:
        return True
    try:
        parts = urlsplit(source)
    except ValueError:      # an unclosed bracket
        return False
    return parts.scheme in ("http", "https") and parts.netloc.lower() == authority.lower()


STRANGE_HOST = "raisebook.strange_host"


class Door:
    """Before any page: a Host that is not ours is kept aside, so that the refusal itself has an address to speak of."""

    def __init__(self, app: "WSGIApplication", names: Collection[str]) -> None:
        self.app, self.names = app, names

    def __call__(self, environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
        """Pass the request on."""
        if not host_is_ours(environ.get("HTTP_HOST", ""), self.names):
            environ |= {STRANGE_HOST: True, "HTTP_HOST": "localhost"}
        return self.app(environ, start)


EXTENSION = "raisebook hosts"


def also_known_as(app: Flask, names: Iterable[str]) -> None:
    """Hosts that are the laptop's as well: other kits on it may have other addresses on their labels."""
    known: set[str] = app.extensions[EXTENSION]
    known.update(name.lower() for name in names)


def guard(app: Flask, names: Collection[str]) -> None:
    """Check every request to `app` and put the headers on every answer."""
    known = app.extensions[EXTENSION] = {name.lower() for name in names} | {socket.gethostname().lower()}
    app.wsgi_app = Door(app.wsgi_app, known)  # type: ignore[method-assign, assignment]

    @app.before_request
    def _check() -> None:
        if STRANGE_HOST in request.environ:
            abort(421)
        if request.method not in ("GET", "HEAD", "OPTIONS"):
            _check_origin()

    @app.after_request
    def _add_headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if request.endpoint != "static":
            response.headers.setdefault("Cache-Control", "no-cache")
        return response


def _check_origin() -> None:
    if not comes_from_here(request.headers.get("Origin"), request.headers.get("Referer"), request.host):
        abort(403)
