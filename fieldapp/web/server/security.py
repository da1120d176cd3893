"""What is refused before any page is asked: strange hosts, writes from other sites; and the headers of every answer."""

import ipaddress
import re
import socket
from collections.abc import Collection
from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

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
_HOST = re.compile(r"^(\[[0-9a-fA-F:.]+\]|[A-Za-z0-9._-]+)(:\d{1,5})?$")


def host_name(authority: str) -> str | None:
    """The name in `name:port`, in small letters, or None if it is not of that form.

    Examples
    --------
    >>> host_name("10.0.0.1:8000"), host_name("[fe80::1]:80"), host_name("a b")
    ('10.0.0.1', 'fe80::1', None)
    """
    match = _HOST.match(authority)
    return match[1].strip("[]").lower().rstrip(".") if match else None


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


def guard(app: Flask, names: Collection[str]) -> None:
    """Check every request to `app` and put the headers on every answer."""
    ours = {name.lower() for name in names} | {socket.gethostname().lower()}

    @app.before_request
    def _check() -> None:
        if not host_is_ours(request.host, ours):
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
