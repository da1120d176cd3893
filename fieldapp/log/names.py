"""Names that people typed stand outside the entries, which carry pseudonyms: so a name can be forgotten.

A pseudonym says nothing of the name. One given here is drawn at random, the same for the same name; the entries of
older programs, which held names, get theirs from their own key, so that every laptop finds the same one for the same
entry. What was forgotten stays forgotten, in whatever order logs are joined.
"""

import base64
import hashlib
import json
import secrets
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from fieldapp.base.errors import StoreError
from fieldapp.base.json_text import from_json
from fieldapp.log.entry import Entry, is_photo, is_pseudonym
from fieldapp.log.kinds import KINDS

CHARS = 10
"""Of base 32, 50 bits: among 20,000 of them two are the same with a chance of two in ten million (computed)."""
LONGEST_NAME = 200
WHO = "who"
NAMES_LINE = (b'{"names":', b'{"forgotten":')
"""What a line of names begins with."""


@dataclass(frozen=True, slots=True)
class Names:
    """What stands outside the entries of a log."""

    known: Mapping[str, str] = field(default_factory=dict)
    """Pseudonym → name as it was typed."""
    forgotten: frozenset[str] = frozenset()
    """Pseudonyms whose names were forgotten, and digests of photos that were erased, on request."""

    def merged(self, other: "Names") -> "Names":
        """Both together, the same whichever came first: forgetting wins over a name, one of two names by its letters.

        Examples
        --------
        >>> Names({"~A": "Ada"}).merged(Names({}, frozenset({"~A"}))).known
        {}
        """
        forgotten = self.forgotten | other.forgotten
        both = {**other.known, **self.known}
        return Names({who: min(self.known.get(who, name), other.known.get(who, name))
                      for who, name in sorted(both.items()) if who not in forgotten}, forgotten)

    def of(self, name: str) -> frozenset[str]:
        """Pseudonyms of everybody who typed this name, however it is written in capitals."""
        return frozenset(who for who, typed in self.known.items() if typed.casefold() == name.strip().casefold())


def new_pseudonym() -> str:
    """Drawn at random."""
    return _pseudonym(secrets.token_bytes(CHARS))


def _pseudonym(raw: bytes) -> str:
    return "~" + base64.b32encode(raw).decode()[:CHARS]


def persons(entry: Entry) -> dict[str, str]:
    """Where the entry holds a person → pseudonym or name: `who`, and those fields of its data that name somebody."""
    kind = KINDS.get(entry.kind)
    held = {WHO: entry.who, **{f"data.{name}": entry.data.get(name) for name in (kind.persons if kind else ())}}
    return {where: said for where, said in held.items() if isinstance(said, str) and said}


def veiled(entry: Entry, known: Mapping[str, str]) -> Entry:
    """An entry with names as they were typed, ready to be kept: pseudonyms instead, new ones where need be.

    Parameters
    ----------
    known : mapping
        Name → pseudonym that it has here.
    """
    drawn: dict[str, str] = {}

    def give(where: str, name: str) -> str:
        return known.get(name) or drawn.setdefault(name, new_pseudonym())

    typed = {where: said for where, said in persons(entry).items() if said not in entry.names}
    return _with_pseudonyms(entry, typed, give)


def veiled_older(entry: Entry) -> Entry:
    """The same for an entry of an older program; any other, and one that was moved before, comes back as it is."""
    if entry.laptop:
        return entry

    def give(where: str, name: str) -> str:
        return _pseudonym(hashlib.sha256(f"{where} of {entry.key}".encode()).digest())

    typed = {where: said for where, said in persons(entry).items() if not is_pseudonym(said)}
    return _with_pseudonyms(entry, typed, give)


def _with_pseudonyms(entry: Entry, typed: Mapping[str, str], give: Callable[[str, str], str]) -> Entry:
    if not typed:
        return entry
    given = {where: give(where, name) for where, name in typed.items()}
    data = {**entry.data, **{where.removeprefix("data."): who for where, who in given.items() if where != WHO}}
    names = {**entry.names, **{who: typed[where] for where, who in given.items()}}
    return replace(entry, who=given.get(WHO, entry.who), data=data, names=names)


def with_names(entry: Entry, names: Names) -> Entry:
    """The same entry with the names that are known for it; what was forgotten meanwhile is left out."""
    said = {who: names.known[who] for who in persons(entry).values() if who in names.known}
    erased = bool(names.forgotten) and entry.data.get("photo") in names.forgotten
    return entry if said == entry.names and erased == entry.erased else replace(entry, names=said, erased=erased)


def names_in(entries: Iterable[Entry]) -> Names:
    """The names that come with these entries."""
    found: dict[str, str] = {}
    for entry in entries:
        for who, name in entry.names.items():
            found[who] = min(name, found.get(who, name))
    return Names(found)


def names_line(names: Names) -> str:
    """As they travel among exported entries."""
    said: dict[str, Any] = {}
    if names.known:
        said["names"] = dict(sorted(names.known.items()))
    if names.forgotten:
        said["forgotten"] = sorted(names.forgotten)
    return json.dumps(said, ensure_ascii=False, separators=(",", ":"))


def names_from(line: str, number: int) -> Names | None:
    """The names on line `number` of a file; None if it is another line, StoreError if it does not say them rightly."""
    if not line.lstrip().encode(errors="replace").startswith(NAMES_LINE):
        return None
    try:
        said = from_json(line)
        known, forgotten = said.get("names", {}), said.get("forgotten", [])
        good = (set(said) <= {"names", "forgotten"} and all(map(_is_name, known.items()))
                and all(isinstance(one, str) and (is_pseudonym(one) or is_photo(one)) for one in forgotten))
    except (ValueError, TypeError, AttributeError):
        good = False
    if not good:
        raise StoreError(f"line {number} does not give names as it should: pseudonyms of {CHARS} figures and capitals, "
                         f"each with a name of 1 to {LONGEST_NAME} characters. Export the log again")
    return Names(known, frozenset(forgotten))


def _is_name(pair: tuple[Any, Any]) -> bool:
    who, name = pair
    if not (isinstance(name, str) and is_pseudonym(who) and 0 < len(name) <= LONGEST_NAME):
        return False
    name.encode()       # half characters, which no database can hold: a ValueError
    return True
