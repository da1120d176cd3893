"""Before all pages of a yard: which kit is asked for, by the first piece of the address."""

from collections.abc import Iterable
from typing import TYPE_CHECKING
from urllib.parse import quote

from fieldapp.web.yard.kits import Yard

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment


class Gate:
    """`/OH/…` goes to the kit OH, as if that were served alone below this address; all else to the yard's own pages."""

    def __init__(self, own: "WSGIApplication", yard: Yard) -> None:
        self.own, self.yard = own, yard

    def __call__(self, environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
        """Pass the request on."""
        name, slash, rest = environ.get("PATH_INFO", "").removeprefix("/").partition("/")
        kit = self.yard.named(name) if name and (slash or environ.get("REQUEST_METHOD") in ("GET", "HEAD")) else None
        if kit is None:
            return self.own(environ, start)
        if not slash or name != kit.name:
            return _to(f"{environ.get('SCRIPT_NAME', '')}/{kit.name}/{rest}", environ, start)
        environ |= {"SCRIPT_NAME": f"{environ.get('SCRIPT_NAME', '')}/{kit.name}", "PATH_INFO": f"/{rest}"}
        return kit.app(environ, start)


def _to(path: str, environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
    """The same page by the address that it has."""
    query = environ.get("QUERY_STRING", "")
    start("308 PERMANENT REDIRECT", [("Location", quote(path) + (f"?{query}" if query else "")),
                                     ("Content-Length", "0")])
    return ()
