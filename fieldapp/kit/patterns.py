"""Column generation for cutting stock: useful patterns, the bound, and whole numbers of bars (K1).

Sizes, room and counts are whole numbers here; a pattern is how many pieces of each size one bar gives.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.kit.knapsack import most_valuable, most_valuable_with_each

CELLS = (1000, 4000, 16_000)
"""Patterns are looked for on scales of so many cells a bar, one after the other, sizes rounded up: quicker, and what
is found fits [1]. Source: our choice (K1). Test: tests/kit/test_cutting.py, tests/reference/test_cutting_stock.py"""
MOST_EXACT = 4e8
"""Cells of knapsacks on the exact scale that are spent on the last patterns and on the bound; a count, not a time, so
that results repeat [1]. Source: our choice (K1). Test: tests/kit/test_cutting.py"""
MOST_ROUNDS = 200
"""Linear programmes on one scale (in no formula)."""
PART_ROUNDED_UP = 20
"""One share of so many is rounded up at a time where none is whole [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py"""
LEFT_WHOLE = 8
"""Bars from which on the rest is made whole by branch and bound [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py"""
MOST_NODES = 500
"""Branches of the search for whole numbers; a count, not a time, so that results repeat [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py, tests/reference/test_cutting_stock.py"""
FEW_SIZES = 40
"""Kits of no more sizes are made whole once more by branch and bound over all patterns met, if that may save a bar [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py, tests/reference/test_cutting_stock.py"""
SAME = 1e-6
"""Shares and prices that differ by less are the same; a pattern must gain so much (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class CutWanted:
    """What is to be cut."""

    sizes: IntArray
    """(n,) at most `room`."""
    counts: IntArray
    """(n,) above zero."""
    room: int
    """What one bar holds."""
    thorough: bool = False
    """Patterns are looked for as long as they help, not only until no fewer bars could hold the material."""

    @property
    def enough(self) -> int:
        """Bars at which no further pattern is looked for."""
        return 0 if self.thorough else self.by_material

    @property
    def most(self) -> IntArray:
        """(n,) pieces of a size in one bar."""
        return np.minimum(self.room // self.sizes, self.counts)

    @property
    def by_material(self) -> int:
        """Bars that hold as much material."""
        return -(-int(self.sizes @ self.counts) // self.room)


@dataclass(frozen=True, slots=True, eq=False)
class SharedBars:
    """Bars shared out, fewest in all where they may be split."""

    patterns: IntArray
    """(p, n)"""
    shares: FloatArray
    """(p,) bars of each."""
    prices: FloatArray
    """(n,) what one more piece would cost in bars."""

    @property
    def bars(self) -> int:
        """No fewer with these patterns."""
        return math.ceil(float(self.shares.sum()) - SAME)


def fewest_bars(sizes: IntArray, counts: IntArray, room: int) -> tuple[IntArray, int]:
    """The bars to saw, as few as this method finds, and the number that no plan can do without.

    Source: (K1): Gilmore and Gomory, Operations Research 9, 1961 (from memory).
    Test: tests/reference/test_cutting_stock.py, tests/kit/test_cutting.py

    Parameters
    ----------
    sizes, counts : (n,) int array
        Sizes (at most `room`) and how many pieces of each are wanted.
    room : int
        What one bar holds.

    Returns
    -------
    (b, n) int array
        Pieces of each bar; in all at least what is wanted.
    int
        Lower bound on b.
    """
    unit = int(np.gcd.reduce(sizes))
    wanted = CutWanted(sizes // unit, counts, room // unit)
    shared, least = _bounded(wanted)
    bars, _ = _made_whole(wanted, shared)
    if len(bars) > least and len(sizes) <= FEW_SIZES:
        again, met = _made_whole(replace(wanted, thorough=True), shared)
        bars = min((bars, again, _searched(met, counts)), key=len)
    return bars, least


def _bounded(wanted: CutWanted) -> tuple[SharedBars, int]:
    """Bars shared out over all patterns that help, and a number of bars that no plan can do without.

    Notes
    -----
    With prices π no pattern of which is worth more than v ≥ 1, π / v are prices no pattern of which is worth more than
    1, and π·counts / v bars are needed (weak duality).
    """
    shared, least = _shared(np.diag(wanted.most), wanted.counts), wanted.by_material
    for cells in CELLS:
        shared = _generated(wanted, shared, least, cells=cells)
    left = MOST_EXACT
    while shared.bars > least and left > 0:
        best = most_valuable(shared.prices, wanted.sizes, wanted.most, room=wanted.room)
        worth = max(1.0, float(shared.prices @ best))
        least = max(least, math.ceil(float(shared.prices @ wanted.counts) / worth - SAME))
        if worth <= 1.0 + SAME:
            break
        shared = _shared(np.vstack((shared.patterns, best)), wanted.counts)
        left -= wanted.room * float(np.ceil(np.log2(wanted.most + 1.0)).sum())
    return shared, least


def _generated(wanted: CutWanted, shared: SharedBars, least: int, *, cells: int) -> SharedBars:
    """Patterns added as long as they save stock, on one scale."""
    scale = max(1, wanted.room // cells)
    for _ in range(MOST_ROUNDS):
        if shared.bars <= least:
            break
        new = most_valuable_with_each(shared.prices, -(-wanted.sizes // scale), wanted.most, room=wanted.room // scale)
        new = new[new @ shared.prices > 1.0 + SAME]
        if not len(new):
            break
        shared = _shared(np.unique(np.vstack((_kept(shared), new)), axis=0), wanted.counts)
    return shared


def _kept(shared: SharedBars) -> IntArray:
    """Patterns that are used, and of the others those that cost least more: a few times as many as sizes."""
    few = 8 * shared.patterns.shape[1]
    if len(shared.patterns) <= few:
        return shared.patterns
    over = np.where(shared.shares > SAME, -1.0, 1.0 - shared.patterns @ shared.prices)
    return np.asarray(shared.patterns[np.argsort(over, kind="stable")[:few // 2]])


def _shared(patterns: IntArray, counts: IntArray) -> SharedBars:
    """Bars shared out over these patterns."""
    from scipy.optimize import linprog  # slow to import, and `serve` never cuts

    result = linprog(np.ones(len(patterns)), A_ub=-patterns.T, b_ub=-counts, method="highs")
    return SharedBars(patterns, np.asarray(result.x, dtype=float), -np.asarray(result.ineqlin.marginals, dtype=float))


def _made_whole(wanted: CutWanted, shared: SharedBars) -> tuple[IntArray, IntArray]:
    """(b, n) bars, and the patterns met: whole bars are fixed, the rest shared out anew, the last by branch and bound.

    Where no share is whole, the largest are rounded up, those of half a bar or more if there are any.
    """
    shared = _generated(wanted, shared, shared.bars if not wanted.thorough else 0, cells=CELLS[1])
    left, bars, met = wanted.counts.copy(), [], [shared.patterns]
    while left.any():
        if shared.shares.sum() <= LEFT_WHOLE and shared.shares.max() < 1.0 - SAME:
            bars += list(_searched(_trimmed(np.vstack(met), left), left))
            break
        for pattern, number in zip(met[-1], _taken(shared.shares), strict=True):
            bars += [pattern] * number
            left = np.maximum(left - number * pattern, 0)
        rest = left > 0
        if rest.any():
            some = replace(wanted, sizes=wanted.sizes[rest], counts=left[rest])
            shared = _shared(_trimmed(met[-1][:, rest], left[rest]), left[rest])
            shared = _generated(some, shared, some.enough, cells=CELLS[1])
            patterns = np.zeros((len(shared.patterns), len(rest)), dtype=np.int64)
            patterns[:, rest] = shared.patterns
            met.append(patterns)
    return np.array(bars), np.unique(np.vstack(met), axis=0)


def _taken(shares: FloatArray) -> list[int]:
    """Whole bars of each pattern that are fixed."""
    whole = np.floor(shares + SAME)
    if not whole.any():
        largest = np.argsort(-shares, kind="stable")[:max(1, np.count_nonzero(shares > SAME) // PART_ROUNDED_UP)]
        whole[largest[shares[largest] >= 0.5]] = 1
        whole[largest[0]] = 1
    return [int(number) for number in whole]


def _trimmed(patterns: IntArray, left: IntArray) -> IntArray:
    """Patterns that give no more than is still wanted, each once, with one for every size."""
    trimmed = np.unique(np.minimum(patterns, left), axis=0)
    return np.vstack((trimmed[trimmed.any(axis=1)], np.eye(len(left), dtype=np.int64)))


def _searched(patterns: IntArray, counts: IntArray) -> IntArray:
    """(b, n) bars from the patterns known, by branch and bound."""
    from scipy.optimize import LinearConstraint, milp  # slow to import, and `serve` never cuts

    ones = np.ones(len(patterns), dtype=int)
    result = milp(ones, integrality=ones, constraints=LinearConstraint(patterns.T, counts, np.inf),
                  options={"node_limit": MOST_NODES})
    if result.x is None:
        return np.eye(len(counts), dtype=int).repeat(counts, axis=0)
    return patterns.repeat(np.rint(np.asarray(result.x, dtype=float)).astype(int), axis=0)
