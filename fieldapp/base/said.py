"""What is said to people, as a record: made where the judgement is made, put into words once, at the edge.

A sentence is written once, as the first argument of `say` (or the first two of `say_n`); the catalogues find it there.
What is filled in stays a value until somebody reads it: IDs and words that people typed as plain text, which nobody
ever changes; numbers as `Number` or `Share`; another sentence as `Said`; several of these as `Row`. Records keep
sentences, JSON keeps them as `plain` values, and whoever serves a page, prints a sheet or writes to the terminal asks
`in_words`, in the language in use there (see `base.words`).

Examples
--------
>>> heavy = say("about the weight of {thing}", thing=say("an apple"))
>>> caution = say("Do not lean on {hub}: no more than {force}, {feels}.", hub="H22", force=Number(1.5, 1, "N"),
...               feels=heavy)
>>> in_words(caution)
'Do not lean on H22: no more than 1.5 N, about the weight of an apple.'
>>> from_plain(plain(caution)) == caution
True
>>> in_words(say_n("{n} hub", "{n} hubs", 2))
'2 hubs'
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Union

from fieldapp.base.numbers import decimal, percent, shortest
from fieldapp.base.words import _, ngettext


class _Unspoken:
    """What has no words before `in_words` gives it some: turned into text by accident, it says so."""

    __slots__ = ()

    def __str__(self) -> str:
        raise TypeError(f"{self!r} is not in words yet; ask in_words for them, at the edge")


@dataclass(frozen=True, slots=True)
class Number(_Unspoken):
    """A number that is written as the reader's language does."""

    value: float
    places: int | None = 0
    """Decimals; None: as many as it needs."""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Share(_Unspoken):
    """A part of one, written in hundredths with its percent sign."""

    value: float
    places: int = 0


@dataclass(frozen=True, slots=True)
class Row(_Unspoken):
    """Several in a row."""

    items: tuple["Value", ...]
    between: str = ", "
    last: bool = False
    """True: "and" before the last one."""
    most: int | None = None
    """Beyond so many the rest is counted."""


@dataclass(frozen=True, slots=True)
class Said(_Unspoken):
    """One sentence, or a piece of one."""

    template: str
    """As the sources have it: English, with a named gap for each value."""
    values: tuple[tuple[str, "Value"], ...] = ()
    plural: str = ""
    """The template for any number but one of the value named `n`; empty where nothing is counted."""


Value = Union[str, int, Number, Share, Row, Said]  # noqa: UP007 (its members name it)


def say(template: str, /, **values: Value) -> Said:
    """The sentence with its gaps filled."""
    return Said(template, tuple(values.items()))


def say_n(singular: str, plural: str, n: int, /, **values: Value) -> Said:
    """A sentence that counts: the form that fits `n`, which fills its gap of that name."""
    return Said(singular, (("n", n), *values.items()), plural)


def row(items: Iterable[Value], *, most: int | None = None) -> Row:
    """In a row as people say it: "H1, H2 and H3"; beyond `most` the rest is counted."""
    return Row(tuple(items), last=True, most=most)


def listed(items: Iterable[Value], *, most: int | None = None) -> str:
    """The same, in words, for where a sentence is made and shown at once.

    Examples
    --------
    >>> listed(["H31"]), listed(["H31", "H32"]), listed(["H31", "H32", "H33"], most=2)
    ('H31', 'H31 and H32', 'H31, H32 and 1 more')
    """
    return in_words(row(items, most=most))


def in_words(value: Value) -> str:
    """The value as the language in use says it; text is what somebody named or typed and stays as it is."""
    match value:
        case Said():
            return _said(value)
        case Row():
            return _row(value)
        case Number():
            written = shortest(value.value, value.unit) if value.places is None else \
                decimal(value.value, value.places, value.unit)
            return written
        case Share():
            return percent(value.value, value.places)
    return str(value)


def _said(said: Said) -> str:
    values = dict(said.values)
    count = values.get("n")
    template = ngettext(said.template, said.plural, count) if said.plural and isinstance(count, int) else \
        _(said.template)
    return template.format(**{name: in_words(value) for name, value in said.values}) if values else template


def _row(found: Row) -> str:
    items = [in_words(item) for item in found.items]
    if found.most is not None and len(items) > found.most:
        return _("{names} and {n} more").format(names=found.between.join(items[:found.most]),
                                                n=len(items) - found.most)
    if found.last and len(items) > 1:
        return _("{names} and {last}").format(names=found.between.join(items[:-1]), last=items[-1])
    return found.between.join(items)


Plain = Union[str, int, dict[str, Any]]  # noqa: UP007


def plain(value: Value) -> Plain:
    """The value as JSON keeps it; `from_plain` reads it."""
    match value:
        case Said():
            found: dict[str, Any] = {"say": value.template}
            found |= {"plural": value.plural} if value.plural else {}
            return found | ({"with": {name: plain(inner) for name, inner in value.values}} if value.values else {})
        case Row():
            return {"row": [plain(item) for item in value.items], "between": value.between, "last": value.last,
                    "most": value.most}
        case Number():
            return {"number": value.value, "places": value.places, "unit": value.unit}
        case Share():
            return {"share": value.value, "places": value.places}
    return value


def from_plain(kept: object) -> Value:
    """What `plain` gave.

    Raises
    ------
    ValueError
        If it is anything else: another key, another type, a gap without its value.
    """
    if isinstance(kept, str) or (isinstance(kept, int) and not isinstance(kept, bool)):
        return kept
    if not isinstance(kept, Mapping):
        raise ValueError(f"{kept!r} is nothing that can be said; allowed are text, whole numbers and records of these")
    return said_of(kept) if "say" in kept else _part_of(kept)


def said_of(kept: object) -> Said:
    """The sentence that `plain` gave; ValueError as `from_plain`."""
    if not isinstance(kept, Mapping) or not kept.keys() <= {"say", "plural", "with"}:
        raise ValueError(f"{kept!r} is no sentence; allowed are the keys say, plural and with")
    template, plural, values = kept.get("say"), kept.get("plural", ""), kept.get("with", {})
    if not isinstance(template, str) or not isinstance(plural, str) or not isinstance(values, Mapping):
        raise ValueError(f"{kept!r} is no sentence; allowed are text, text and values by name")
    gaps = {gap for text in (template, plural) for gap in _GAPS.findall(text)} if values else set()
    if not gaps <= values.keys():
        raise ValueError(f"{template!r} has gaps for {sorted(gaps)}, but values for {sorted(values)}")
    return Said(template, tuple((name, from_plain(value)) for name, value in values.items()), plural)


_GAPS = re.compile(r"\{([^{}]*)\}")


def _part_of(kept: Mapping[str, object]) -> Value:
    """A row, a number or a share."""
    match dict(kept):
        case {"row": list(items), "between": str(between), "last": bool(last), "most": int() | None as most,
              **rest} if not rest:
            return Row(tuple(map(from_plain, items)), between, last, most)
        case {"number": int() | float() as value, "places": int() | None as places, "unit": str(unit),
              **rest} if not rest:
            return Number(value, places, unit)
        case {"share": int() | float() as value, "places": int(places), **rest} if not rest:
            return Share(value, places)
    raise ValueError(f"{kept!r} is no value of a sentence")
