"""The most valuable pieces that fit into a bar: dynamic programmes over the room used (K2).

Sizes, room and counts are whole numbers; a pattern is how many pieces of each size one bar gives.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fieldapp.frame.frame import FloatArray, IntArray

WORTHLESS = 1e-12
"""Prices, and gains in price, below this are rounding (in no formula)."""


def most_valuable(prices: FloatArray, sizes: IntArray, most: IntArray, *, room: int) -> IntArray:
    """(n,) pieces, at most `most` of each, that fit into `room` and are worth most in all.

    Source: (K2). Test: tests/kit/test_cutting.py
    """
    bundles = _bundles(prices, sizes, most, room)
    worth, taken = np.zeros(room + 1), np.zeros((len(bundles), room + 1), dtype=bool)
    for k, bundle in enumerate(bundles):
        worth, taken[k] = _with(bundle, worth)
    return _read_back(taken, bundles, len(sizes), room=room)


def most_valuable_with_each(prices: FloatArray, sizes: IntArray, most: IntArray, *, room: int) -> IntArray:
    """(k, n) for each size that is worth something, the most valuable pattern that it is in; the best of all first.

    Source: (K2). Test: tests/kit/test_cutting.py

    Notes
    -----
    Bundles before the one that must be in fill a part of the bar, those after it the rest: the best sum over all
    parts needs the table from the front and that from the back, each once for all sizes.
    """
    bundles = _bundles(prices, sizes, most, room)
    worth_before, before = _table(bundles, room)
    worth_after, after = _table(bundles[::-1], room)
    best: dict[int, tuple[float, int, int]] = {}
    for k, bundle in enumerate(bundles):
        rest = room - bundle.weight
        sums = worth_before[k, :rest + 1] + worth_after[len(bundles) - 1 - k, rest::-1]
        at = int(sums.argmax())
        best[bundle.size] = min(best.get(bundle.size, (0.0, 0, 0)), (-float(sums[at]) - bundle.price, k, at))
    found = np.zeros((len(best), len(sizes)), dtype=np.int64)
    for pattern, (_, k, at) in zip(found, sorted(best.values()), strict=True):
        behind, rest = len(bundles) - 1 - k, room - bundles[k].weight
        pattern += _read_back(before[:k], bundles[:k], len(sizes), room=at)
        pattern += _read_back(after[:behind], bundles[:k:-1], len(sizes), room=rest - at)
        pattern[bundles[k].size] += bundles[k].number
    return found


@dataclass(frozen=True, slots=True)
class _Bundle:
    """So many pieces of one size, taken or left together."""

    size: int
    number: int
    weight: int
    price: float


def _bundles(prices: FloatArray, sizes: IntArray, most: IntArray, room: int) -> list[_Bundle]:
    """All that may be in a bar and is worth something."""
    return [_Bundle(i, number, int(sizes[i]) * number, float(prices[i]) * number)
            for i in np.flatnonzero(prices > WORTHLESS).tolist() for number in _bundle_sizes(int(most[i]))
            if int(sizes[i]) * number <= room]


def _with(bundle: _Bundle, worth: FloatArray) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(room + 1) what is worth most in every room with one more bundle, and where it is taken."""
    with_it = np.full_like(worth, -1.0)
    with_it[bundle.weight:] = worth[:len(worth) - bundle.weight] + bundle.price
    taken = with_it > worth + WORTHLESS
    return np.where(taken, with_it, worth), taken


def _table(bundles: list[_Bundle], room: int) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(k + 1, room + 1) what is worth most in every room with the first k bundles, and (k, room + 1) what is taken."""
    worth = np.zeros((len(bundles) + 1, room + 1))
    taken = np.zeros((len(bundles), room + 1), dtype=bool)
    for k, bundle in enumerate(bundles):
        worth[k + 1], taken[k] = _with(bundle, worth[k])
    return worth, taken


def _bundle_sizes(most: int) -> list[int]:
    """Numbers whose sums make every count from 0 to `most`: 1, 2, 4 … and a rest."""
    made: list[int] = []
    while most > 0:
        made.append(min(2 ** len(made), most))
        most -= made[-1]
    return made


def _read_back(taken: NDArray[np.bool_], bundles: list[_Bundle], sizes: int, *, room: int) -> IntArray:
    """(n,) pieces that make the worth at `room`."""
    pieces = np.zeros(sizes, dtype=np.int64)
    for k in reversed(range(len(bundles))):
        if taken[k, room]:
            pieces[bundles[k].size] += bundles[k].number
            room -= bundles[k].weight
    return pieces
