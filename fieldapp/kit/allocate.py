"""Which part to put where: the weakest where they carry least, and as few changes as that takes.

Parts of one class may change places among each other. For each class, in this order:

1. as many places filled as can be; parts to be made for the others count in all that follows, so that nobody
   moves a part only to leave a harder place empty;
2. the worst ratio of what a place asks to what its part can take as low as can be (a bottleneck
   assignment [1]_, found by a threshold on the ratios);
3. no gain in the worst ratio of less than `Costs.least_gain` is bought with exchanges;
4. the sum of ratios and of the price of exchanges as low as can be (a linear assignment, by scipy).

References
----------
.. [1] Burkard, Dell'Amico and Martello, Assignment Problems, SIAM, 2009, chapter 6 (from memory).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class Costs:
    """What a change must be worth."""

    least_gain: float = 0.02
    """A worst ratio that falls by less than this is not worth an exchange [1].
    Source: our choice (K4). Test: tests/kit/test_allocate.py"""
    exchange: float = 0.02
    """Price of giving one place another part, against the sum of ratios [1].
    Source: our choice (K4). Test: tests/kit/test_allocate.py"""


NEARLY_FREE = Costs(0.0, 1e-6)
"""The optimum with the fewest exchanges that it takes."""


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Parts that may change places: one class."""

    name: str
    """"hub 3L" or "strut C"."""
    parts: tuple[str, ...]
    places: tuple[str, ...]
    ratio: FloatArray
    """(parts, places) what the place asks ÷ what the part can take there; infinite where it must not sit."""
    new: FloatArray | None = None
    """(places,) the same for a part that is made for the place, where none is left; None: nothing."""

    @property
    def if_made(self) -> FloatArray:
        """(places,) what a new part would be asked."""
        return np.zeros(len(self.places)) if self.new is None else self.new

    @property
    def with_made(self) -> FloatArray:
        """(parts + parts to make, places) ratios, with those of as many new parts as it takes to fill all places."""
        lacking = len(self.places) - _filled(np.isfinite(self.ratio))
        return np.vstack((self.ratio, np.tile(self.if_made, (lacking, 1))))


@dataclass(frozen=True, slots=True)
class Move:
    """A place that gets another part: one sticker "new place"."""

    part: str
    place: str
    before: str | None
    """Place the part was meant for; None for a spare."""
    instead_of: str | None
    """Part that was meant for the place; None if there was none."""


@dataclass(frozen=True, slots=True)
class Allocation:
    """Parts at places."""

    part_at: Mapping[str, str]
    """Place → part ID; places that stay empty are not in it."""
    empty: tuple[str, ...]
    """Places for which no part is left, by group and place."""
    worst: float
    """Largest ratio of a part that is there; 0 if nothing is placed."""
    total: float
    """Sum of the ratios, with those of parts to be made."""
    moves: tuple[Move, ...]
    """What differs from what was meant before, by place."""
    before_worst: float
    """The same for what was meant before, over the places that it fills; infinite if a part must not sit there."""
    before_total: float
    before_empty: int
    """How many places had no part that may sit there."""

    @property
    def gain(self) -> float:
        """By how much the worst ratio falls."""
        return self.before_worst - self.worst if np.isfinite(self.before_worst) else float("inf")


def allocate(groups: Iterable[Group], meant: Mapping[str, str], costs: Costs = Costs()) -> Allocation:
    """The best allocation of the parts of each group to its places.

    Source: (K4): Burkard, Dell'Amico and Martello, Assignment Problems, SIAM, 2009, chapter 6 (from memory).
    Test: tests/kit/test_allocate.py

    Parameters
    ----------
    groups : Group
        No part and no place in two of them.
    meant : mapping
        Place → part ID as meant now.
    costs : Costs

    Returns
    -------
    Allocation
        Never fills fewer places than `meant`, never has a worse worst ratio, and at equal filling no
        worse sum together with the price of exchanges.

    Notes
    -----
    With the fewest exchanges for what they bring: see the module. The order of parts and places decides
    ties, so that two runs agree.
    """
    groups = tuple(groups)
    part_at: dict[str, str] = {}
    for group in groups:
        chosen = _assigned(group, _meant_rows(group, meant), costs)
        part_at |= {group.places[place]: group.parts[row] for place, row in enumerate(chosen.tolist()) if row >= 0}
    return allocation_of(part_at, groups, meant)


def fewest_exchanges(groups: Iterable[Group], meant: Mapping[str, str]) -> Allocation:
    """Nobody's judgement: what may stay stays, empty places take the first part in order that may sit there."""
    groups = tuple(groups)
    part_at: dict[str, str] = {}
    for group in groups:
        order = np.arange(len(group.parts), dtype=float)[:, None] / (1 + len(group.parts) * len(group.places))
        moved = np.arange(len(group.parts))[:, None] != _meant_rows(group, meant)[None, :]
        chosen = _cheapest(np.where(moved, 1.0 + order, 0.0), np.isfinite(group.ratio)) \
            if group.parts else np.full(len(group.places), -1)
        part_at |= {group.places[place]: group.parts[row] for place, row in enumerate(chosen.tolist()) if row >= 0}
    return allocation_of(part_at, groups, meant)


