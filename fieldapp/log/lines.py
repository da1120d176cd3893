"""An entry as one line of JSON, the form in which logs travel between laptops."""

import json
from collections.abc import Mapping
from typing import Any

from fieldapp.base.clock import moment_of, moment_text
from fieldapp.base.errors import StoreError
from fieldapp.log.entry import Entry

FIELDS = ("key", "kind", "part", "place", "who", "sender", "at", "sent_at", "order_ms", "data")
"""In this order on the line; the number stays at home."""


def to_line(entry: Entry) -> str:
    """One line without its end; the same entry gives the same bytes."""
    record = as_record(entry)
    ordered = {name: record[name] for name in FIELDS}
    return json.dumps(ordered, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def from_line(line: str, number: int) -> Entry:
    """The entry on line `number` of a file; StoreError naming the line if it is none."""
    try:
        entry = from_record(json.loads(line))
        to_line(entry).encode()
        return entry
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError) as error:
        raise StoreError(f"line {number} is not an entry of a log ({error}); "
                         "nothing was read in. Export the log again and repeat") from error


def as_record(entry: Entry) -> dict[str, Any]:
    """Plain values by field: times as text, data sorted by key."""
    return {"key": entry.key, "kind": entry.kind, "part": entry.part, "place": entry.place, "who": entry.who,
            "sender": entry.sender, "at": moment_text(entry.at),
            "sent_at": None if entry.sent_at is None else moment_text(entry.sent_at),
            "order_ms": entry.order_ms, "data": _sorted(entry.data)}


def from_record(record: Mapping[str, Any]) -> Entry:
    """The entry; KeyError, TypeError or ValueError, naming field and value, if one is missing or of the wrong sort."""
    if not isinstance(record, Mapping):
        raise TypeError(f"it is {_short(record)}")
    for name, sort in (("key", str), ("kind", str), ("who", str), ("sender", str), ("order_ms", int), ("at", str),
                       ("data", dict), ("part", str | None), ("place", str | None), ("sent_at", str | None)):
        if name not in record:
            raise ValueError(f"{name} is missing")
        if not isinstance(record[name], sort) or isinstance(record[name], bool):
            raise TypeError(f"{name} is {_short(record[name])}")
    if not 0 <= record["order_ms"] < 2**53 or not record["key"]:
        raise ValueError(f"order_ms is {record['order_ms']}" if record["key"] else "key is ''")
    sent_at = record["sent_at"]
    return Entry(key=record["key"], kind=record["kind"], part=record["part"], place=record["place"],
                 who=record["who"], sender=record["sender"], at=moment_of(record["at"]),
                 sent_at=None if sent_at is None else moment_of(sent_at), order_ms=record["order_ms"],
                 data=record["data"])


def _short(value: object) -> str:
    said = repr(value)
    return said if len(said) <= 60 else f"{said[:59]}…"


def _sorted(value: object) -> Any:
    """The same value with every mapping in the order of its keys."""
    if isinstance(value, Mapping):
        return {key: _sorted(value[key]) for key in sorted(value)}
    if isinstance(value, list | tuple):
        return [_sorted(item) for item in value]
    return value
