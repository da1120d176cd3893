"""Which pieces to saw from which bar of stock, so that few bars are bought.

Column generation [1]_: a linear programme shares out the patterns known so far, its prices say which
further pattern would save stock, and when none does, whole numbers of bars are chosen. The linear
programme bounds the number of bars from below, so the plan says how good it is.

References
----------
.. [1] Gilmore and Gomory, A linear programming approach to the cutting-stock problem,
   Operations Research 9, 1961 (from memory).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import IntArray
from fieldapp.kit.kit import Kit
from fieldapp.kit.patterns import fewest_bars

UNITS_PER_MM = 100
"""Lengths are compared in whole hundredths of a millimetre, as they are printed [1/mm].
Source: our choice (K1). Test: tests/kit/test_cutting.py"""


@dataclass(frozen=True, slots=True)
class CutPiece:
    """So many pieces of one length."""

    name: str
    length_mm: float
    count: int


@dataclass(frozen=True, slots=True)
class CutPattern:
    """How to saw one bar, and how many bars are sawn so."""

    bars: int
    pieces: tuple[tuple[str, int], ...]
    """Name and number of pieces, longest first."""
    offcut_mm: float


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """All bars; most used pattern first."""

    stock_mm: float
    kerf_mm: float
    patterns: tuple[CutPattern, ...]
    least_bars: int
    """No plan can do with fewer (bound from the linear programme)."""

    @property
    def bars(self) -> int:
        """Bars of stock to buy."""
        return sum(pattern.bars for pattern in self.patterns)


@dataclass(frozen=True, slots=True)
class CuttingPlans:
    """A plan for each section, by its name; "" is that of [strut]."""

    by_section: tuple[tuple[str, CuttingPlan], ...]

    @property
    def bars(self) -> int:
        """Bars to buy, of all sections."""
        return sum(plan.bars for _, plan in self.by_section)


def cutting_plan(kit: Kit) -> CuttingPlans:
    """The plans for all struts of a kit, spares included: one a section."""
    lengths_mm = {p.part_class: p.cut_length_mm for p in kit.parts if p.cut_length_mm is not None}
    counts = Counter(part.part_class for part in kit.parts if part.kind == "strut")
    return cut_by_section(kit, [CutPiece(name, lengths_mm[name], counts[name])
                                for name in sorted(counts, key=lambda n: (len(n), n))])


def cut_by_section(kit: Kit, pieces: Sequence[CutPiece]) -> CuttingPlans:
    """Pieces by the letter of their class, each sawn from the stock of its own section."""
    sections = [name for name in kit.frame.sections
                if any(kit.frame.strut_class(piece.name).section == name for piece in pieces)]
    return CuttingPlans(tuple(
        (name, plan_cuts([piece for piece in pieces if kit.frame.strut_class(piece.name).section == name],
                         kit.design.section(name).stock_mm, kit.design.section(name).kerf_mm))
        for name in sections))


def plan_cuts(pieces: Sequence[CutPiece], stock_mm: float, kerf_mm: float) -> CuttingPlan:
    """The plan with the fewest bars that this method finds; no plan at all does with fewer than its `least_bars`.

    Source: (K1): Gilmore and Gomory, Operations Research 9, 1961 (from memory).
    Test: tests/reference/test_cutting_stock.py, tests/kit/test_cutting.py

    Parameters
    ----------
    pieces : list of CutPiece
        Each length once, counts above zero.
    stock_mm, kerf_mm : float
        Length of a bar, and what one saw cut takes [mm].

    Raises
    ------
    DesignError
        If a piece is longer than the stock.

    Notes
    -----
    n pieces need n − 1 cuts when nothing is left over; so each piece takes its length and one kerf
    from a bar that is one kerf longer.
    """
    pieces = sorted((p for p in pieces if p.count > 0), key=lambda p: (-p.length_mm, p.name))
    if not pieces:
        return CuttingPlan(stock_mm, kerf_mm, (), 0)
    if pieces[0].length_mm > stock_mm:
        raise DesignError(f"piece {pieces[0].name} is {pieces[0].length_mm:.1f} mm long, but the stock has "
                          f"{stock_mm:g} mm; allowed is that or more. Buy longer stock.")
    sizes = np.array([round((p.length_mm + kerf_mm) * UNITS_PER_MM) for p in pieces])
    room = round((stock_mm + kerf_mm) * UNITS_PER_MM)
    counts = np.array([p.count for p in pieces])
    bars, least_bars = fewest_bars(sizes, counts, room)
    return CuttingPlan(stock_mm, kerf_mm, _shared_out(pieces, bars, stock_mm, kerf_mm=kerf_mm), least_bars)


def _shared_out(pieces: Sequence[CutPiece], bars: IntArray, stock_mm: float, *,
                kerf_mm: float) -> tuple[CutPattern, ...]:
    """Bars with exactly the pieces wanted: what a bar would give too many is not sawn."""
    left = np.array([p.count for p in pieces])
    sawn: Counter[tuple[int, ...]] = Counter()
    for row in sorted(bars.tolist(), reverse=True):
        bar = np.minimum(row, left)
        left -= bar
        sawn[tuple(bar.tolist())] += 1
    del sawn[(0,) * len(pieces)]
    ordered = sorted(sawn.items(), key=lambda item: (-item[1], tuple(-n for n in item[0])))
    return tuple(_cut_pattern(pieces, row, number, room_mm=stock_mm, kerf_mm=kerf_mm) for row, number in ordered)


def _cut_pattern(pieces: Sequence[CutPiece], row: tuple[int, ...], bars: int, *, room_mm: float,
                 kerf_mm: float) -> CutPattern:
    """One pattern in words of the kit."""
    taken_mm = sum(number * (piece.length_mm + kerf_mm) for piece, number in zip(pieces, row, strict=True))
    named = tuple((piece.name, number) for piece, number in zip(pieces, row, strict=True) if number)
    return CutPattern(bars, named, max(0.0, round(room_mm - taken_mm, 2)))
