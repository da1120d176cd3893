"""Which frames a heap may be, the likeliest first, how sure that is, and what each lacks."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.identify.fit import MOST_TAKE_UP_MM, LaidFrame, Readings, fit, readings
from fieldapp.identify.heap import MeasuredHeap
from fieldapp.identify.shapes import KnownFrame, known_shapes

LEAST_LEFT, MOST_OVER = 0.62, 1.2
"""Of a frame's struts at least so many are there, and at most so many times as many [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
SURPLUS = 4.0
"""What a piece that the frame has no place for costs, in natural logarithms [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
MISSING_BETA = 10.0
"""Shares that are missing are thought of beforehand as (1 − q)^(β−1): 9 % on average [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
SURE, LIKELY = 0.9995, 0.8
"""Share of all that it may be from which a shape is said to be sure, or likely [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
FOREIGN_MOST, FOREIGN_SHARE = 3, 0.06
"""More pieces of no length of the frame than this number and this share, and it is said to be unknown [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
WORST_STRETCH = 2.0
"""Readings that scatter more than so many times what was said make it unknown [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
MOST_FAVOUR, BALANCE_ROUNDS = 20.0, 8
"""How much less likely a length may be for a row and still be taken for even numbers [1]; rounds of that.
Source: our choice. Test: tests/bench/bench_identify.py"""
PILE_CAUTION = 4.0
"""What was put on one pile by eye proves so much less than what was measured piece by piece [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
MOST_PILED = 0.5
"""Share of struts that were not measured themselves, beyond which no answer is sure [1].
Source: our choice. Test: tests/identify/test_rank.py"""
RIM_DOUBTFUL = 5
"""From this frequency on it is never sure whether a rim that goes up and down was made level [1].
Source: our choice; a kit of frequency 6 was told wrong. Test: tests/bench/bench_identify.py"""
STRETCH_SLACK = 1.5
"""Standard deviations by which a scatter must stand out before readings are taken as less certain [1].
Source: our choice. Test: tests/bench/bench_identify.py"""
TWO_SIDED_95 = 2.2
"""Standard deviations either way [1]: 1.96 hold 95 % of a normal distribution; that which piece is which is found from
the same readings wants more. Source: our choice, above the normal quantile (from memory).
Test: tests/bench/bench_identify.py"""
SHOWN = 5
"""Frames that are told beside the first (in no formula)."""


@dataclass(frozen=True, slots=True)
class Match:
    """One frame laid on the heap."""

    fit: LaidFrame
    found: tuple[float, ...]
    """(k,) struts of each length that are there."""
    foreign: float
    """Struts of none."""
    hubs_lacking: tuple[tuple[int, int], ...]
    """Arms, and how many hubs with so many are not there; empty where hubs were not counted."""
    hubs_over: int
    off_mm: float
    """All pieces but three lie within this of a length of the frame [mm]."""
    score: float
    """Natural logarithm of how likely it is, up to a constant."""
    share: float = 0.0
    """Of all frames that were looked at [1]."""

    @property
    def known(self) -> KnownFrame:
        """The frame."""
        return self.fit.known

    @property
    def lacking(self) -> tuple[tuple[float, int], ...]:
        """Length [mm] and number of struts that are not there."""
        short = self.known.numbers - np.round(np.minimum(self.found, self.known.numbers)).astype(int)
        return tuple((float(mm), int(n)) for mm, n in zip(self.fit.lengths_mm, short, strict=True) if n > 0)

    @property
    def over(self) -> int:
        """Struts beyond those that the frame takes: spares."""
        return int(np.round(np.maximum(np.array(self.found) - self.known.numbers, 0)).sum())

    @property
    def take_up_mm(self) -> tuple[float, float]:
        """95 % interval of what a hub takes at each end [mm]."""
        half = TWO_SIDED_95 * float(self.fit.variance[1, 1]) ** 0.5
        return max(0.0, self.fit.take_up_mm - half), min(MOST_TAKE_UP_MM, self.fit.take_up_mm + half)

    @property
    def diameter_mm(self) -> tuple[float, float]:
        """95 % interval of the diameter through the hub centres [mm]."""
        radius, half = self.fit.radius_mm, TWO_SIDED_95 * float(self.fit.variance[0, 0]) ** 0.5
        return 2 * (radius - half), 2 * (radius + half)


@dataclass(frozen=True)
class Identified:
    """What a heap may be. Not slotted: what is asked for is kept."""

    heap: MeasuredHeap
    matches: tuple[Match, ...]
    stretch: float
    """How many times more the readings scatter about the first than was said [1]."""

    @cached_property
    def sure(self) -> str:
        """"sure", "likely" or "unknown"."""
        if not self.matches or self.fault:
            return "unknown"
        share = self.matches[0].share
        known = self.matches[0].known
        doubtful = _piled(self.heap) > MOST_PILED or (known.level is not None and known.frequency >= RIM_DOUBTFUL)
        return "sure" if share >= SURE and not doubtful else "likely" if share >= LIKELY else "unknown"

    @cached_property
    def fault(self) -> str:
        """Why the nearest frame is not taken for it; empty if it may be it."""
        best = self.matches[0]
        if best.foreign > max(FOREIGN_MOST + 0.5, FOREIGN_SHARE * self.heap.struts):
            return "foreign"
        if best.over > max(FOREIGN_MOST, (MOST_OVER - 1) * self.heap.struts):
            return "over"
        return "scatter" if self.stretch > WORST_STRETCH else ""


def identify(heap: MeasuredHeap) -> Identified:
    """All frames that the heap may be, the likeliest first.

    Source: (I5). Test: tests/identify/test_rank.py, tests/bench/bench_identify.py
    """
    read = readings(heap)
    found = [_match(heap, read, known) for known in known_shapes(
        heap.struts, least=LEAST_LEFT, most=MOST_OVER, foreign=FOREIGN_MOST)]
    if not found:
        return Identified(heap, (), 1.0)
    found.sort(key=lambda match: -match.score)
    stretch = _stretch(read, found[0].fit)
    if stretch > 1.0:
        wide = readings(heap, min(stretch, 3.0))
        found = sorted((_match(heap, wide, match.known) for match in found[:40]), key=lambda match: -match.score)
    scores = np.array([match.score for match in found])
    shares = np.exp((scores - scores.max()) / _caution(heap))
    shares /= shares.sum()
    return Identified(heap, tuple(_with_share(match, float(share)) for match, share in
                               zip(found[:SHOWN + 1], shares, strict=False)), stretch)


def _caution(heap: MeasuredHeap) -> float:
    """By what differences of scores are divided: 1 where each piece was measured, up to `PILE_CAUTION` for piles."""
    return 1.0 + (PILE_CAUTION - 1.0) * _piled(heap)


def _piled(heap: MeasuredHeap) -> float:
    """Share of the struts that were not measured themselves, but put to one that was."""
    return sum(piece.count - 1 for piece in heap.pieces) / max(heap.struts, 1)


def _with_share(match: Match, share: float) -> Match:
    return Match(match.fit, match.found, match.foreign, match.hubs_lacking, match.hubs_over, match.off_mm, match.score,
                 share)


def _match(heap: MeasuredHeap, read: Readings, known: KnownFrame) -> Match:
    """One frame laid on the heap, and how likely it is."""
    laid = fit(read, known)
    weight = read.pile * read.rows
    share = _balanced(laid.share, weight, known.numbers)
    found = weight @ share
    hubs = heap.hub_counts
    score = (laid.log_likelihood + _count_score(found, known.numbers) + _occam(laid)
             - _drawn_score(np.minimum(read.rows @ share, known.numbers), known.numbers))
    lacking: tuple[tuple[int, int], ...] = ()
    over = 0
    if hubs:
        arms = sorted({*hubs, *dict(known.arms)})
        there = np.array([hubs.get(arm, 0) for arm in arms], dtype=float)
        wanted = np.array([dict(known.arms).get(arm, 0) for arm in arms], dtype=np.int64)
        score += _count_score(there, wanted)
        lacking = tuple((arm, int(n)) for arm, n in zip(arms, wanted - there, strict=True) if n > 0)
        over = int(np.maximum(there - wanted, 0).sum())
    return Match(laid, tuple(found.tolist()), float(read.pieces - found.sum()), lacking, over, _off_mm(read, laid),
                 float(score))


def _balanced(share: FloatArray, weight: FloatArray, numbers: IntArray) -> FloatArray:
    """Shares turned so that lengths which a tape can hardly part are filled alike, none beyond its number.

    Notes
    -----
    Each length is favoured or not by at most `MOST_FAVOUR`, so that what a tape parts stays apart.
    """
    home = share.sum(axis=1, keepdims=True)
    left = min(1.0, float((weight * home[:, 0]).sum()) / float(numbers.sum()))
    favour, turned = np.ones(share.shape[1]), share
    for _ in range(BALANCE_ROUNDS):
        found = np.maximum(weight @ turned, 1e-9)
        favour = np.clip(favour * np.sqrt(left * numbers / found), 1 / MOST_FAVOUR, MOST_FAVOUR)
        turned = share * favour
        turned = turned / np.maximum(turned.sum(axis=1, keepdims=True), 1e-300) * home
    return turned


def _count_score(found: FloatArray, numbers: IntArray) -> float:
    """Logarithm of how likely such numbers are to be left of the frame's: hypergeometric, missing by a beta law."""
    from scipy.special import gammaln  # brings in scipy, which most commands do without

    there, total = np.minimum(found, numbers), float(numbers.sum())
    left, beta = float(there.sum()), MISSING_BETA
    ways = gammaln(numbers + 1.0) - gammaln(there + 1.0) - gammaln(numbers - there + 1.0)
    missing = (np.log(beta) + gammaln(left + beta) - gammaln(left + 1) - gammaln(total + beta + 1) + gammaln(total + 1))
    return float(ways.sum() - gammaln(total + 1) + gammaln(left + 1) + gammaln(total - left + 1)
                 + missing) - SURPLUS * float((found - there).sum())


def _drawn_score(rows: FloatArray, numbers: IntArray) -> float:
    """Logarithm of how likely the lengths of the measured rows are in a draw with replacement: what the density of
    the rows counts already."""
    from scipy.special import gammaln, xlogy  # brings in scipy, which most commands do without

    return float(gammaln(rows.sum() + 1) - gammaln(rows + 1).sum() + xlogy(rows, numbers / numbers.sum()).sum())


def _occam(laid: LaidFrame) -> float:
    """What integrating over radius and take-up leaves: a frame that must be finely tuned is less likely."""
    size = np.log(laid.radius_mm)
    return float(np.linalg.slogdet(laid.variance)[1] / 2 - size - (laid.take_up_mm / 150.0) ** 2 / 2)


def _off_mm(read: Readings, laid: LaidFrame) -> float:
    """All pieces but the three farthest lie within this of a length."""
    near = np.abs(read.length_mm[:, None] - laid.lengths_mm).min(axis=1)
    each = np.repeat(near, (read.pile * read.rows).astype(int))
    return float(np.sort(each)[max(0, len(each) - 1 - FOREIGN_MOST)])


def _stretch(read: Readings, laid: LaidFrame) -> float:
    """How many times more than said the readings scatter about a frame: root of the mean over pieces at home."""
    off = ((read.length_mm[:, None] - laid.lengths_mm) / read.spread_mm[:, None]) ** 2
    weight = laid.share * (read.rows * read.pile)[:, None]
    rows = float((laid.share * read.rows[:, None]).sum())
    found = float((weight * off).sum() / max(weight.sum(), 1.0)) ** 0.5
    return found if found > 1.0 + STRETCH_SLACK / max(2 * rows, 1.0) ** 0.5 else 1.0
