"""Struts of one class exchanged so that their measured lengths close the rings with the least gaps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray

LEAST_GAIN_MM2 = 0.25
"""Sum of squared gaps that each sticker must save: a gap of half a millimetre. Our choice."""

MOST_SWAPS = 2000
"""A count, not a time, so that results repeat; every swap lowers the gaps, so the search ends by itself."""


@dataclass(frozen=True, slots=True, eq=False)
class Lengths:
    """What the search needs to know of the struts."""

    places: tuple[str, ...]
    """(m,) strut places."""
    gap_per_mm: FloatArray
    """(g, m) what one millimetre too much in each place adds to each closing gap."""
    off_mm: Mapping[str, float]
    """Part → how much longer than its cut length it was measured; parts not measured count as exact."""
    may_sit: Mapping[str, frozenset[str]]
    """Part → places where it may sit, by class and by what it can take."""


@dataclass(frozen=True, slots=True)
class Matched:
    """The outcome."""

    part_at: Mapping[str, str]
    gap_before_mm: float
    """Root mean square of the closing gaps before."""
    gap_mm: float
    """… and after."""


def match_lengths(part_at: Mapping[str, str], lengths: Lengths, spares: Sequence[str] = (), *,
                  meant: Mapping[str, str] | None = None, least_gain_mm2: float = LEAST_GAIN_MM2) -> Matched:
    """Exchange struts, and take spares, while a pair of places lowers the sum of squared gaps enough.

    Parameters
    ----------
    part_at : mapping
        Place → part, as a start; places that are not in `lengths` stay as they are.
    lengths : Lengths
    spares : sequence of str
        Parts at no place that may be taken.
    meant : mapping, optional
        Place → part before: a change back to it costs no sticker. `part_at` if not given.
    least_gain_mm2 : float
        What each further sticker must save. [mm²]

    Returns
    -------
    Matched
        Never with greater gaps than at the start.

    Notes
    -----
    Gaps are linear in the errors, e = G d, so swapping places i and j changes |e|² by
    2 δ (h_i − h_j) + δ² (H_ii + H_jj − 2 H_ij) with δ = d_j − d_i, H = GᵀG, h = H d: every pair is
    looked at in one array, the best is taken, and again. No better single swap is left at the end.
    """
    now, gram = dict(part_at), lengths.gap_per_mm.T @ lengths.gap_per_mm
    search = _Search(lengths, now, list(spares), dict(part_at if meant is None else meant), gram)
    start = _rms(lengths.gap_per_mm @ search.errors())
    for _ in range(MOST_SWAPS):
        if not search.improve(least_gain_mm2):
            break
    return Matched(search.part_at, start, _rms(lengths.gap_per_mm @ search.errors()))


def _rms(gaps_mm: FloatArray) -> float:
    return float(np.sqrt(np.mean(np.square(gaps_mm)))) if gaps_mm.size else 0.0


@dataclass(slots=True)
class _Search:
    """The allocation while it changes; the seats after the places hold the spares."""

    lengths: Lengths
    part_at: dict[str, str]
    spares: list[str]
    meant: dict[str, str]
    gram: FloatArray

    def errors(self) -> FloatArray:
        """(m,) millimetres too long at each place; 0 where nothing sits."""
        off = self.lengths.off_mm
        return np.array([off.get(self.part_at.get(place, ""), 0.0) for place in self.lengths.places])

    def improve(self, least_gain_mm2: float) -> bool:
        """Do the best swap that is worth its stickers; False if there is none."""
        parts = [self.part_at.get(place) for place in self.lengths.places] + list(self.spares)
        gain = self._gains(parts) - least_gain_mm2 * self._stickers(parts)
        gain[~self._allowed(parts)] = 0.0
        i, j = np.unravel_index(int(gain.argmax()), gain.shape)
        if gain[i, j] <= 1e-9:
            return False
        self._swap(parts, int(i), int(j))
        return True

    def _gains(self, parts: Sequence[str | None]) -> FloatArray:
        """(k, k) by how much each swap lowers the sum of squared gaps [mm²]."""
        off = np.array([self.lengths.off_mm.get(part or "", 0.0) for part in parts])
        size, count = len(parts), len(self.lengths.places)
        gram = np.zeros((size, size))
        gram[:count, :count] = self.gram
        slope, own = gram @ off, np.diag(gram)
        step = off[None, :] - off[:, None]
        return -(2 * step * (slope[:, None] - slope[None, :]) + step**2 * (own[:, None] + own[None, :] - 2 * gram))

    def _allowed(self, parts: Sequence[str | None]) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """(k, k) True where both may sit at the other's seat; spares' seats take anything."""
        places, count = self.lengths.places, len(self.lengths.places)
        fits = np.array([[j >= count or (part is not None and places[j] in self.lengths.may_sit.get(part, frozenset()))
                          for j in range(len(parts))] for part in parts], dtype=bool).reshape(len(parts), len(parts))
        empty = np.array([part is None for part in parts])
        return np.asarray(fits & fits.T & ~empty[:, None] & ~empty[None, :])

    def _stickers(self, parts: Sequence[str | None]) -> FloatArray:
        """(k, k) how many more places differ from what was meant after each swap."""
        places, count = self.lengths.places, len(self.lengths.places)
        row = {part: i for i, part in enumerate(parts) if part is not None}
        moved = np.ones((len(parts), len(parts)))
        moved[:, count:] = 0.0
        for j in range(count):
            if (i := row.get(self.meant.get(places[j], ""))) is not None:
                moved[i, j] = 0.0
        now = np.diag(moved)
        return moved + moved.T - now[:, None] - now[None, :]

    def _swap(self, parts: list[str | None], i: int, j: int) -> None:
        parts[i], parts[j] = parts[j], parts[i]
        count = len(self.lengths.places)
        self.part_at |= {place: part for place, part in zip(self.lengths.places, parts, strict=False)
                         if part is not None}
        self.spares = [part for part in parts[count:] if part is not None]
