"""QR symbols (ISO/IEC 18004): from text to a matrix of dark modules, by segno."""

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Literal

import numpy as np
import segno
from segno import consts

from labels import LabelError
from labels.mask import best_mask

Level = Literal["L", "M", "Q", "H"]

ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
"""The 45 characters of the alphanumeric mode.
Source: ISO/IEC 18004, table 5. Test: tests/reference/test_iso_18004.py"""

QUIET_ZONE = 4
"""Light modules around a symbol [modules]. Source: ISO/IEC 18004. Test: tests/reference/test_iso_18004.py"""

SHORTEST_TAIL = 6
"""An alphanumeric tail of this many characters saves more bits than a second segment costs [characters].
Source: ISO/IEC 18004, lengths of the modes (L3). Test: tests/labels/test_symbol.py"""


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of text in one mode."""

    text: str
    mode: Literal["byte", "alphanumeric"]


@dataclass(frozen=True, slots=True)
class Symbol:
    """A QR symbol: what it says and which modules are dark."""

    text: str
    version: int
    level: Level
    mask: int
    segments: tuple[Segment, ...]
    rows: tuple[tuple[int, ...], ...] = field(repr=False)
    """(n, n): 1 is dark; without quiet zone."""

    @property
    def size(self) -> int:
        """Modules along one side, without quiet zone."""
        return len(self.rows)

    @property
    def full_size(self) -> int:
        """Modules along one side, with quiet zone."""
        return len(self.rows) + 2 * QUIET_ZONE


def split_segments(text: str) -> tuple[Segment, ...]:
    """Text as one segment, or as a byte head and an alphanumeric tail where that is shorter.

    Some camera apps take an address as a link only if it starts with small letters, so the head of
    an address is small and the rest in capitals.

    Examples
    --------
    >>> [(s.text, s.mode) for s in split_segments("http://10.0.0.1/P/OH-H22-A")]
    [('http', 'byte'), ('://10.0.0.1/P/OH-H22-A', 'alphanumeric')]
    """
    head = len(text)
    while head and text[head - 1] in ALPHANUMERIC:
        head -= 1
    if head == 0:
        return (Segment(text, "alphanumeric"),)
    if len(text) - head < SHORTEST_TAIL:
        return (Segment(text, "byte"),)
    return (Segment(text[:head], "byte"), Segment(text[head:], "alphanumeric"))


@lru_cache(maxsize=4096)
def make_symbol(text: str, level: Level = "M") -> Symbol:
    """The smallest QR symbol that holds `text` (UTF-8) at exactly this level of error correction.

    Raises
    ------
    LabelError
        If the text is empty, or longer than the largest symbol holds.

    Examples
    --------
    >>> symbol = make_symbol("http://10.0.0.1:8000/P/OH-S073-K.1")
    >>> symbol.version, symbol.level, symbol.size
    (2, 'M', 25)
    """
    if not text:
        raise LabelError("a symbol needs a text, got an empty one")
    segments = split_segments(text)
    modes = {"byte": consts.MODE_BYTE, "alphanumeric": consts.MODE_ALPHANUMERIC}
    content: Any = [(s.text, modes[s.mode], "utf-8") for s in segments]  # segno's hints know of one segment only
    try:
        code = segno.make_qr(content, error=level, boost_error=False, mask=0)
    except ValueError as error:
        raise LabelError(f"a text of {len(text)} characters is too long for a symbol of level {level}; "
                         f"shorten the site address: {text[:60]}") from error
    version = int(code.version)
    first = np.frombuffer(b"".join(code.matrix), dtype=np.uint8).reshape(len(code.matrix), -1)
    mask, matrix = best_mask(first, version, level)
    return Symbol(text, version, level, mask, segments, tuple(map(tuple, matrix.tolist())))


def dark_runs(symbol: Symbol) -> list[tuple[int, int, int]]:
    """Dark stretches of each row as (row, first column, length), top to bottom."""
    width = symbol.size + 1
    flat = np.zeros((symbol.size, width), dtype=np.int8)
    flat[:, :-1] = symbol.rows
    changes = np.flatnonzero(np.diff(flat.ravel(), prepend=0))
    rows, columns = np.divmod(changes[::2], width)
    return list(zip(rows.tolist(), columns.tolist(), (changes[1::2] - changes[::2]).tolist(), strict=True))
