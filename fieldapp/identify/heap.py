"""A heap of parts as somebody measured it: struts with a tape, hubs by their arms, and what else was measured."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray

PLUS_MINUS_MM = 3.0
"""How far a reading may be off where nobody says [mm].
Source: our choice. Test: tests/identify/test_heap.py"""


@dataclass(frozen=True, slots=True)
class MeasuredStruts:
    """Struts that were measured as one: usually one strut, or a pile of which one was measured and all counted."""

    length_mm: float
    """From end to end of the tube or pole [mm]."""
    plus_minus_mm: float
    """How far the reading may be off, either way [mm]."""
    count: int = 1
    mark: str = ""
    """What is written on it."""
    paint: str = ""
    code: str = ""
    """Text of a code that it carries."""
    code_again: str = ""
    """The same read a second time, where it has no check digit."""
    where: str = ""
    """Where it stands in the file: "line 12"."""


@dataclass(frozen=True, slots=True)
class HubPile:
    """Hubs that have the same number of arms."""

    arms: int
    count: int = 1
    mark: str = ""
    paint: str = ""
    code: str = ""
    code_again: str = ""
    hub_class: str = ""
    """Class of the chosen frame, where somebody held it against the sheet."""
    where: str = ""


@dataclass(frozen=True, slots=True)
class TapeReading:
    """One thing that was measured besides [mm]."""

    value_mm: float
    plus_minus_mm: float


@dataclass(frozen=True, slots=True)
class MeasuredHeap:
    """All that is known of what lies there."""

    pieces: tuple[MeasuredStruts, ...]
    hubs: tuple[HubPile, ...] = ()
    span: TapeReading | None = None
    """Farthest distance between the centres of two hubs on the ground; of a whole sphere, of any two."""
    height: TapeReading | None = None
    """From the lowest hub centres to the highest."""
    take_up: TapeReading | None = None
    """From a hub's centre to the end of the strut."""

    @property
    def lengths_mm(self) -> FloatArray:
        """(n,) readings, one for each row [mm]."""
        return np.array([piece.length_mm for piece in self.pieces])

    @property
    def spread_mm(self) -> FloatArray:
        """(n,) standard deviation of each reading: one of which only the bounds are known is as likely everywhere
        between them; half a millimetre of the tape's marks and of the saw comes on top [mm].

        Source: JCGM 100:2008 (GUM) 4.3.7, a² / 3 (from memory). Test: tests/identify/test_heap.py
        """
        bounds_mm = np.array([piece.plus_minus_mm for piece in self.pieces])
        return np.sqrt(bounds_mm**2 / 3.0 + MARKS_MM**2)

    @property
    def counts(self) -> IntArray:
        """(n,) how many struts each row stands for."""
        return np.array([piece.count for piece in self.pieces], dtype=np.int64)

    @property
    def struts(self) -> int:
        """How many struts there are in all."""
        return int(self.counts.sum())

    @property
    def hub_counts(self) -> dict[int, int]:
        """How many hubs there are by number of arms."""
        return counted((pile.arms, pile.count) for pile in self.hubs)


MARKS_MM = 0.5
"""Standard deviation that every reading has besides: reading to the nearest mark, and what the saw did [mm].
Source: our choice. Test: tests/identify/test_heap.py"""


def counted(pairs: Iterable[tuple[int, int]]) -> dict[int, int]:
    """Numbers added up by their key, sorted.

    Examples
    --------
    >>> counted([(6, 4), (5, 1), (6, 2)])
    {5: 1, 6: 6}
    """
    sums: dict[int, int] = {}
    for key, count in pairs:
        sums[key] = sums.get(key, 0) + count
    return dict(sorted(sums.items()))
