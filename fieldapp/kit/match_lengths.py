"""Struts of one class exchanged so that their measured lengths close the levels with small gaps and strain little."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import permutations

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.kit.allocate import Group

LEAST_GAIN_MM2 = 0.25
"""What each sticker must save of the sum of squares: a gap of half a millimetre [mm²].
Source: our choice. Test: tests/kit/test_allocate.py"""

MM_PER_UTILISATION = 2.0
"""An arm utilisation locked in counts as a gap of so many mm: a fifth of an arm's strength as 0.4 mm [mm].
Source: our choice. Test: tests/kit/test_allocate.py"""

MOST_SWAPS = 2000
"""A count, not a time, so that results repeat; every swap lowers the gaps, so the search ends (in no formula)."""

AT_ONCE = 7
"""A class of no more parts than this is tried in every order (5040) once no swap of two helps [1].
Source: our choice. Test: tests/kit/test_allocate.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Gaps:
    """What errors of length do to the frame."""

    places: tuple[str, ...]
    """(m,) strut places."""
    per_mm: FloatArray
    """(g, m) what one millimetre too much in each place adds to each closing gap [mm/mm]."""
    off_mm: Mapping[str, float]
    """Part → how much longer than its cut length it was measured; parts not measured count as exact."""
    locked_per_mm: FloatArray | None = None
    """(k, m) what it locks into the finished frame, such that the sum of squares is that of all arm utilisations."""

    @property
    def rows(self) -> FloatArray:
        """(g + k, m) gaps and locked-in use on one scale [mm/mm]."""
        if self.locked_per_mm is None:
            return self.per_mm
        return np.vstack((self.per_mm, MM_PER_UTILISATION * self.locked_per_mm))

    def off_at(self, part_at: Mapping[str, str]) -> FloatArray:
        """(m,) errors of length by place [mm]."""
        return np.array([self.off_mm.get(part_at.get(place, ""), 0.0) for place in self.places])

    def of(self, part_at: Mapping[str, str]) -> FloatArray:
        """(g,) the closing gaps with these parts [mm]."""
        return np.asarray(self.per_mm @ self.off_at(part_at))


@dataclass(frozen=True, slots=True)
class Matched:
    """The outcome."""

    part_at: Mapping[str, str]
    gap_before_mm: float
    """Root mean square of the closing gaps before."""
    gap_mm: float
    """… and after."""


def match_lengths(part_at: Mapping[str, str], groups: Iterable[Group], gaps: Gaps, *,
                  meant: Mapping[str, str] | None = None, worst: float = np.inf,
                  least_gain_mm2: float = LEAST_GAIN_MM2) -> Matched:
    """Exchange struts of a class, and take spares, while that lowers the sum of squares of gaps and uses enough.

    Source: (K5). Test: tests/kit/test_allocate.py

    Parameters
    ----------
    part_at : mapping
        Place → part, as a start.
    groups : Group
        The classes with all their parts; places that are in none stay as they are.
    gaps : Gaps
    meant : mapping, optional
        Place → part before: a change back to it costs no sticker. `part_at` if not given.
    worst : float
        Ratios of the groups that are not to be passed.
    least_gain_mm2 : float
        What each further sticker must save. [mm²]

    Returns
    -------
    Matched
        Never with a greater sum of squares than at the start.

    Notes
    -----
    Gaps and uses are linear in the errors, e = G d, so swapping seats i and j changes |e|² by
    2 δ (h_i − h_j) + δ² (H_ii + H_jj − 2 H_ij) with δ = d_j − d_i, H = GᵀG, h = Gᵀe. Every pair of a
    class is looked at in one array, the best taken, and again, class after class: at the end no swap of
    two is left that is worth its stickers. A class of up to `AT_ONCE` parts is then tried in all orders, so
    that its best is found for certain. For large ones nobody can be certain (a quadratic assignment), but
    they have so many swaps that more than two at once brought nothing (tried at frequency 6, 802 parts).
    """
    now = dict(part_at)
    before = now if meant is None else meant
    rows, groups = gaps.rows, tuple(groups)
    column = {place: number for number, place in enumerate(gaps.places)}
    off_mm = [np.array([gaps.off_mm.get(part, 0.0) for part in group.parts]) for group in groups]
    seats = [_seats(group, now, meant=dict(before), worst=worst, off_mm=off,
                    rows=rows[:, [column[place] for place in group.places]])
             for group, off in zip(groups, off_mm, strict=True)]
    errors_mm, left, before_pass = rows @ gaps.off_at(now), MOST_SWAPS, MOST_SWAPS + 1
    while 0 < left < before_pass:
        before_pass = left
        for group in seats:
            while left > 0 and group.improve(errors_mm, now, least_gain_mm2):
                left -= 1
            left -= left > 0 and group.deal(errors_mm, now, least_gain_mm2)
    return Matched(now, _rms(gaps.of(part_at)), _rms(gaps.of(now)))


def _rms(gaps_mm: FloatArray) -> float:
    return float(np.sqrt(np.mean(np.square(gaps_mm)))) if gaps_mm.size else 0.0


