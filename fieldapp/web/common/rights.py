"""Who may do what: any phone reads, a phone that joined writes, the chief may do all.

A right is a signed cookie. The laptop itself (loopback) may always write; it is the chief as long as no pass phrase
was set. Views ask `may_write()` and `is_chief()`; whoever checked a code or phrase calls `grant`.
"""

import hashlib
import hmac
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from ipaddress import ip_address
from pathlib import Path
from time import monotonic
from typing import Literal

from flask import Flask, current_app, jsonify, request
from flask.typing import ResponseReturnValue
from itsdangerous import BadSignature, URLSafeSerializer
from werkzeug.security import check_password_hash, generate_password_hash
from werkzeug.wrappers import Response

from fieldapp.base.errors import ServeError
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.site_key import PHRASE_FILE, SiteKey, fresh_key
from fieldapp.web.common.context import YEAR_S
from fieldapp.web.common.i18n import _

Right = Literal["write", "chief"]
COOKIES: dict[Right, str] = {"write": "raisebook_joined", "chief": "raisebook_chief"}
SECURE_PREFIX = "__Host-"
"""Over HTTPS the cookie has a name that plain HTTP cannot set; both are taken, since one laptop speaks both."""

EXTENSION = "raisebook rights"
OPEN_TO_ALL = frozenset({"join.enter", "me.save", "language.choose", "find.photo", "live.frame", "chief.enter",
                         "chief.leave"})
"""Endpoints that take a form from a phone that did not join: they write nothing into the log."""

WRONG_AT_ONCE = 10
WRONG_WITHIN_S = 60.0

SHORTEST = 8
LONGEST = 200


