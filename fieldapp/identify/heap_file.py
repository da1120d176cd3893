"""Reading a heap from a file: up to three tables in one .csv, or the same in .toml.

    length_mm, plus_minus_mm, count, mark, paint, code
    1203, 3, 1, B7, red,

    arms, count
    6, 26

    measured, value_mm, plus_minus_mm
    span, 6380, 10

Columns may stand in any order, those that are not needed may be left out. They part by comma, semicolon or tab; where
semicolon or tab part them, a comma may stand in a number. Lines that begin with # are not read.
"""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from fieldapp.base.errors import FrameError
from fieldapp.frame.given.tables import SEPARATORS
from fieldapp.identify.heap import PLUS_MINUS_MM, HubPile, MeasuredHeap, MeasuredStruts, TapeReading

MOST_STRUTS = 5000
"""More than this is no kit that this can tell (in no formula)."""
WORDS = ("mark", "paint", "code", "code_again", "hub_class", "measured")
"""Columns in which a comma is one."""
BESIDES = ("span", "height", "take_up")
"""What may be measured besides."""
BESIDE_MM = 10.0
"""How far such a reading may be off where nobody says [mm]. Source: our choice. Test: tests/identify/test_heap.py"""


class HeapRow(BaseModel):
    """What all tables share."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, frozen=True, str_strip_whitespace=True)


class PartRow(HeapRow):
    """What a part may carry."""

    count: int = Field(1, ge=1, le=MOST_STRUTS)
    mark: str = Field("", max_length=40)
    paint: str = Field("", max_length=40)
    code: str = Field("", max_length=300)
    code_again: str = Field("", max_length=300)


class StrutRow(PartRow):
    """A row of struts."""

    length_mm: float = Field(gt=10.0, le=20000.0)
    plus_minus_mm: float | None = Field(None, gt=0.0, le=200.0)


class HubRow(PartRow):
    """A row of hubs."""

    arms: int = Field(ge=1, le=12)
    hub_class: str = Field("", max_length=8)


class BesideRow(HeapRow):
    """A row of what was measured besides."""

    measured: str = Field(pattern=rf"^({'|'.join(BESIDES)})$")
    value_mm: float = Field(gt=0.0, le=100_000.0)
    plus_minus_mm: float = Field(BESIDE_MM, gt=0.0, le=1000.0)


TABLES: dict[str, type[HeapRow]] = {"length_mm": StrutRow, "arms": HubRow, "measured": BesideRow}
"""By the column that a table must have."""
NAMES = {"length_mm": "struts", "arms": "hubs", "measured": "measured"}
"""What the tables are called in a .toml."""
ALLOWED = {
    "length_mm": "numbers from 10 to 20000 (the strut from end to end, in mm)",
    "plus_minus_mm": "numbers above 0 (how far the reading may be off, in mm)",
    "count": f"whole numbers from 1 to {MOST_STRUTS}", "arms": "whole numbers from 1 to 12",
    "measured": ", ".join(BESIDES), "value_mm": "numbers from 0 to 100000 (in mm)",
    "mark": "at most 40 characters", "paint": "at most 40 characters", "code": "at most 300 characters",
    "code_again": "at most 300 characters", "hub_class": "at most 8 characters, a class of the frame such as 6A",
}


def read_heap(path: Path) -> MeasuredHeap:
    """The heap in a file.

    Raises
    ------
    FrameError
        Naming file, place, value and what is allowed; nothing of a wrong file is used.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise FrameError(f"{path} cannot be read: {error.strerror}. Check path and permissions.") from error
    except UnicodeDecodeError as error:
        raise FrameError(f"{path.name} is not UTF-8 text (byte {error.start}). Save it as UTF-8.") from error
    rows = list(_toml_rows(text, path.name) if path.suffix.lower() == ".toml" else _csv_rows(text, path.name))
    return _heap([(_checked(key, cells, at), at) for key, cells, at in rows], path.name)