@dataclass(slots=True, eq=False)
class _Seats:
    """One class: its places, then a seat in the store for each part that has no place."""

    parts: tuple[str, ...]
    places: tuple[str, ...]
    at: IntArray
    """(k,) row of the part at each seat, −1 for an empty place."""
    fits: BoolArray
    """(p, k) whether a part may sit at a seat."""
    home: IntArray
    """(p,) seat at which a part was meant to be, −1 for none."""
    off_mm: FloatArray
    """(p,)"""
    rows: FloatArray
    """(g, k) columns of the gaps and uses; zero for the store."""
    gram: FloatArray
    """(k, k) products of these columns."""

    def improve(self, errors_mm: FloatArray, now: dict[str, str], least_gain_mm2: float) -> bool:
        """Do the best swap that is worth its stickers, and bring `errors_mm` and `now` up to it; False if none is."""
        gain = np.where(self._allowed(), self._gains(errors_mm) - least_gain_mm2 * self._stickers(), 0.0)
        if not gain.size or gain.max() <= 1e-9:
            return False
        i, j = divmod(int(gain.argmax()), len(self.at))
        self._seat(np.array([i, j]), self.at[[j, i]], errors_mm, now)
        return True

    def deal(self, errors_mm: FloatArray, now: dict[str, str], least_gain_mm2: float) -> bool:
        """Put a few parts in their best order, if that is worth the stickers; False if none is or they are too many."""
        chosen = np.flatnonzero(self.at >= 0)
        if len(chosen) > AT_ONCE:
            return False
        own = self.at[chosen]
        orders = own[_orders(len(chosen))]
        step = self.off_mm[orders] - self.off_mm[own]
        slope, gram = self.rows[:, chosen].T @ errors_mm, self.gram[np.ix_(chosen, chosen)]
        moved = ((self.home[orders] != chosen) & (chosen < len(self.places))).sum(axis=1)
        stickers = moved - moved[0]
        gain = -2 * step @ slope - np.einsum("ki,ij,kj->k", step, gram, step) - least_gain_mm2 * stickers
        gain = np.where(self.fits[orders, chosen].all(axis=1), gain, 0.0)
        best = int(gain.argmax())
        if gain[best] <= 1e-9:
            return False
        self._seat(chosen, orders[best], errors_mm, now)
        return True

    def _seat(self, seats: IntArray, parts: IntArray, errors_mm: FloatArray, now: dict[str, str]) -> None:
        """Put parts (by row) at seats, and bring errors and places up to it."""
        errors_mm += self.rows[:, seats] @ (self.off_mm[parts] - self.off_mm[self.at[seats]])
        self.at[seats] = parts
        now.update((self.places[seat], self.parts[int(self.at[seat])]) for seat in seats.tolist()
                   if seat < len(self.places))

    def _gains(self, errors_mm: FloatArray) -> FloatArray:
        """(k, k) by how much each swap lowers the sum of squares [mm²]."""
        off, gram, slope = self.off_mm[self.at], self.gram, self.rows.T @ errors_mm
        step, own = off[None, :] - off[:, None], np.diag(gram)
        return np.asarray(-2 * step * (slope[:, None] - slope) - step**2 * (own[:, None] + own - 2 * gram))

    def _allowed(self) -> BoolArray:
        """(k, k) True where both parts may sit at the other's seat."""
        fits = self.fits[self.at] & (self.at >= 0)[:, None]
        return np.asarray(fits & fits.T)

    def _stickers(self) -> FloatArray:
        """(k, k) how many more places differ from what was meant after each swap."""
        seats = np.arange(len(self.at))
        moved = ((self.home[self.at][:, None] != seats) & (seats < len(self.places))).astype(float)
        now = np.diag(moved)
        return np.asarray(moved + moved.T - now[:, None] - now)


@cache
def _orders(count: int) -> IntArray:
    """(count!, count) all orders; the first leaves everything as it is."""
    return np.array(list(permutations(range(count))), dtype=np.int64).reshape(-1, count)


def _seats(group: Group, now: Mapping[str, str], *, meant: Mapping[str, str], worst: float, off_mm: FloatArray,
           rows: FloatArray) -> _Seats:
    """The seats of one class as they are filled now; `rows` holds the columns of its places."""
    row = {part: number for number, part in enumerate(group.parts)}
    seat = {place: number for number, place in enumerate(group.places)}
    at = [row.get(now.get(place, ""), -1) for place in group.places]
    stored = [number for number in range(len(group.parts)) if number not in set(at)]
    home = np.full(len(group.parts), -1)
    for place, part in meant.items():
        if place in seat and part in row:
            home[row[part]] = seat[place]
    rows = np.hstack((rows, np.zeros((len(rows), len(stored)))))
    fits = np.hstack((group.ratio <= worst, np.ones((len(group.parts), len(stored)), dtype=bool)))
    return _Seats(group.parts, group.places, np.array([*at, *stored], dtype=np.int64), fits, home, off_mm, rows,
                  rows.T @ rows)
