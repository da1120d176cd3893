"""Which pieces to saw from which bar of stock, so that few bars are bought.

Column generation [1]_: a linear programme shares out the patterns known so far, its prices say which
further pattern would save stock, and when none does, whole numbers of bars are chosen. The linear
programme bounds the number of bars from below, so the plan says how good it is.

References
----------
.. [1] Gilmore and Gomory, A linear programming approach to the cutting-stock problem,
   Operations Research 9, 1961 (from memory).
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.kit.kit import Kit

UNITS_PER_MM = 100
"""Lengths are compared in whole hundredths of a millimetre, as they are printed."""

COARSE_UNITS = 50
"""Patterns are first looked for in steps of half a millimetre, pieces rounded up: quicker, and they fit."""

MOST_NODES = 500
"""Branches of the search for whole numbers; a count, not a time, so that results repeat."""


@dataclass(frozen=True, slots=True)
class Piece:
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


def cutting_plan(kit: Kit) -> CuttingPlan:
    """The plan for all struts of a kit, spares included."""
    lengths_mm = {p.part_class: p.cut_length_mm for p in kit.parts if p.cut_length_mm is not None}
    counts = Counter(part.part_class for part in kit.parts if part.kind == "strut")
    pieces = [Piece(name, lengths_mm[name], counts[name]) for name in sorted(counts, key=lambda n: (len(n), n))]
    return plan_cuts(pieces, kit.design.strut.stock_mm, kit.design.strut.kerf_mm)


def plan_cuts(pieces: Sequence[Piece], stock_mm: float, kerf_mm: float) -> CuttingPlan:
    """The plan with the fewest bars, or within one bar of `least_bars`.

    Parameters
    ----------
    pieces : list of Piece
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
    patterns, least_bars = _patterns(sizes, counts, room)
    bars = _bars(patterns, counts)
    return CuttingPlan(stock_mm, kerf_mm, _shared_out(pieces, (patterns, bars), stock_mm, kerf_mm), least_bars)


def _patterns(sizes: IntArray, counts: IntArray, room: int) -> tuple[IntArray, int]:
    """(p, n) useful patterns, pieces of each size in each, and the least number of bars."""
    patterns = np.diag(np.minimum(room // sizes, counts))
    for unit in (COARSE_UNITS, 1):
        coarse_sizes, coarse_room = -(-sizes // unit), room // unit
        while True:
            prices, least = _prices(patterns, counts)
            best = most_valuable(prices, coarse_sizes, np.minimum(room // sizes, counts), room=coarse_room)
            if prices @ best <= 1.0 + 1e-7 or (patterns == best).all(axis=1).any():
                break
            patterns = np.vstack((patterns, best))
    return patterns, math.ceil(least - 1e-6)


def _prices(patterns: IntArray, counts: IntArray) -> tuple[FloatArray, float]:
    """(n,) worth of each piece in bars, and the number of bars if bars could be split."""
    from scipy.optimize import linprog  # slow to import, and `serve` never cuts

    result = linprog(np.ones(len(patterns)), A_ub=-patterns.T, b_ub=-counts, method="highs")
    prices: FloatArray = -np.asarray(result.ineqlin.marginals, dtype=float)
    return prices, float(prices @ counts)


def most_valuable(prices: FloatArray, sizes: IntArray, most: IntArray, *, room: int) -> IntArray:
    """(n,) pieces, at most `most` of each, that fit into `room` and are worth most in all.

    Notes
    -----
    Dynamic programme over the room used; a piece that may occur up to m times stands for bundles of
    1, 2, 4 … pieces, so that each bundle is taken or left.
    """
    worth = np.zeros(room + 1)
    bundles = [(i, size) for i in np.flatnonzero(prices > 1e-12) for size in _bundle_sizes(int(most[i]))]
    taken = np.zeros((len(bundles), room + 1), dtype=bool)
    for k, (i, number) in enumerate(bundles):
        weight = int(sizes[i]) * number
        with_it = worth[: room + 1 - weight] + prices[i] * number if weight <= room else np.empty(0)
        better = with_it > worth[weight:] + 1e-12
        taken[k, weight:] = better
        worth[weight:][better] = with_it[better]
    return _read_back(taken, bundles, sizes, room=room)


def _bundle_sizes(most: int) -> list[int]:
    """Numbers whose sums make every count from 0 to `most`: 1, 2, 4 … and a rest."""
    made: list[int] = []
    while most > 0:
        made.append(min(2 ** len(made), most))
        most -= made[-1]
    return made


def _read_back(taken: NDArray[np.bool_], bundles: list[tuple[Any, int]], sizes: IntArray, *, room: int) -> IntArray:
    """(n,) pieces that make the worth at `room`."""
    pieces = np.zeros(len(sizes), dtype=int)
    for k in reversed(range(len(bundles))):
        i, number = bundles[k]
        if taken[k, room]:
            pieces[i] += number
            room -= int(sizes[i]) * number
    return pieces


def _bars(patterns: IntArray, counts: IntArray) -> IntArray:
    """(p,) bars sawn by each pattern, as few as possible, giving every piece."""
    from scipy.optimize import LinearConstraint, milp  # slow to import, and `serve` never cuts

    ones = np.ones(len(patterns), dtype=int)
    result = milp(ones, integrality=ones, constraints=LinearConstraint(patterns.T, counts, np.inf),
                  options={"node_limit": MOST_NODES})
    bars: IntArray = np.rint(np.asarray(result.x, dtype=float)).astype(int)
    return bars


def _shared_out(pieces: Sequence[Piece], choice: tuple[IntArray, IntArray], stock_mm: float,
                kerf_mm: float) -> tuple[CutPattern, ...]:
    """Bars with exactly the pieces wanted: what a pattern would give too many is not sawn."""
    left = np.array([p.count for p in pieces])
    sawn: Counter[tuple[int, ...]] = Counter()
    patterns, bars = choice
    for row, number in sorted(zip(patterns.tolist(), bars.tolist(), strict=True), reverse=True):
        for _ in range(number):
            bar = np.minimum(row, left)
            left -= bar
            sawn[tuple(bar.tolist())] += 1
    del sawn[(0,) * len(pieces)]
    ordered = sorted(sawn.items(), key=lambda item: (-item[1], tuple(-n for n in item[0])))
    return tuple(_cut_pattern(pieces, row, number, room_mm=stock_mm, kerf_mm=kerf_mm) for row, number in ordered)


def _cut_pattern(pieces: Sequence[Piece], row: tuple[int, ...], bars: int, *, room_mm: float,
                 kerf_mm: float) -> CutPattern:
    """One pattern in words of the kit."""
    taken_mm = sum(number * (piece.length_mm + kerf_mm) for piece, number in zip(pieces, row, strict=True))
    named = tuple((piece.name, number) for piece, number in zip(pieces, row, strict=True) if number)
    return CutPattern(bars, named, max(0.0, round(room_mm - taken_mm, 2)))