def _csv_rows(text: str, source: str) -> Iterator[tuple[str, dict[str, Any], str]]:
    """Table, cells by column, and place of each line."""
    head: list[str] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip(" \t,;") or line.lstrip().startswith("#"):
            continue
        separator = next((sign for sign in SEPARATORS if sign in line), ",")
        cells = [cell.strip().strip('"') for cell in line.split(separator)]
        at = f"{source}, line {number}"
        if any(cell.lower() in TABLES for cell in cells):
            head = [cell.lower() for cell in cells]
            _known_columns(head, at)
        elif not head:
            raise FrameError(f"{at} stands before the head of a table; a head has one of the columns "
                             f"{', '.join(TABLES)}. Write for example: length_mm, plus_minus_mm, count")
        elif len(cells) > len(head) and any(cells[len(head):]):
            raise FrameError(f"{at} has {len(cells)} columns, its head {len(head)}. Take out what is too much, or part "
                             f"columns by semicolons if commas stand in numbers.")
        else:
            key = next(column for column in head if column in TABLES)
            named = {name: cell for name, cell in zip(head, cells, strict=False) if name and cell != ""}
            words = {name: cell if separator == "," or name in WORDS
                     else cell.replace(",", ".") for name, cell in named.items()}
            yield key, words, at


def _known_columns(head: list[str], at: str) -> None:
    key = next(column for column in head if column in TABLES)
    for name in head:
        if name and name not in TABLES[key].model_fields:
            raise FrameError(f"{at}: there is no column {name[:40]!r}; allowed are "
                             f"{', '.join(TABLES[key].model_fields)}. Rename it, or leave it out.")


def _toml_rows(text: str, source: str) -> Iterator[tuple[str, dict[str, Any], str]]:
    """The same of [[struts]], [[hubs]] and [[measured]]."""
    try:
        tables = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise FrameError(f"{source} cannot be read: {str(error)[:200]}. Rows are written as [[struts]], then "
                         f"length_mm = 1203 on a line of its own.") from error
    for name, rows in tables.items():
        key = next((key for key, called in NAMES.items() if called == name), None)
        if key is None or not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            raise FrameError(f"{source}: allowed are [[{']], [['.join(NAMES.values())}]], got {name[:40]}. Correct it.")
        for number, row in enumerate(rows, start=1):
            yield key, row, f"{source}, [[{name}]] number {number}"


def _checked(key: str, cells: dict[str, Any], at: str) -> HeapRow:
    """One row as its record."""
    try:
        return TABLES[key].model_validate(cells)
    except ValidationError as error:
        first = error.errors()[0]
    name = str(first["loc"][0])
    if first["type"] == "missing":
        raise FrameError(f"{at} has no {name}; allowed are {ALLOWED[name]}. Fill it in, or take the row out.")
    if first["type"] == "extra_forbidden":
        raise FrameError(f"{at} has {name[:40]}; allowed are {', '.join(TABLES[key].model_fields)}. Take it out.")
    raise FrameError(f"{at}: {name} is {str(first['input'])[:40]!r}; allowed are {ALLOWED[name]}. Correct it.")


def _heap(rows: list[tuple[HeapRow, str]], source: str) -> MeasuredHeap:
    """All rows together."""
    pieces = tuple(MeasuredStruts(row.length_mm, row.plus_minus_mm or PLUS_MINUS_MM, row.count, row.mark, row.paint,
                                  row.code, row.code_again, at) for row, at in rows if isinstance(row, StrutRow))
    hubs = tuple(HubPile(row.arms, row.count, row.mark, row.paint, row.code, row.code_again, row.hub_class, at)
                 for row, at in rows if isinstance(row, HubRow))
    besides: dict[str, TapeReading] = {}
    for row, at in rows:
        if isinstance(row, BesideRow):
            if row.measured in besides:
                raise FrameError(f"{at} gives {row.measured} a second time; each once. Keep the better one.")
            besides[row.measured] = TapeReading(row.value_mm, row.plus_minus_mm)
    heap = MeasuredHeap(pieces, hubs, besides.get("span"), besides.get("height"), besides.get("take_up"))
    if not 3 <= heap.struts <= MOST_STRUTS:
        raise FrameError(f"{source} tells of {heap.struts} struts; allowed are 3 to {MOST_STRUTS}. A table of struts "
                         f"has the columns length_mm, plus_minus_mm, count.")
    return heap
