"""One line of the log: what happened, to which part, who, when. Never changed, only withdrawn by another."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry as admitted by the rules; the store gives it its `number`."""

    key: str
    """Made by the sender, unique: the same key twice counts once."""
    kind: str
    """Past tense: fitted, taken_down, damaged, withdrawn …"""
    part: str | None
    """Printed part ID, or None for entries about the whole kit."""
    place: str | None
    who: str
    """A role or a name that the sender gave, e.g. "crew 1"; may be empty."""
    at: datetime
    """Server time, UTC."""
    sent_at: datetime | None = None
    """The phone's own time, UTC, if it said one."""
    data: Mapping[str, object] = field(default_factory=dict)
    """What this kind needs besides, JSON-able."""
    number: int | None = None
    """Position in the log; None until stored."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request is not admitted, in words for the person who asked, and what to do next."""

    message: str
    what_next: str = ""
    code: str = "refused"


@dataclass(frozen=True, slots=True)
class Request:
    """What a phone asks for, before the rules have looked at it."""

    key: str
    kind: str
    part: str | None = None
    place: str | None = None
    who: str = ""
    sent_at: datetime | None = None
    data: Mapping[str, object] = field(default_factory=dict)
    chief: bool = False
    """True if the sender gave the pass phrase."""
