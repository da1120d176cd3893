"""Column generation for cutting stock: useful patterns, the bound, and whole numbers of bars.

Sizes, room and counts are whole numbers here; a pattern is how many pieces of each size one bar gives.
"""

import math

import numpy as np
from numpy.typing import NDArray

from fieldapp.frame.frame import FloatArray, IntArray

COARSE = 50
"""Patterns are first looked for on a coarser scale, sizes rounded up: quicker, and what is found fits [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py, tests/reference/test_cutting_stock.py"""

MEDIUM = 10
"""The same while numbers of bars are being made whole [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py, tests/reference/test_cutting_stock.py"""

MOST_NODES = 500
"""Branches of the search for whole numbers; a count, not a time, so that results repeat [1].
Source: our choice (K1). Test: tests/kit/test_cutting.py, tests/reference/test_cutting_stock.py"""


def fewest_bars(sizes: IntArray, counts: IntArray, room: int) -> tuple[IntArray, int]:
    """The bars to saw, as few as this method finds, and the number that no plan can do without.

    Source: (K1): Gilmore and Gomory, Operations Research 9, 1961 (from memory).
    Test: tests/reference/test_cutting_stock.py

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
        Lower bound on b: the value of the linear programme, rounded up.
    """
    start = np.diag(np.minimum(room // sizes, counts))
    patterns, shares = _useful(start, sizes, counts, room=room, scales=(COARSE, 1))
    least = math.ceil(shares.sum() - 1e-6)
    bars, patterns = _made_whole(patterns, shares, sizes, counts=counts, room=room)
    if len(bars) > least:
        searched = _searched(patterns, counts)
        bars = searched if len(searched) < len(bars) else bars
    return bars, least


def _useful(patterns: IntArray, sizes: IntArray, counts: IntArray, *, room: int,
            scales: tuple[int, ...]) -> tuple[IntArray, FloatArray]:
    """(p, n) patterns, those added that save stock, and (p,) bars of each where bars may be split."""
    most = np.minimum(room // sizes, counts)
    for scale in scales:
        while True:
            shares, prices = _shared(patterns, counts)
            best = most_valuable(prices, -(-sizes // scale), most, room=room // scale)
            if prices @ best <= 1.0 + 1e-7 or (patterns == best).all(axis=1).any():
                break
            patterns = np.vstack((patterns, best))
    return patterns, shares


def _shared(patterns: IntArray, counts: IntArray) -> tuple[FloatArray, FloatArray]:
    """(p,) bars of each pattern, fewest in all, and (n,) what one more piece would cost in bars."""
    from scipy.optimize import linprog  # slow to import, and `serve` never cuts

    result = linprog(np.ones(len(patterns)), A_ub=-patterns.T, b_ub=-counts, method="highs")
    return np.asarray(result.x, dtype=float), -np.asarray(result.ineqlin.marginals, dtype=float)


def _made_whole(patterns: IntArray, shares: FloatArray, sizes: IntArray, *, counts: IntArray,
                room: int) -> tuple[IntArray, IntArray]:
    """(b, n) bars, and the patterns met: whole bars are fixed, then the rest is shared out anew."""
    left, bars, met = counts.copy(), [], [patterns]
    while left.any():
        whole = np.floor(shares + 1e-6).astype(int)
        if not whole.any():
            whole[np.argmax(shares)] = 1
        for pattern, number in zip(patterns[whole > 0], whole[whole > 0], strict=True):
            bars += [pattern] * int(number)
            left = np.maximum(left - number * pattern, 0)
        wanted = left > 0
        if wanted.any():
            start = _trimmed(patterns[:, wanted], left[wanted])
            found, shares = _useful(start, sizes[wanted], left[wanted], room=room, scales=(MEDIUM,))
            patterns = np.zeros((len(found), len(sizes)), dtype=int)
            patterns[:, wanted] = found
            met.append(patterns)
    return np.array(bars), np.unique(np.vstack(met), axis=0)


def _trimmed(patterns: IntArray, left: IntArray) -> IntArray:
    """Patterns that give no more than is still wanted, each once, with one for every size."""
    trimmed = np.unique(np.minimum(patterns, left), axis=0)
    return np.vstack((trimmed[trimmed.any(axis=1)], np.eye(len(left), dtype=int)))


def _searched(patterns: IntArray, counts: IntArray) -> IntArray:
    """(b, n) bars from the patterns known, by branch and bound."""
    from scipy.optimize import LinearConstraint, milp  # slow to import, and `serve` never cuts

    ones = np.ones(len(patterns), dtype=int)
    result = milp(ones, integrality=ones, constraints=LinearConstraint(patterns.T, counts, np.inf),
                  options={"node_limit": MOST_NODES})
    if result.x is None:
        return np.eye(len(counts), dtype=int).repeat(counts, axis=0)
    return patterns.repeat(np.rint(np.asarray(result.x, dtype=float)).astype(int), axis=0)


def most_valuable(prices: FloatArray, sizes: IntArray, most: IntArray, *, room: int) -> IntArray:
    """(n,) pieces, at most `most` of each, that fit into `room` and are worth most in all.

    Source: (K2). Test: tests/kit/test_cutting.py

    Notes
    -----
    Dynamic programme over the room used; a piece that may occur up to m times stands for bundles of
    1, 2, 4 … pieces and a rest, so that each bundle is taken or left.
    """
    worth = np.zeros(room + 1)
    bundles = [(int(i), size) for i in np.flatnonzero(prices > 1e-12) for size in _bundle_sizes(int(most[i]))]
    taken = np.zeros((len(bundles), room + 1), dtype=bool)
    for k, (i, number) in enumerate(bundles):
        weight = int(sizes[i]) * number
        if weight <= room:
            with_it = worth[: room + 1 - weight] + prices[i] * number
            taken[k, weight:] = with_it > worth[weight:] + 1e-12
            np.copyto(worth[weight:], with_it, where=taken[k, weight:])
    return _read_back(taken, bundles, sizes, room=room)


def _bundle_sizes(most: int) -> list[int]:
    """Numbers whose sums make every count from 0 to `most`: 1, 2, 4 … and a rest."""
    made: list[int] = []
    while most > 0:
        made.append(min(2 ** len(made), most))
        most -= made[-1]
    return made


def _read_back(taken: NDArray[np.bool_], bundles: list[tuple[int, int]], sizes: IntArray, *, room: int) -> IntArray:
    """(n,) pieces that make the worth at `room`."""
    pieces = np.zeros(len(sizes), dtype=int)
    for k in reversed(range(len(bundles))):
        i, number = bundles[k]
        if taken[k, room]:
            pieces[i] += number
            room -= int(sizes[i]) * number
    return pieces
