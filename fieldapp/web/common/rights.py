"""Who may do what: any phone reads, a phone that joined writes, the chief may do all.

A right is a session (`sessions`), kept as a signed cookie. The laptop's own browser has swapped the address that the
terminal showed (`laptop`) for one; it may always write, and is the chief as long as no pass phrase was set. Views ask
`may_write()` and `is_chief()`; whoever checked a code or phrase calls `grant`.
"""

import hashlib
import hmac
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from flask import Flask, current_app, g, jsonify, request
from flask.typing import ResponseReturnValue
from itsdangerous import BadData, URLSafeSerializer
from werkzeug.security import check_password_hash, generate_password_hash
from werkzeug.wrappers import Response

from fieldapp.base.errors import ServeError
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.site_key import PHRASE_FILE, SiteKey, fresh_key
from fieldapp.web.common.addresses import neighbour
from fieldapp.web.common.context import clock_now, sender, who
from fieldapp.web.common.i18n import _
from fieldapp.web.common.laptop import OneUse
from fieldapp.web.common.sessions import GOOD_FOR, Right, Session, Sessions
from fieldapp.web.common.tries import Tries

COOKIES: dict[Right, str] = {"write": "raisebook_joined", "chief": "raisebook_chief", "laptop": "raisebook_laptop"}
SECURE_PREFIX = "__Host-"
"""Over HTTPS the cookie has a name that plain HTTP cannot set; both are taken, since one laptop speaks both."""

EXTENSION = "raisebook rights"
OPEN_TO_ALL = frozenset({"join.enter", "join.leave", "me.save", "language.choose", "chief.leave"})
"""Endpoints that take a form from a phone that did not join: they write nothing into the log and read no photo."""

SHORTEST = 8
LONGEST = 200
SIGNED_BY = {"digest_method": hashlib.sha256, "key_derivation": "hmac"}
"""How cookies are signed: HMAC of SHA-256 (FIPS 180-4, FIPS 198-1); the library's own choice would be SHA-1."""
METHOD = "scrypt:32768:8:1"
"""32 MB and some 60 ms for a try. Source: OWASP Password Storage Cheat Sheet gives 2^17 for servers with room; four of
its times smaller here, since phones wait on the same laptop and tries are limited. Test: tests/web/raising."""
HASH = re.compile(r"(scrypt:32768:8:1|pbkdf2:sha256:[0-9]{1,7})\$[^$\s]{1,64}\$[0-9a-f]{64,128}", re.ASCII)
"""A pass phrase as `generate_password_hash` keeps it; what else stands in its file could be costly to check."""


@dataclass(frozen=True, slots=True)
class Rights:
    """What this laptop checks rights against."""

    key: SiteKey = field(default_factory=fresh_key)
    chief_phrase: str = ""
    """Set at `serve`; empty: only the laptop itself is the chief."""
    tries: Tries = field(default_factory=Tries)
    """Of join codes."""
    phrase_tries: Tries = field(default_factory=Tries)
    sessions: Sessions = field(default_factory=Sessions)
    laptop: OneUse = field(default_factory=OneUse)
    also: tuple[str, ...] = ()
    """Join codes that are good besides: those of the posters of single kits, where a yard serves several."""

    def token(self, session: Session) -> str:
        """The cookie's value; another code or phrase makes it void."""
        said = [session.number, session.since, session.phone, self._proof(session.right)]
        return str(self._serializer(session.right).dumps(said))

    def session(self, right: Right, token: str) -> Session | None:
        """What the cookie says, if this laptop signed it, for the code or phrase of now."""
        try:
            number, since, phone, proof = self._serializer(right).loads(token)
            found = Session(str(number), right, float(since), str(phone))
        except (BadData, TypeError, ValueError, RecursionError):
            return None
        return found if same_text(str(proof), self._proof(right)) else None

    def _proof(self, right: Right) -> str:
        known = {"write": self.key.join_code, "chief": self.chief_phrase, "laptop": self.laptop.run}[right]
        return hashlib.sha256(f"{right}:{known}".encode()).hexdigest()[:32]

    def _serializer(self, right: Right) -> URLSafeSerializer:
        return URLSafeSerializer(self.key.secret, salt=f"raisebook {right}", signer_kwargs=SIGNED_BY)


