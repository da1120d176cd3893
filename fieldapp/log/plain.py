"""Records of a state as plain values that JSON keeps, and back: the very same, or an error."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import date, datetime
from typing import Any, Final

from fieldapp.base import said
from fieldapp.kit.checklist import Check, Checklist
from fieldapp.kit.kit import Part
from fieldapp.kit.seen_again import SeenAgain
from fieldapp.log.alarm import Stop, StopSeen, WindRead
from fieldapp.log.state import BoxHeld, Clash, Defect, Duty, Exchanging, PartState, Raise, Round
from fieldapp.log.wanted import Promise

_RECORDS: Final = {record.__name__: record for record in (
    BoxHeld, Check, Checklist, Clash, Defect, Duty, Exchanging, Part, PartState, Promise, Raise, Round, SeenAgain, Stop,
    StopSeen, WindRead)}
_FIELDS: Final = {name: tuple((field.name, field.default) for field in fields(record))
                  for name, record in _RECORDS.items()}
_SPOKEN = (said.Said, said.Row, said.Number, said.Share)


def as_plain(value: object) -> Any:
    """As JSON keeps it: tuples and lists as lists, all else that is no plain value with a word for what it is.

    Raises
    ------
    TypeError
        If it is of a kind that no state holds.
    """
    match value:
        case None | str() | bool() | int() | float():
            return value
        case tuple() | list():
            return [as_plain(inner) for inner in value]
        case datetime():
            return {"moment": value.isoformat()}
        case date():
            return {"day": value.isoformat()}
        case Mapping():
            return {"by": [[key, as_plain(inner)] for key, inner in value.items()]}
    if isinstance(value, _SPOKEN):
        return {"said": said.plain(value)}
    name = type(value).__name__
    if _RECORDS.get(name) is not type(value):
        raise TypeError(f"{value!r} is nothing that a state holds")
    held = ((field, getattr(value, field), default) for field, default in _FIELDS[name])
    return {"of": name, **{field: as_plain(inner) for field, inner, default in held
                           if type(inner) is not type(default) or inner != default}}


def from_plain(kept: object) -> Any:
    """What `as_plain` was given, lists as tuples.

    Raises
    ------
    ValueError, KeyError, TypeError
        If it is anything else.
    """
    match kept:
        case list():
            return tuple(from_plain(inner) for inner in kept)
        case {"of": str(name), **held}:
            return _RECORDS[name](**{str(field): from_plain(inner) for field, inner in held.items()})
        case {"by": list(pairs)}:
            return {key: from_plain(inner) for key, inner in pairs}
        case {"said": spoken}:
            return said.from_plain(spoken)
        case {"moment": str(text)}:
            return datetime.fromisoformat(text)
        case {"day": str(text)}:
            return date.fromisoformat(text)
        case None | str() | bool() | int() | float():
            return kept
    raise ValueError(f"{kept!r} was kept by nobody")
