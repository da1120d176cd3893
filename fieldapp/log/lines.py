"""An entry as one line of JSON, the form in which logs travel between laptops."""

import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from fieldapp.base.clock import moment_of, moment_text
from fieldapp.base.errors import StoreError
from fieldapp.base.json_text import from_json
from fieldapp.log.entry import Entry

FIELDS = ("key", "kind", "part", "place", "who", "sender", "at", "sent_at", "order_ms", "data")
"""In this order on the line; the number stays at home."""
SEEN_FIELDS = ("answers", "chief")
"""After them, on entries of this version."""
CHAIN_FIELDS = ("laptop", "serial", "before")
"""Last, on entries that stand in the chain of a laptop."""


def to_line(entry: Entry) -> str:
    """One line without its end, signature included; the same entry gives the same bytes."""
    record = _said(entry)
    if entry.signature:
        record["signature"] = entry.signature
    return _text(record)


def digest_of(entry: Entry) -> str:
    """SHA-256 of all that the entry says, its signature left out, in hexadecimal figures."""
    return hashlib.sha256(_text(_said(entry)).encode()).hexdigest()


def _said(entry: Entry) -> dict[str, Any]:
    """All but the signature, in the order of the line. What an older program did not know is left out, so that its
    entries keep their bytes."""
    record = as_record(entry)
    names = (*FIELDS, *(SEEN_FIELDS if entry.answers is not None else ()), *(CHAIN_FIELDS if entry.laptop else ()))
    return {name: record[name] for name in names}


def _text(record: Mapping[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def from_line(line: str, number: int) -> Entry:
    """The entry on line `number` of a file; StoreError naming the line if it is none."""
    try:
        entry = from_record(from_json(line))
        to_line(entry).encode()
        return entry
    except (ValueError, KeyError, TypeError, OverflowError) as error:
        raise StoreError(f"line {number} is not an entry of a log ({error}); "
                         "nothing was read in. Export the log again and repeat") from error


def as_record(entry: Entry) -> dict[str, Any]:
    """Plain values by field: times as text, data sorted by key."""
    return {"key": entry.key, "kind": entry.kind, "part": entry.part, "place": entry.place, "who": entry.who,
            "sender": entry.sender, "at": moment_text(entry.at),
            "sent_at": None if entry.sent_at is None else moment_text(entry.sent_at),
            "order_ms": entry.order_ms, "data": _sorted(entry.data),
            "answers": None if entry.answers is None else list(entry.answers), "chief": entry.chief,
            "laptop": entry.laptop, "serial": entry.serial, "before": entry.before, "signature": entry.signature}


def as_row(entry: Entry) -> dict[str, Any]:
    """Values by column of the log's table of entries, but for the number and whether it was imported."""
    record = as_record(entry)
    return {**record, "data": _text(record["data"]), "digest": digest_of(entry),
            "answers": None if entry.answers is None else json.dumps(record["answers"], ensure_ascii=False)}


def from_row(row: Mapping[str, Any]) -> Entry:
    """The entry of a row, with its number; errors as `from_record`."""
    answers = row.get("answers")
    record = {**row, "data": from_json(row["data"]), "answers": from_json(answers) if answers else None}
    return from_record(record, number=row["number"])


def from_record(record: Mapping[str, Any], *, number: int | None = None) -> Entry:
    """The entry; KeyError, TypeError or ValueError, naming field and value, if one is missing or of the wrong sort."""
    if not isinstance(record, Mapping):
        raise TypeError(f"it is {_short(record)}")
    for name, sort in _SORTS.items():
        if name not in record:
            raise ValueError(f"{name} is missing")
        _expect(name, record[name], sort)
    if not 0 <= record["order_ms"] <= LATEST_MS or not record["key"]:
        raise ValueError(f"order_ms is {record['order_ms']}" if record["key"] else "key is ''")
    sent_at = record["sent_at"]
    return Entry(key=record["key"], kind=record["kind"], part=record["part"], place=record["place"],
                 who=record["who"], sender=record["sender"], at=moment_of(record["at"]),
                 sent_at=None if sent_at is None else moment_of(sent_at), order_ms=record["order_ms"],
                 data=record["data"], number=number, **_chain(record))


_SORTS: dict[str, Any] = {"key": str, "kind": str, "who": str, "sender": str, "order_ms": int, "at": str,
                          "data": dict, "part": str | None, "place": str | None, "sent_at": str | None}
LATEST_MS = round(datetime(2200, 1, 1, tzinfo=UTC).timestamp() * 1000)
"""No log reaches further."""


def _expect(name: str, value: object, sort: Any) -> None:
    if not isinstance(value, sort) or isinstance(value, bool):
        raise TypeError(f"{name} is {_short(value)}")


def _chain(record: Mapping[str, Any]) -> dict[str, Any]:
    """What stands only on entries of this version: what it answers, and its place in a laptop's chain."""
    found: dict[str, Any] = {"laptop": record.get("laptop") or "", "serial": record.get("serial") or 0,
             "before": record.get("before") or "", "signature": record.get("signature") or ""}
    for name, sort in (("laptop", str), ("serial", int), ("before", str), ("signature", str)):
        _expect(name, found[name], sort)
    if found["serial"] < 0 or (found["serial"] > 0) != bool(found["laptop"]):
        raise ValueError(f"serial is {found['serial']}")
    chief, answers = record.get("chief", False), record.get("answers")
    if chief not in (True, False):
        raise TypeError(f"chief is {_short(chief)}")
    if answers is not None and not (isinstance(answers, list) and all(isinstance(key, str) for key in answers)):
        raise TypeError(f"answers is {_short(answers)}")
    return {**found, "chief": bool(chief), "answers": None if answers is None else tuple(answers)}


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
