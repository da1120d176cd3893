"""Tells phones apart by a random cookie, so that everybody can take back what they wrote down themselves."""

import hashlib
import secrets

from flask import Flask, Response, request

from fieldapp.log.entry import PHONE

PHONE_COOKIE = "raisebook_phone"
YEAR_S = 366 * 24 * 3600
_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
_CODE_CHARS = 4


def phone_name(token: str) -> str:
    """What the log calls the phone with this cookie; it does not give the cookie away.

    Examples
    --------
    >>> phone_name("")
    ''
    >>> phone_name("abc") == phone_name("abc"), len(phone_name("abc"))
    (True, 10)
    """
    if not token:
        return ""
    digest = hashlib.sha256(token.encode()).digest()
    return PHONE + "".join(_LETTERS[byte % len(_LETTERS)] for byte in digest[:_CODE_CHARS])


def sender() -> str:
    """The phone that asks; empty if it keeps no cookies."""
    return phone_name(request.cookies.get(PHONE_COOKIE, "")[:64])


def install(app: Flask) -> None:
    """Give every phone its cookie with the first page it opens."""

    @app.after_request
    def _remember(response: Response) -> Response:
        if request.endpoint != "static" and PHONE_COOKIE not in request.cookies:
            keep_cookie(response, PHONE_COOKIE, secrets.token_urlsafe(12))
        return response


def keep_cookie(response: Response, name: str, value: str) -> None:
    """For a year; SameSite, and not Secure because the site speaks plain HTTP."""
    response.set_cookie(name, value, max_age=YEAR_S, httponly=True, samesite="Lax")