def rights() -> Rights:
    """Those of the application that answers this request."""
    found: Rights = current_app.extensions[EXTENSION]
    return found


def asker() -> str:
    """Whose wrong codes and phrases this request's count with."""
    return neighbour(request.remote_addr or "")


def is_laptop() -> bool:
    """True if the laptop's own browser asks."""
    return session_here("laptop") is not None


def may_write() -> bool:
    """True for the laptop, a phone that joined, and the chief."""
    return is_laptop() or session_here("write") is not None or _has_chief_session()


def is_chief() -> bool:
    """True for whoever gave the pass phrase; without one, for the laptop alone."""
    return _has_chief_session() if rights().chief_phrase else is_laptop()


def _has_chief_session() -> bool:
    return bool(rights().chief_phrase) and session_here("chief") is not None


def session_here(right: Right) -> Session | None:
    """The session of this kind that the phone that asks has, if it is good."""
    found: dict[Right, Session | None] = g.setdefault("sessions", {})
    if right not in found:
        found[right] = _looked_up(right)
    return found[right]


def _looked_up(right: Right) -> Session | None:
    held, now = rights(), clock_now()
    for prefix in (SECURE_PREFIX, ""):
        token = request.cookies.get(prefix + COOKIES[right], "")
        session = held.session(right, token) if token else None
        if session is not None and held.sessions.is_good(session, now):
            held.sessions.seen(session, now, who())
            return session
    return None


def opens(code: str) -> bool:
    """True for a join code that is good here."""
    held, found = rights(), False
    for known in (held.key.join_code, *held.also):      # all of them, so that the time tells nothing
        found |= same_text(code, known)
    return found


def same_text(given: str, known: str) -> bool:
    """Compares a code or phrase in a time that gives nothing away."""
    return hmac.compare_digest(given.encode(), known.encode())


def grant(response: Response, right: Right) -> Response:
    """Give this phone a new session; one of the same right that it had ends."""
    held, now = rights(), clock_now()
    had = session_here(right)
    if had is not None:
        held.sessions.end(had.number, now)
    name = (SECURE_PREFIX if request.is_secure else "") + COOKIES[right]
    session = held.sessions.begin(right, now, phone=sender())
    response.set_cookie(name, held.token(session),
                        max_age=int(GOOD_FOR[right].total_seconds()) if right == "write" else None,
                        httponly=True, samesite="Lax" if right == "write" else "Strict", secure=request.is_secure)
    g.pop("sessions", None)
    return response


def take_away(response: Response, right: Right) -> Response:
    """End the session, and take the cookie from this phone."""
    had = session_here(right)
    if had is not None:
        rights().sessions.end(had.number, clock_now())
    for prefix in ("", SECURE_PREFIX):
        response.delete_cookie(prefix + COOKIES[right], httponly=True, samesite="Lax", secure=bool(prefix))
    g.pop("sessions", None)
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
    made = generate_password_hash(phrase, METHOD)
    write_atomic(path, f"{made}\n".encode(), secret=True)
    return made


def is_phrase(given: str, known_hash: str) -> bool:
    """True if the phrase is the one; takes as long for a wrong one."""
    return bool(known_hash) and len(given) <= 4 * LONGEST and check_password_hash(known_hash, _tidy(given))


def _tidy(phrase: str) -> str:
    """As people type it on a phone: one blank between words, capitals or not."""
    return " ".join(phrase.split()).casefold()


def _kept(path: Path) -> str:
    try:
        kept = path.read_text(encoding="utf-8-sig").strip() if path.exists() else ""
    except (OSError, ValueError) as error:
        raise ServeError(_spoiled(path)) from error
    if kept and not HASH.fullmatch(kept):
        raise ServeError(_spoiled(path))
    return kept


def _spoiled(path: Path) -> str:
    return (f"{path} cannot be read: it is no pass phrase as raisebook keeps it. Delete it and give the pass phrase "
            f"anew with --chief-phrase.")
