"""What a form or a JSON body asks for, checked at the door and turned into requests for the log."""

import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime

from fieldapp.base.clock import moment_of
from fieldapp.log.entry import Request
from fieldapp.web.common.context import MAX_WHO_CHARS, tidy
from fieldapp.web.common.i18n import _

_KEY = re.compile(r"^[A-Za-z0-9_-]{16,64}$")
MAX_WORDS_CHARS = 500
MAX_ENTRIES_AT_ONCE = 200
MAX_NUMBER_CHARS = 12


class FormError(ValueError):
    """A form that none of our pages sends; says what is wrong with it."""


def new_key() -> str:
    """A sender's key: 128 random bits. The same key twice counts once."""
    return secrets.token_urlsafe(16)


def checked_key(text: object) -> str:
    """The key as sent; FormError if it is not one."""
    if isinstance(text, str) and _KEY.match(text):
        return text
    raise FormError(_("the key must be 16 to 64 letters, digits, - or _; reload the page and try again"))


def number_or_none(text: str) -> int | None:
    """A small number that was chosen, or None if nothing was.

    Examples
    --------
    >>> number_or_none("4"), number_or_none(""), number_or_none("x")
    (4, None, None)
    """
    return int(text) if re.fullmatch(r"[0-9]{1,3}", text, re.ASCII) else None


def number_of(text: str) -> float | None:
    """A number as people type it, with point or comma; None if it is none.

    Examples
    --------
    >>> number_of("12,5"), number_of(" 1085.2 "), number_of("nan"), number_of("wet")
    (12.5, 1085.2, None, None)
    """
    try:
        value = float(text.strip().replace(",", ".")[:MAX_NUMBER_CHARS])
    except ValueError:
        return None
    return value if abs(value) < float("inf") else None


def entry_number(text: str) -> int | None:
    """The number of an entry, or None if none was given.

    Examples
    --------
    >>> entry_number("1204"), entry_number(""), entry_number("1e3")
    (1204, None, None)
    """
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text, re.ASCII) else None


def phone_time(text: str | None) -> datetime | None:
    """The phone's own time of a press, in UTC; None if it said none that can be read.

    Examples
    --------
    >>> phone_time("2026-09-12T10:14:00.000Z"), phone_time("ten past"), phone_time(None)
    (datetime.datetime(2026, 9, 12, 10, 14, tzinfo=datetime.timezone.utc), None, None)
    """
    try:
        return moment_of((text or "")[:40], UTC)
    except ValueError:
        return None


@dataclass(frozen=True, slots=True)
class DamageForm:
    """What the damage page sends."""

    what: str = ""
    where: int | None = None
    severity: str = "unsure"
    words: str = ""

    def data(self, where_kind: str) -> Mapping[str, object]:
        """As the log keeps it; `where_kind` is "arm", "end" or ""."""
        found: dict[str, object] = {"what": self.what, "severity": self.severity}
        if where_kind and self.where is not None:
            found[where_kind] = self.where
        if self.words:
            found["words"] = self.words
        return found


def damage_form(form: Mapping[str, str]) -> DamageForm:
    """Read the damage page's fields; what is missing is left for the rules to refuse."""
    severity = form.get("severity", "")
    return DamageForm(what=tidy(form.get("what", ""), 40), where=number_or_none(form.get("where", "")),
                      severity=severity if severity in ("slight", "bad") else "unsure",
                      words=tidy(form.get("words", ""), MAX_WORDS_CHARS))


@dataclass(frozen=True, slots=True)
class JsonRequest:
    """One element of the list that a phone sends, read; or the reason why it cannot be."""

    key: str
    request: Request | None = None
    problem: str = ""


def json_requests(body: object, *, who: str, sender: str) -> tuple[JsonRequest, ...]:
    """Requests of a JSON body `{"entries": [...]}`, each read on its own.

    Raises
    ------
    FormError
        If the body as a whole is not of that form.
    """
    entries = body.get("entries") if isinstance(body, dict) else None
    if not isinstance(entries, list):
        raise FormError(_('the body must be {shape}, each with key, kind, part, place and data').format(
            shape='{"entries": [...]}'))
    if len(entries) > MAX_ENTRIES_AT_ONCE:
        raise FormError(_("at most {most} entries at once, got {count}; send the rest after").format(
            most=MAX_ENTRIES_AT_ONCE, count=len(entries)))
    return tuple(_json_request(entry, who, sender) for entry in entries)


def _json_request(raw: object, who: str, sender: str) -> JsonRequest:
    key = str(raw.get("key", ""))[:64] if isinstance(raw, dict) else ""
    try:
        return JsonRequest(key, _request(_Fields(raw), who, sender))
    except FormError as error:
        return JsonRequest(key, problem=str(error))


def _request(fields: "_Fields", who: str, sender: str) -> Request:
    return Request(key=checked_key(fields.raw.get("key")), kind=fields.text("kind", 40) or "",
                   part=fields.text("part", 64), place=fields.text("place", 16),
                   who=tidy(fields.text("who", 200) or who, MAX_WHO_CHARS),
                   sent_at=fields.time("sent_at"), data=fields.mapping("data"), sender=sender,
                   seen=fields.number("knows"))


@dataclass(slots=True)
class _Fields:
    """Typed access to one JSON object."""

    given: object
    raw: dict[str, object] = field(init=False)

    def __post_init__(self) -> None:
        if not isinstance(self.given, dict):
            raise FormError(_("each entry must be an object with key, kind, part, place and data"))
        self.raw = self.given

    def text(self, name: str, limit: int) -> str | None:
        """Text up to a length; None if it is not there."""
        value = self.raw.get(name)
        if value is None or (isinstance(value, str) and len(value) <= limit):
            return value
        raise FormError(_("{name} must be text of at most {limit} characters").format(name=name, limit=limit))

    def number(self, name: str) -> int | None:
        """The number of an entry; None if it is not there."""
        value = self.raw.get(name)
        if value is None or (isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 2**31):
            return value
        raise FormError(_("{name} must be the number of an entry").format(name=name))

    def mapping(self, name: str) -> dict[str, object]:
        """An object; empty if it is not there."""
        value = self.raw.get(name, {})
        if isinstance(value, dict):
            return value
        raise FormError(_("{name} must be an object").format(name=name))

    def time(self, name: str) -> datetime | None:
        """A moment in UTC; None if it is not there."""
        text = self.text(name, 40)
        if text is None:
            return None
        try:
            return moment_of(text, UTC)
        except ValueError:
            raise FormError(_("{name} must be a time like {example}, got {text}").format(
                name=name, example="2026-09-12T10:14:00Z", text=text)) from None
