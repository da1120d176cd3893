"""Two tables in one text file: points with name and x y z, lines with the names of their two points.

    point, x, y, z
    A1, 0, 0, 0
    A2, 1200, 0, 0

    from, to, class, section
    A1, A2, ridge, pole 35

Columns part by comma, semicolon or tab; where semicolon or tab part them, a comma may stand in a number. A table ends
where the head of the other begins; the columns "class" and "section" may be left out. Lines of different classes, or of
different sections, are never of one class here. Other columns, empty lines, and lines that begin with #, are not read.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.given.record import Drawn

POINT_HEAD = ("point", "x", "y", "z")
LINE_HEAD = ("from", "to")
CLASS, SECTION = "class", "section"
SEPARATORS = ("\t", ";", ",")


def read_tables(text: str, source: str) -> Drawn:
    """Points and lines of the two tables.

    Parameters
    ----------
    text : str
    source : str
        Names the file in messages.

    Raises
    ------
    DesignError
        Naming file and line: a table that is missing, a number that is none, a name twice or unknown.

    Examples
    --------
    >>> drawn = read_tables("point;x;y;z\\nA;0;0;0\\nB;1,5;0;0\\nfrom;to\\nA;B", "frame.csv")
    >>> drawn.names, drawn.points[1].tolist(), drawn.lines.tolist(), drawn.where
    (('A', 'B'), [1.5, 0.0, 0.0], [[0, 1]], ('line 5',))
    """
    points: dict[str, tuple[float, ...]] = {}
    lines: list[tuple[str, str]] = []
    where: list[str] = []
    named: dict[str, list[str]] = {CLASS: [], SECTION: []}
    columns: dict[str, int | None] = {}
    table: tuple[str, ...] | None = None
    for number, cells in _rows(text):
        at = f"{source}, line {number}"
        head = next((head for head in (POINT_HEAD, LINE_HEAD) if _is_head(cells, head)), None)
        if head is not None:
            table = head
            columns = {name: _column(cells, name) for name in named} if head == LINE_HEAD else columns
        elif table is None:
            raise DesignError(f"{at} stands before the head of a table; allowed are {', '.join(POINT_HEAD)} and "
                              f"{', '.join(LINE_HEAD)}. Write one of them above the rows.")
        elif table == POINT_HEAD:
            name, place = _point(cells, at)
            if name in points:
                raise DesignError(f"{at} names the point {name} a second time; each name once. Rename one of them.")
            points[name] = place
        else:
            lines.append(_ends(cells, at))
            where.append(f"line {number}")
            for name, found in named.items():
                found.append(_cell(cells, columns[name]))
    sections, classes = (tuple(found) if any(found) else () for found in (named[SECTION], named[CLASS]))
    return replace(_drawn(points, lines, where, source), sections=sections, classes=classes)


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Numbers and cells of the lines that say something."""
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), start=1):
        if line.strip(" \t,;") and not line.lstrip().startswith("#"):
            separator = next((sign for sign in SEPARATORS if sign in line), ",")
            cells = [cell.strip().strip('"') for cell in line.split(separator)]
            yield number, [cell.replace(",", ".") for cell in cells] if separator != "," else cells


def _is_head(cells: Sequence[str], head: Sequence[str]) -> bool:
    return tuple(cell.lower() for cell in cells[:len(head)]) == tuple(head)


def _column(cells: Sequence[str], name: str) -> int | None:
    """Where a head has a column of this name; None if it has none."""
    return next((at for at, cell in enumerate(cells) if cell.lower() == name), None)


def _cell(cells: Sequence[str], at: int | None) -> str:
    """What stands in a column that may be lacking."""
    return "" if at is None or at >= len(cells) else cells[at]


def _point(cells: Sequence[str], at: str) -> tuple[str, tuple[float, ...]]:
    if len(cells) < 4 or not cells[0]:
        raise DesignError(f"{at} has {len(cells)} columns; a point has a name and x, y, z. Fill it in, or take it out.")
    return cells[0], tuple(_number(cell, at) for cell in cells[1:4])


def _number(cell: str, at: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = float("nan")
    if not np.isfinite(value):
        raise DesignError(f"{at} says \"{cell[:40]}\" where a number belongs; allowed are numbers such as 1250.5.")
    return value


def _ends(cells: Sequence[str], at: str) -> tuple[str, str]:
    if len(cells) < 2 or not cells[0] or not cells[1]:
        raise DesignError(f"{at} names {sum(map(bool, cells[:2]))} of two points; a line has a point at each end.")
    return cells[0], cells[1]


def _drawn(points: dict[str, tuple[float, ...]], lines: Sequence[tuple[str, str]], where: Sequence[str],
           source: str) -> Drawn:
    index = {name: number for number, name in enumerate(points)}
    for ends, at in zip(lines, where, strict=True):
        for name in ends:
            if name not in index:
                raise DesignError(f"{source}, {at} names the point {name[:40]}, which the table of points has not. "
                                  f"Add the point, or correct the name.")
    return Drawn(np.array(list(points.values()), dtype=float).reshape(-1, 3),
                 np.array([[index[a], index[b]] for a, b in lines], dtype=np.int64).reshape(-1, 2),
                 tuple(points), tuple(where))
