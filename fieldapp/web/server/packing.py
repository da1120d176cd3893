"""Answers made small for the air: gzip where the phone takes it, and nothing at all where it has the same page already.

Over HTTPS only files that are the same for everybody are packed: the length of a packed page that repeats what was
typed tells, try by try, what else stands on it.
"""

import gzip

from flask import Flask, Response, request

from fieldapp.base.remembered import remembered

PACKED = frozenset({"text/html", "application/json", "text/css", "text/javascript", "application/javascript",
                    "image/svg+xml"})
WORTH_BYTES = 600
"""Below, head and packing outweigh what is saved; our choice."""
LEVEL = 6


def install(app: Flask) -> None:
    """Pack every answer of `app`; to be called first, so that it sees answers last."""

    @app.after_request
    def _pack(response: Response) -> Response:
        if response.mimetype in PACKED and response.status_code != 304:
            _packed(response)
        return response


def _packed(response: Response) -> None:
    if request.method in ("GET", "HEAD") and response.status_code == 200:
        response.direct_passthrough = False
        if "ETag" not in response.headers:
            response.add_etag(weak=True)
        if response.make_conditional(request).status_code == 304:
            return
    response.vary.add("Accept-Encoding")
    same_for_all = request.endpoint == "static"
    if request.accept_encodings.quality("gzip") <= 0 or (request.is_secure and not same_for_all):
        return
    response.direct_passthrough = False
    plain = response.get_data()
    if len(plain) >= WORTH_BYTES and "Content-Encoding" not in response.headers:
        response.set_data(_kept_gzip(plain) if same_for_all else _gzip(plain))
        response.headers["Content-Encoding"] = "gzip"
        tag, _weak = response.get_etag()
        if tag:
            response.set_etag(tag, weak=True)       # the same page in other bytes


def _gzip(plain: bytes) -> bytes:
    return gzip.compress(plain, LEVEL, mtime=0)


@remembered(64, by=lambda plain: plain)
def _kept_gzip(plain: bytes) -> bytes:
    """Of the style sheets and scripts, which every phone asks for once."""
    return _gzip(plain)
