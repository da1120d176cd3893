"""Sessions by phone: who was given a right, since when, and which were ended; kept in the kit's folder.

A session is a signed token that a phone keeps in a cookie. It says its own number, right and beginning, so that it is
good on a laptop that went on from a stick, too; what this file keeps is which ones were ended. Where it is gone, it
begins anew, and no token from before counts any more.
"""

import json
import logging
import secrets
import threading
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Literal

from fieldapp.base.errors import KitError
from fieldapp.base.json_text import from_json
from fieldapp.kit.atomic import write_atomic

Right = Literal["write", "chief", "laptop"]
GOOD_FOR: dict[Right, timedelta] = {"write": timedelta(days=30), "chief": timedelta(hours=16),
                                    "laptop": timedelta(days=30)}
"""A raise and its strike; one long day; the laptop's own end with its server at the latest. Our choice."""
MOST = 2000
"""Sessions that are remembered; those that were ended go last. Our choice."""

_terminal = logging.getLogger("raisebook")


@dataclass(frozen=True, slots=True)
class Session:
    """One right of one phone."""

    number: str
    """Drawn at random. It opens nothing without the laptop's signature."""
    right: Right
    since: float
    """Seconds since 1970."""
    phone: str = ""
    """What the log calls the phone; empty where it keeps no cookies."""
    ended: bool = False

    def good_until(self) -> float:
        """When it ends by itself; seconds since 1970."""
        return self.since + GOOD_FOR[self.right].total_seconds()


@dataclass(frozen=True, slots=True)
class Seen:
    """When a session was used last in this run, and what the person at the phone calls themselves."""

    at: datetime
    who: str


class Sessions:
    """All sessions of one kit; without a file they are remembered as long as the program runs."""

    def __init__(self, path: Path | None = None, *, now: datetime | None = None) -> None:
        self._path, self._lock = path, threading.Lock()
        self._known: dict[str, Session] = {}
        self._seen: dict[str, Seen] = {}
        self._from = 0.0
        if path is not None:
            self._read(path, now or datetime.now().astimezone())

    def begin(self, right: Right, now: datetime, *, phone: str = "") -> Session:
        """A new one."""
        made = Session(secrets.token_urlsafe(16), right, now.timestamp(), phone)
        with self._lock:
            self._known[made.number] = made
            self._keep(now)
        return made

    def is_good(self, session: Session, now: datetime) -> bool:
        """True unless it was ended, has run out, or is older than what this laptop remembers."""
        known = self._known.get(session.number, session)
        return not known.ended and self._from <= session.since and now.timestamp() < session.good_until()

    def seen(self, session: Session, now: datetime, who: str) -> None:
        """It was used just now; one that another laptop began is remembered from now on."""
        self._seen[session.number] = Seen(now, who)
        if session.number not in self._known:
            with self._lock:
                self._known[session.number] = session

    def end(self, number: str, now: datetime) -> bool:
        """No longer good, here and after a restart; False if there is none of this number."""
        with self._lock:
            known = self._known.get(number)
            if known is None:
                return False
            self._known[number] = replace(known, ended=True)
            self._keep(now)
        return True

    def end_all(self, right: Right, now: datetime) -> None:
        """Those of one right."""
        with self._lock:
            self._known = {number: replace(each, ended=True) if each.right == right else each
                           for number, each in self._known.items()}
            self._keep(now)

    def current(self, now: datetime) -> tuple[tuple[Session, Seen | None], ...]:
        """Those that are good, the one used last first, with when that was in this run."""
        good = [each for each in list(self._known.values()) if self.is_good(each, now)]
        return tuple((each, self._seen.get(each.number)) for each in sorted(good, key=self._last, reverse=True))

    def _last(self, session: Session) -> tuple[float, str]:
        seen = self._seen.get(session.number)
        return (seen.at.timestamp() if seen else session.since), session.number

    def _keep(self, now: datetime) -> None:
        """Write them down; a disk that takes nothing stops nobody."""
        left = [each for each in self._known.values() if now.timestamp() < each.good_until()]
        left = sorted(left, key=lambda each: (each.ended, each.since))[-MOST:]
        self._known = {each.number: each for each in left}
        if self._path is None:
            return
        lasting = [asdict(each) for each in left if each.right != "laptop"]
        said = json.dumps({"sessions_from": self._from, "sessions": lasting}, indent=1)
        try:
            write_atomic(self._path, f"{said}\n".encode(), secret=True)
        except KitError as error:
            _terminal.warning("Who joined and who was ended could not be written down: %s", error)

    def _read(self, path: Path, now: datetime) -> None:
        try:
            if path.exists():
                self._take(from_json(path.read_text(encoding="utf-8")))
                return
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            _terminal.warning("%s cannot be read and is begun anew: all phones have to join again.", path)
            with suppress(OSError):
                path.replace(path.with_suffix(".damaged"))
        self._from = now.timestamp()
        self._keep(now)

    def _take(self, said: Any) -> None:
        self._from = float(said["sessions_from"])
        found = [Session(str(each["number"]), _right(each["right"]), float(each["since"]), str(each["phone"]),
                         bool(each["ended"])) for each in said["sessions"]]
        self._known = {each.number: each for each in found}


def _right(text: str) -> Right:
    if text not in GOOD_FOR:
        raise ValueError(f"no right is called {text!r}")
    return text
