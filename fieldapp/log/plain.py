"""Records of a state as plain values that JSON keeps, and back: the very same, or an error."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any, Final, get_args, get_type_hints

from fieldapp.base import said
from fieldapp.log.draft import Draft

_SPOKEN: Final = (said.Said, said.Row, said.Number, said.Share)


def _reached() -> Iterator[type]:
    """Every record that a draft may hold, or one in it; of the kit nothing is kept."""
    seen: set[object] = set(_SPOKEN)
    waiting = [hint for name, hint in get_type_hints(Draft).items() if name != "kit"]
    while waiting:
        hint = waiting.pop()
        waiting += get_args(hint)
        if isinstance(hint, type) and is_dataclass(hint) and hint not in seen:
            seen.add(hint)
            waiting += get_type_hints(hint).values()
            yield hint


_RECORDS: Final[Mapping[str, Any]] = {record.__name__: record for record in _reached()}
_FIELDS: Final = {name: tuple((field.name, field.default) for field in fields(record))
                  for name, record in _RECORDS.items()}


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
