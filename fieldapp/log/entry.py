"""One line of the log: what happened, to which part, who, when. Never changed, only withdrawn by another."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from fieldapp.base.said import Value, in_words, say

LOG_NAME = "log.sqlite"
"""The log's file in the folder of its kit."""
PHONE = "phone "
"""What the name of a phone begins with that the server gave it."""
PSEUDONYM = re.compile(r"~[A-Z2-7]{10}", re.ASCII)
PHOTO = re.compile(r"[0-9a-f]{64}", re.ASCII)
"""A photo's name: the SHA-256 of what is in it."""


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry as admitted by the rules; the store gives it its `number`."""

    key: str
    """Made by the sender, unique: the same key twice counts once."""
    kind: str
    """Past tense: fitted, taken_down, damaged, withdrawn … (all of them: log.kinds)."""
    part: str | None
    """Printed part ID, or None for entries about the whole kit."""
    place: str | None
    who: str
    """Pseudonym of the role or name that the sender gave; that name itself until the log keeps it; may be empty."""
    at: datetime
    """Server time, UTC, to the millisecond."""
    sent_at: datetime | None = None
    """The phone's own time, UTC, if it said one."""
    data: Mapping[str, object] = field(default_factory=dict)
    """What this kind needs besides, JSON-able."""
    number: int | None = field(default=None, compare=False)
    """Position in this laptop's log; None until stored. Another laptop may give another number."""
    sender: str = ""
    """The phone it came from, e.g. "phone 3"; decides who may withdraw it."""
    order_ms: int = 0
    """Place in time [ms since 1970], never before the entry before it even if the clock is set back."""
    answers: tuple[str, ...] | None = None
    """Keys of the entries that this one answers: what it lifts of them, and of no other. None: an entry of an older
    program, which answers all that came before it."""
    chief: bool = False
    """True if it was pressed with the chief's rights, as that laptop vouches; older programs did not say."""
    laptop: str = ""
    """ID of the laptop that admitted it; empty for entries of an older program."""
    serial: int = 0
    """Place in that laptop's own chain of entries, from 1."""
    before: str = ""
    """Digest of that laptop's entry before it; empty for its first."""
    signature: str = field(default="", compare=False)
    """That laptop's signature under all of the above."""
    names: Mapping[str, str] = field(default_factory=dict, compare=False)
    """Pseudonym → name, of those on this entry whose names are known; outside of what is kept and signed."""
    erased: bool = field(default=False, compare=False)
    """True if its photo was erased on request."""

    @property
    def called(self) -> str:
        """The role or name that the sender gave, e.g. "crew 1"; its pseudonym if that was forgotten; may be empty."""
        return self.names.get(self.who, self.who)

    @property
    def by(self) -> str:
        """Who it was, to tell people apart and for tables: the name they gave, else their phone, else "unknown"."""
        return self.called or self.sender or "unknown"

    @property
    def named(self) -> Value:
        """The same for people to read."""
        return person_said(self.called) if self.who else sender_said(self.sender)

    def told(self, name: str) -> Value:
        """A text of its data for people to read; who is named in it, by name."""
        said = str(self.data[name])
        return person_said(self.names.get(said, said))

    @property
    def holder(self) -> str:
        """Who has what this entry takes in hand: the phone, or the name where no phone is known."""
        return self.sender or self.by

    def answers_to(self, key: str) -> bool:
        """True if this entry lifts what the one with that key told of."""
        return self.answers is None or key in self.answers

    @property
    def position(self) -> tuple[int, str]:
        """Sorting key of the fold: the same on every laptop."""
        return self.order_ms, self.key


def is_pseudonym(text: object) -> bool:
    """True for what stands in an entry instead of a name."""
    return isinstance(text, str) and PSEUDONYM.fullmatch(text) is not None


def is_photo(text: str) -> bool:
    """True for the name of a photo, without its ending."""
    return PHOTO.fullmatch(text) is not None


def person_said(name: str) -> Value:
    """Somebody by name, for people to read; where the name was forgotten, there is only a pseudonym."""
    return say("somebody") if is_pseudonym(name) else name


def sender_said(sender: str) -> Value:
    """A phone by the name that the server gave it, for people to read."""
    if not sender:
        return say("unknown")
    return say("phone {name}", name=sender.removeprefix(PHONE)) if sender.startswith(PHONE) else sender


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request is not admitted, for the person who asked, and what to do next."""

    why: Value
    then: Value = ""
    code: str = "refused"

    @property
    def message(self) -> str:
        """Why, in words."""
        return in_words(self.why)

    @property
    def what_next(self) -> str:
        """What to do next, in words."""
        return in_words(self.then)


def refuse(code: str, why: str, then: str = "", /, **values: Value) -> Refusal:
    """A refusal whose two sentences are filled with `values`.

    Examples
    --------
    >>> refuse("no_place", "there is no place {place}.", place="H99").message
    'there is no place H99.'
    """
    return Refusal(say(why, **values), say(then, **values) if then else "", code)


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
    sender: str = ""
    """The phone, as the server knows it; never taken from the form."""
    seen: int | None = None
    """Number of the newest entry that the sender's page knew of; None: as much as the laptop knows."""