def allocation_of(part_at: Mapping[str, str], groups: Iterable[Group], meant: Mapping[str, str]) -> Allocation:
    """The record of parts at places, against what was meant before."""
    groups = tuple(groups)
    now = [ratio for group in groups for ratio in _ratios(group, part_at) if np.isfinite(ratio)]
    before = [ratio for group in groups for ratio in _ratios(group, meant)]
    to_make = sum(float(group.if_made[at]) for group in groups for at, place in enumerate(group.places)
                  if place not in part_at)
    sound = [ratio for ratio in before if np.isfinite(ratio)]
    return Allocation(
        part_at, tuple(place for group in groups for place in group.places if place not in part_at),
        max(now, default=0.0), sum(now) + to_make, _moves(part_at, meant),
        float("inf") if len(sound) < len(before) else max(before, default=0.0), sum(sound), len(before) - len(sound))


def _assigned(group: Group, meant: IntArray, costs: Costs) -> IntArray:
    """(places,) row of the part at each place, −1 where none is left."""
    if not len(group.parts) or not len(group.places):
        return np.full(len(group.places), -1)
    ratio = group.with_made
    threshold = bottleneck(ratio)
    before = _worst_if_full(group, meant)
    if before <= threshold + costs.least_gain:
        threshold = max(threshold, before)
    row = np.arange(len(ratio))[:, None]
    price = np.where((row == meant) | (row >= len(group.parts)), 0.0, costs.exchange)
    chosen = _cheapest(ratio + price, ratio <= threshold)
    return np.where(chosen < len(group.parts), chosen, -1)


def bottleneck(ratio: FloatArray) -> float:
    """The least threshold at which as many places can be filled as at any.

    Parameters
    ----------
    ratio : (p, q) array
        Infinite where a part must not sit.

    Returns
    -------
    float
        One of the ratios; −inf if nothing can be placed.

    Examples
    --------
    >>> bottleneck(np.array([[0.9, 0.2], [0.6, 0.5]]))
    0.6
    """
    values = np.unique(ratio[np.isfinite(ratio)])
    most = _filled(np.isfinite(ratio))
    low, high = 0, len(values) - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if _filled(ratio <= values[middle]) == most else (middle + 1, high)
    return float(values[low]) if len(values) else -np.inf


def _filled(allowed: BoolArray) -> int:
    """How many places can be filled at once."""
    from scipy.sparse import csr_array  # slow to import, and `serve` allocates only when asked
    from scipy.sparse.csgraph import maximum_bipartite_matching

    return int((maximum_bipartite_matching(csr_array(allowed), perm_type="column") >= 0).sum())


def _cheapest(price: FloatArray, allowed: BoolArray) -> IntArray:
    """(places,) the assignment that fills most places at the least price; −1 for a place left empty."""
    from scipy.optimize import linear_sum_assignment  # slow to import, and `serve` allocates only when asked

    parts, places = price.shape
    empty = 1.0 + 2.0 * float(np.where(allowed, price, 0.0).max(initial=0.0)) * places
    full = np.full((parts + places, places), empty)
    full[:parts] = np.where(allowed, price, 2.0 * empty)
    rows, columns = linear_sum_assignment(full)
    chosen = np.full(places, -1)
    chosen[columns] = np.where(rows < parts, rows, -1)
    return chosen


def _meant_rows(group: Group, meant: Mapping[str, str]) -> IntArray:
    """(places,) row of the part that is meant for each place now, −1 for none of this group."""
    row = {part: number for number, part in enumerate(group.parts)}
    return np.array([row.get(meant.get(place, ""), -1) for place in group.places], dtype=np.int64)


def _worst_if_full(group: Group, meant: IntArray) -> float:
    """Worst ratio as meant now; infinite unless it fills as many places as can be filled."""
    filled = np.flatnonzero(meant >= 0)
    ratios = group.ratio[meant[filled], filled]
    usable = ratios[np.isfinite(ratios)]
    if len(usable) < _filled(np.isfinite(group.ratio)):
        return float("inf")
    to_make = np.ones(len(meant), dtype=bool)
    to_make[filled[np.isfinite(ratios)]] = False
    return float(np.concatenate((usable, group.if_made[to_make])).max(initial=-np.inf))


def _ratios(group: Group, part_at: Mapping[str, str]) -> list[float]:
    """Ratio at each place; infinite where no part of the group is, or it must not sit there."""
    rows = _meant_rows(group, part_at).tolist()
    return [float(group.ratio[row, place]) if row >= 0 else float("inf") for place, row in enumerate(rows)]


def _moves(part_at: Mapping[str, str], meant: Mapping[str, str]) -> tuple[Move, ...]:
    """Places whose part changes."""
    home = {part: place for place, part in meant.items()}
    return tuple(Move(part, place, home.get(part), meant.get(place)) for place, part in sorted(part_at.items())
                 if meant.get(place) != part)
