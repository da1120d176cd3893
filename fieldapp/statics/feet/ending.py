"""Which of some loads ends first on these feet, in the worst of the ways in which they may stand."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.feet.march import Reached, march
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.starts import Starts
from fieldapp.statics.governs import FOOT_LIFTS, FOOT_SLIDES, UNKNOWN, Governs
from fieldapp.statics.response import Response
from fieldapp.statics.tubes import TubeCapacity

_WORST_CASES = 2
"""Load cases in which every foot is let hang free: those that end first while none does [1].
Source: our choice (G6). Test: tests/statics/feet/test_at_once.py"""
_SLID_MM = 1e-6
"""A foot that has slid less than this stuck [mm]. Source: our choice, rounding. Test:
tests/statics/feet/test_at_once.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Ending:
    """The first load case to end."""

    case: int
    """-1: none does."""
    bound: FeetBound
    """Its value is how many times the case is borne; infinite where none ends."""


def first_to_end(starts: Starts, tubes: TubeCapacity, growing: Response, most: FloatArray) -> Ending:
    """The load case that ends at the lowest multiple of itself, and there what gives way.

    Source: (G6). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    starts : Starts
        Ways in which the feet stand under the weight.
    tubes : TubeCapacity
        What the tubes can take.
    growing : Response
        k load cases on pinned feet, with their factor.
    most : (k,) array
        How many times each is asked for.

    Notes
    -----
    All cases are raised where no foot hangs free. Every foot is let hang free in the cases that ended first, and the
    one that then ends first in all cases again.
    """
    down, hangs = (np.flatnonzero(flags) for flags in (starts.hanging < 0, starts.hanging >= 0))
    every = np.arange(len(most))
    search = _Search(starts, tubes, growing, most)
    ends = search.run(down, every)
    worst = np.argsort(np.where(np.isfinite(ends), ends, most), kind="stable")[:_WORST_CASES]
    if len(hangs):
        search.run(hangs, worst)
        if search.start in hangs:
            search.run(np.array([search.start]), every)
    return search.ending()


class _Search:
    """The lowest ending so far."""

    def __init__(self, starts: Starts, tubes: TubeCapacity, growing: Response, most: FloatArray) -> None:
        self.starts, self.tubes, self.growing, self.most = starts, tubes, growing, most
        self.value, self.case, self.start = np.inf, -1, -1
        self.best: FeetBound | None = None

    def run(self, rows: IntArray, cases: IntArray) -> FloatArray:
        """March some starts in some cases; the (k,) lowest multiple at which each case was seen to end."""
        start, case = np.repeat(rows, len(cases)), np.tile(cases, len(rows))
        top = np.minimum(self.most, self.value)[case]
        some = self.starts.of(start)
        reached = march(some, self.tubes, self.growing, case, top)
        ends = reached.ends
        seen = np.full(len(self.most), np.inf)
        np.minimum.at(seen, case, ends)
        at = int(ends.argmin()) if len(ends) else -1
        if at >= 0 and ends[at] < self.value:
            self.value, self.case, self.start = float(ends[at]), int(case[at]), int(start[at])
            self.best = _bound(some, reached, at, self.value)
        return seen

    def ending(self) -> Ending:
        """The lowest of all."""
        return Ending(self.case, self.best or FeetBound(np.inf))


def _bound(starts: Starts, reached: Reached, at: int, value: float) -> FeetBound:
    """What stopped a path. Where it only did not settle any more, the feet that had let go until then."""
    feet, governs = starts.feet.on.feet, reached.governs[at]
    slid = np.linalg.norm(reached.states.slid_mm[at] - starts.states.slid_mm[at], axis=1)
    high = reached.states.moved_mm[at, :, 2] + starts.springs.gap_mm[at]
    lifts = tuple(foot for foot, up in zip(feet, high, strict=True) if up > 0)
    slips = tuple(foot for foot, far in zip(feet, slid, strict=True) if far > _SLID_MM and foot not in lifts)
    if governs is None or governs.what != UNKNOWN:
        return FeetBound(value, governs, lifts=lifts, slips=slips)
    if not value or not (slips or lifts):
        return FeetBound(0.0, governs, settled=False, lifts=lifts, slips=slips)
    far, what = (slid, FOOT_SLIDES) if slips else (high, FOOT_LIFTS)
    return FeetBound(value, Governs(what, hub=feet[int(far.argmax())], taken=governs.taken), lifts=lifts, slips=slips)
