"""Size and take-up of one frame by the readings: which piece is of which length, and least squares over them."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.identify.heap import MeasuredHeap, TapeReading
from fieldapp.identify.shapes import KnownFrame

FOREIGN_PIECES = 2.0
"""Pieces of no length of the frame that are thought of beforehand [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
FOREIGN_RANGE_MM = 2000.0
"""Lengths among which such a piece may be anywhere [mm]. Source: our choice. Test: tests/bench/bench_identify.py"""
MOST_TAKE_UP_MM = 300.0
"""No hub is thought to take more of a strut's line than this at an end [mm].
Source: our choice, three times a usual sheet hub's. Test: tests/identify/test_rank.py"""
PILE_SPREAD = 2.0
"""The pieces of a pile of which one was measured scatter so many times more about it than the reading errs [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
ROUNDS = (4.0, 2.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0)
"""Readings are taken as so many times less certain at first, so that a start that is somewhat off finds home [1].
Source: our choice. Test: tests/bench/bench_identify.py"""


@dataclass(frozen=True, slots=True)
class Readings:
    """The heap as arrays; equal rows once."""

    length_mm: FloatArray
    """(n,)"""
    spread_mm: FloatArray
    """(n,) standard deviations."""
    pile: FloatArray
    """(n,) struts that one reading stands for."""
    rows: FloatArray
    """(n,) how many such rows there are."""
    span: TapeReading | None
    height: TapeReading | None
    take_up: TapeReading | None

    @property
    def pieces(self) -> float:
        """Struts in all."""
        return float((self.pile * self.rows).sum())


def readings(heap: MeasuredHeap, stretch: float = 1.0) -> Readings:
    """The rows of a heap, their spread times `stretch`."""
    table: FloatArray = np.column_stack((heap.lengths_mm, heap.spread_mm * stretch, heap.counts))
    found, rows = np.unique(table, axis=0, return_counts=True)
    unique = np.asarray(found, dtype=float)
    return Readings(unique[:, 0], unique[:, 1], unique[:, 2], rows.astype(float), heap.span, heap.height, heap.take_up)


@dataclass(frozen=True, slots=True)
class LaidFrame:
    """A frame laid on the readings."""

    known: KnownFrame
    radius_mm: float
    take_up_mm: float
    variance: FloatArray
    """(2, 2) of radius and take-up [mm²]."""
    log_likelihood: float
    """Of lengths and of what was measured besides."""
    share: FloatArray
    """(n, k) how much of a row belongs to each length; what is left of 1 is foreign."""

    @property
    def lengths_mm(self) -> FloatArray:
        """(k,) what the struts of this frame measure from end to end [mm]."""
        return self.radius_mm * self.known.chords - 2.0 * self.take_up_mm


def fit(read: Readings, known: KnownFrame) -> LaidFrame:
    """The radius and take-up that explain the readings best, by what each row is likely to be.

    Source: (I2) to (I4). Test: tests/identify/test_rank.py, tests/bench/bench_identify.py

    Notes
    -----
    length = radius · chord factor − 2 · take-up. Rows are shared among lengths and least squares is taken over them,
    in turns, from the best of many starts.
    """
    starts = _starts(read, known)
    ends = [_settled(read, known, start) for start in starts]
    best = max(ends, key=lambda theta: _log_likelihood(read, known, theta))
    share = _shares(read, known, best, 1.0)[0]
    return LaidFrame(known, float(best[0]), float(best[1]), _variance(read, known, best),
               _log_likelihood(read, known, best), share)


def _starts(read: Readings, known: KnownFrame) -> list[FloatArray]:
    """(radius, take-up) of the three best points of a coarse net."""
    weight = read.pile * read.rows
    middle = _weighted_median(read.length_mm, weight)
    chord = _weighted_median(known.chords, known.numbers.astype(float))
    grid = []
    for take_up in np.linspace(0.0, min(MOST_TAKE_UP_MM, 0.9 * middle), 9):
        radius = (middle + 2 * take_up) / chord
        grid += [np.array([radius * scale, take_up]) for scale in np.linspace(0.88, 1.12, 17)]
    scores = _grid_scores(read, known, np.array(grid))
    return [grid[at] for at in np.argsort(-scores)[:4]]


def _grid_scores(read: Readings, known: KnownFrame, grid: FloatArray) -> FloatArray:
    """(starts,) how well each start explains the readings, in the coarse."""
    lines = grid[:, :1] * known.chords - 2 * grid[:, 1:]
    near = np.abs(lines[:, None, :] - read.length_mm[None, :, None]).min(axis=2)  # (start, row, length) before
    wide = 3.0 * read.spread_mm + 4.0
    scores = -(np.minimum((near / wide) ** 2, 9.0) * (read.rows * np.sqrt(read.pile))).sum(axis=1)
    for said, factor in ((read.span, known.span), (read.height, known.height)):
        if said is not None:
            off = (grid[:, 0] * factor - said.value_mm) / (0.02 * said.value_mm + said.plus_minus_mm)
            scores = scores - 0.1 * read.rows.sum() * np.minimum(off**2, 9.0)
    return np.asarray(scores)


def _settled(read: Readings, known: KnownFrame, theta: FloatArray) -> FloatArray:
    """From a start to where shares and least squares agree."""
    for wide in ROUNDS:
        share, _ = _shares(read, known, theta, wide)
        theta = _least_squares(read, known, share, theta)
    return theta


def _shares(read: Readings, known: KnownFrame, theta: FloatArray, wide: float) -> tuple[FloatArray, FloatArray]:
    """(n, k) how likely each row is of each length, foreign left aside; and (n,) log density of the rows."""
    spread = read.spread_mm * wide
    off = (read.length_mm[:, None] - (theta[0] * known.chords - 2 * theta[1])[None, :]) / spread[:, None]
    half = off**2 / 2
    least = half.min(axis=1)
    part = np.exp(least[:, None] - half) * (known.numbers / known.total)
    home = np.log(part.sum(axis=1)) - least - np.log(spread * np.sqrt(2 * np.pi))
    alike = np.where(read.pile > 1, PILE_SPREAD**-2, 1.0)[:, None]
    part = np.exp((least[:, None] - half) * alike) * (known.numbers / known.total)
    summed = part.sum(axis=1)
    pieces = max(read.pieces, 4 * FOREIGN_PIECES)
    foreign = read.pile * np.log(FOREIGN_PIECES / pieces) - np.log(FOREIGN_RANGE_MM)
    both = np.logaddexp(home, foreign)
    return part / summed[:, None] * np.exp(home - both)[:, None], both


def _least_squares(read: Readings, known: KnownFrame, share: FloatArray, before: FloatArray) -> FloatArray:
    """(radius, take-up) by weighted least squares; a take-up below zero or beyond reason is held at its bound.

    Where all rows are foreign, the radius stays as it was. Source: (I3). Test: tests/identify/test_rank.py
    """
    normal, right = _normal(read, known, share)
    normal[0, 0] += STAY
    right[0] += STAY * before[0]
    theta = np.linalg.solve(normal, right)
    bounded = float(np.clip(theta[1], 0.0, MOST_TAKE_UP_MM))
    if bounded != theta[1]:
        theta = np.array([(right[0] - normal[0, 1] * bounded) / normal[0, 0], bounded])
    return np.asarray(theta, dtype=float)


def _normal(read: Readings, known: KnownFrame, share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Normal matrix (2, 2) and right side (2,); a whisper of a take-up of 60 ± 300 mm keeps it solvable."""
    weight = share * (read.rows / read.spread_mm**2)[:, None]
    w, x = weight.sum(), (weight * known.chords).sum()
    xx = (weight * known.chords**2).sum()
    y, xy = (weight.sum(axis=1) * read.length_mm).sum(), (weight @ known.chords * read.length_mm).sum()
    normal = np.array([[xx, -2 * x], [-2 * x, 4 * w + WHISPER[1]]])
    right = np.array([xy, -2 * y + WHISPER[0] * WHISPER[1]])
    for said, row in _besides(read, known):
        spread2 = said.plus_minus_mm**2 / 3.0
        normal = normal + np.outer(row, row) / spread2
        right = right + row * said.value_mm / spread2
    return normal, right


STAY = 1e-8
"""Weight of the radius that a round began with, a standard deviation of 10 m [mm⁻²].
Source: our choice. Test: tests/identify/test_rank.py"""
WHISPER = (60.0, 300.0**-2)
"""Take-up that is thought of beforehand [mm], and its weight, so slight that readings always drown it [mm⁻²].
Source: our choice. Test: tests/identify/test_rank.py"""


def _besides(read: Readings, known: KnownFrame) -> list[tuple[TapeReading, FloatArray]]:
    """What was measured besides, each as value = row · (radius, take-up)."""
    rows = ((read.span, (known.span, 0.0)), (read.height, (known.height, 0.0)), (read.take_up, (0.0, 1.0)))
    return [(said, np.array(row)) for said, row in rows if said is not None]


def _log_likelihood(read: Readings, known: KnownFrame, theta: FloatArray) -> float:
    """Of the lengths and of what was measured besides."""
    value = float((_shares(read, known, theta, 1.0)[1] * read.rows).sum())
    for said, row in _besides(read, known):
        value -= float((row @ theta - said.value_mm) ** 2 / (said.plus_minus_mm**2 / 3.0)) / 2
    return value


def _variance(read: Readings, known: KnownFrame, theta: FloatArray) -> FloatArray:
    """(2, 2) inverse of the curvature of the log likelihood: what is not known of who is which counts in it.

    Where all rows are foreign nothing is known of the radius: its standard deviation is that of `STAY`, 10 m.
    """
    steps = np.array([0.05 / known.chords.mean(), 0.05])
    base = _normal(read, known, _shares(read, known, theta, 1.0)[0])[0] + np.diag([STAY, 0.0])

    def at(a: float, b: float) -> float:
        return _log_likelihood(read, known, theta + np.array([a, b]) * steps)

    middle = at(0, 0)
    curve = np.array([[at(1, 0) + at(-1, 0) - 2 * middle, 0.0], [0.0, at(0, 1) + at(0, -1) - 2 * middle]])
    curve[0, 1] = curve[1, 0] = (at(1, 1) + at(-1, -1) - at(1, -1) - at(-1, 1)) / 4
    seen = -curve / np.outer(steps, steps) + np.diag([0.0, WHISPER[1]])
    good = np.all(np.linalg.eigvalsh(seen) > 0) and np.all(np.linalg.inv(seen).diagonal() > 0)
    inverse = np.linalg.inv(seen if good else base)
    plain = np.linalg.inv(base)
    return np.asarray(inverse if inverse[0, 0] > plain[0, 0] else plain)


def _weighted_median(values: FloatArray, weight: FloatArray) -> float:
    order = np.argsort(values)
    summed = np.cumsum(weight[order])
    return float(values[order][np.searchsorted(summed, summed[-1] / 2)])