@dataclass(slots=True)
class Tries:
    """Counts wrong codes by sender, so that guessing takes for ever."""

    clock: Callable[[], float] = monotonic
    _wrong: dict[str, list[float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def too_many(self, sender: str) -> bool:
        """True if this sender has to wait."""
        with self._lock:
            return len(self._recent(sender)) >= WRONG_AT_ONCE

    def wrong(self, sender: str) -> None:
        """One more wrong code."""
        with self._lock:
            self._wrong[sender] = [*self._recent(sender), self.clock()]

    def _recent(self, sender: str) -> list[float]:
        now = self.clock()
        for name in [name for name, times in self._wrong.items() if now - times[-1] > WRONG_WITHIN_S]:
            del self._wrong[name]
        return [at for at in self._wrong.get(sender, []) if now - at <= WRONG_WITHIN_S]


@dataclass(frozen=True, slots=True)
class Rights:
    """What this laptop checks rights against."""

    key: SiteKey = field(default_factory=fresh_key)
    chief_phrase: str = ""
    """Set at `serve`; empty: only the laptop itself is the chief."""
    tries: Tries = field(default_factory=Tries)

    def token(self, right: Right) -> str:
        """The cookie's value; another code or phrase makes it void."""
        known = self.key.join_code if right == "write" else self.chief_phrase
        proof = hashlib.sha256(f"{right}:{known}".encode()).hexdigest()[:32]
        return str(self._serializer(right).dumps(proof))

    def proves(self, right: Right, cookie: str) -> bool:
        """True if the cookie is one that this laptop gave, for the code or phrase of now."""
        try:
            proof = self._serializer(right).loads(cookie)
        except BadSignature:
            return False
        return isinstance(proof, str) and hmac.compare_digest(proof, self._serializer(right).loads(self.token(right)))

    def _serializer(self, right: Right) -> URLSafeSerializer:
        return URLSafeSerializer(self.key.secret, salt=f"raisebook {right}")


def rights() -> Rights:
    """Those of the application that answers this request."""
    found: Rights = current_app.extensions[EXTENSION]
    return found


def is_laptop() -> bool:
    """True if the request comes from the laptop itself."""
    try:
        return ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        return False


def may_write() -> bool:
    """True for the laptop, a phone that joined, and the chief."""
    return is_laptop() or _has("write") or _has_chief_cookie()


def is_chief() -> bool:
    """True for whoever gave the pass phrase; without one, for the laptop alone."""
    if not rights().chief_phrase:
        return is_laptop()
    return _has_chief_cookie()


def _has_chief_cookie() -> bool:
    return bool(rights().chief_phrase) and _has("chief")


def _has(right: Right) -> bool:
    cookies = (request.cookies.get(prefix + COOKIES[right], "") for prefix in (SECURE_PREFIX, ""))
    return any(cookie and rights().proves(right, cookie) for cookie in cookies)


def same_text(given: str, known: str) -> bool:
    """Compares a code or phrase in a time that gives nothing away."""
    return hmac.compare_digest(given.encode(), known.encode())


def grant(response: Response, right: Right) -> Response:
    """Give this phone the right: writing for a year, the chief's until the browser is closed."""
    name = (SECURE_PREFIX if request.is_secure else "") + COOKIES[right]
    response.set_cookie(name, rights().token(right), max_age=YEAR_S if right == "write" else None,
                        httponly=True, samesite="Lax", secure=request.is_secure)
    return response


def take_away(response: Response, right: Right) -> Response:
    """Take it back from this phone."""
    for prefix in ("", SECURE_PREFIX):
        response.delete_cookie(prefix + COOKIES[right], httponly=True, samesite="Lax", secure=bool(prefix))
    return response


def install(app: Flask, held: Rights, not_joined: Callable[[], ResponseReturnValue]) -> None:
    """Refuse every form of a phone that did not join, except those that write nothing down.

    `not_joined` makes the page that a refused phone sees; programs get JSON.
    """
    app.extensions[EXTENSION] = held

    @app.before_request
    def _check() -> ResponseReturnValue | None:
        if request.method in ("GET", "HEAD", "OPTIONS") or request.endpoint in OPEN_TO_ALL or may_write():
            return None
        return _not_joined_json() if request.path.startswith("/api/") else not_joined()

    @app.context_processor
    def _of_this_phone() -> dict[str, object]:
        return {"may_write": may_write(), "is_chief": is_chief(), "is_laptop": is_laptop()}


def _not_joined_json() -> ResponseReturnValue:
    return jsonify({"error": _("This phone may only read"), "code": "not_joined", "message": _(
        "To write things down, scan the square on the join poster, or type the join code.")}), 403


def chief_hash(folder: Path, phrase: str | None) -> str:
    """The hash to check against: of `phrase`, which is kept from now on, or else of the one kept; "" if neither is.

    Raises
    ------
    ServeError
        If the phrase is too short or too long, or the kept one cannot be read.
    KitError
        If it cannot be written.
    """
    path = folder / PHRASE_FILE
    kept = _kept(path)
    if phrase is None or (kept and is_phrase(phrase, kept)):
        return kept
    phrase = _tidy(phrase)
    if not SHORTEST <= len(phrase) <= LONGEST:
        raise ServeError(f"the chief's pass phrase has {len(phrase)} characters; {SHORTEST} to {LONGEST} are allowed. "
                         f"Take three or four words.")
    made = generate_password_hash(phrase)
    write_atomic(path, f"{made}\n".encode())
    path.chmod(0o600)
    return made


def is_phrase(given: str, known_hash: str) -> bool:
    """True if the phrase is the one; takes as long for a wrong one."""
    return bool(known_hash) and len(given) <= 4 * LONGEST and check_password_hash(known_hash, _tidy(given))


def _tidy(phrase: str) -> str:
    """As people type it on a phone: one blank between words, capitals or not."""
    return " ".join(phrase.split()).casefold()


def _kept(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8").strip() if path.exists() else ""
    except (OSError, ValueError) as error:
        raise ServeError(f"{path} cannot be read. Delete it and give the pass phrase anew with --chief-phrase."
                         ) from error
