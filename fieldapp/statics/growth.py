"""How far a load may grow on a stage by every theory that counts: mean and design moduli, up to where buckling is near.

How far with the moduli of one model is found by `growth_search` for given loads, by `pushes` for a push from anywhere.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.frame.frame import FloatArray
from fieldapp.statics.buckling import strut_tension_n
from fieldapp.statics.governing import buckling_under
from fieldapp.statics.governs import STABILITY, Governs
from fieldapp.statics.instability import Unstable
from fieldapp.statics.solved import ALPHA_CR_SMALL_ROTATIONS, Solved

NEAR = 0.01
"""Limits in second order are found to within this share of themselves, from below [1].
Source: our choice (S27). Test: tests/statics/test_second_order.py"""


_SAME = 1e-9
"""Factors that differ by less than this part of themselves are the same [1].
Source: our choice, rounding. Test: tests/statics/test_limits.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Grown:
    """How far each of k cases may grow."""

    factor: FloatArray
    """(k,)"""
    governs: tuple[Governs | None, ...]
    tension_n: FloatArray
    """(k, c, struts) axial forces there; of a push along c directions, else c is 1."""
    least: bool = False
    """True if only the lowest of the factors is asked for."""

    @property
    def lowest(self) -> int:
        """The case with the lowest factor; of equal ones one of which it is known what governs."""
        ties = np.flatnonzero(self.factor <= self.factor.min() * (1.0 + _SAME))
        return int(min(ties, key=lambda case: (self.governs[case] is None, case)))

    def or_lower(self, other: "Grown") -> "Grown":
        """The lower of the two in every case."""
        lower = other.factor < self.factor
        # tension: (case, direction, strut)
        return Grown(np.where(lower, other.factor, self.factor),
                       tuple(b if low else a for low, a, b in zip(lower, self.governs, other.governs, strict=True)),
                       np.where(lower[:, None, None], other.tension_n, self.tension_n), least=self.least)


def by_every_theory(of: Solved, reached: Callable[[Solved, FloatArray | None], Grown]) -> Grown:
    """The lower of the factors with design moduli and with mean moduli; no higher than where small rotations end.

    Source: (S30): EN 1993-1-1 5.2.2 (5), (6); EN 1995-1-1 2.4.1 (2), public copy.
    Test: tests/statics/test_second_order.py

    Parameters
    ----------
    of : Solved
        The stage.
    reached : callable
        How far loads may grow on a stage with the moduli of its own model, and no farther than given factors, (k,).
    """
    twin = of.twin
    if twin is None:
        return cut(of, reached(of, None))
    if isinstance(twin, Unstable):
        found, governs = reached(of, None), Governs(STABILITY, hub=twin.hubs[0])
        return replace(found, factor=0 * found.factor, governs=(governs,) * len(found.factor))
    found = cut(twin, reached(twin, None))
    return found.or_lower(reached(of, found.factor))


def cut(of: Solved, found: Grown) -> Grown:
    """Factors no higher than where the frame's buckling takes 3 times the load: there small rotations end.

    Source: (S30): EN 1993-1-1 5.2.2 (5), (6). Test: tests/statics/test_second_order.py
    """
    def fits(tension_n: FloatArray) -> bool:
        return of.first_ready.stable_under(tension_n, hubs=ALPHA_CR_SMALL_ROTATIONS)

    if not len(found.factor) or fits(found.tension_n.min(axis=(0, 1))):
        return found
    weight_n = strut_tension_n(of.weight)[0] * GAMMA_G
    factor, governs = found.factor.copy(), list(found.governs)
    for case in found.tension_n.min(axis=(1, 2)).argsort():
        cap = factor.min() if found.least else factor[case]
        part = 1.0 if cap == factor[case] else cap / factor[case] if factor[case] > 0 else 0.0
        ends = weight_n + part * (found.tension_n[case] - weight_n)
        if fits(ends.min(axis=0)):
            continue
        share, there = _first_to_end(fits, weight_n, ends)
        if share < 1.0:
            factor[case] = share * cap if share > 0 else 0.0
            governs[case] = buckling_under(of.first_ready, there)
    return replace(found, factor=factor, governs=tuple(governs))


def _first_to_end(fits: Callable[[FloatArray], bool], start: FloatArray, ends: FloatArray
                  ) -> tuple[float, FloatArray]:
    """The least of the largest shares on the ways from start to each of the ends, and which end that is.

    Ways are halved alike, so that one which fits where another ends does not end before it.
    """
    share, there = 1.0, ends[0]
    for end in ends:
        if share == 1.0 or not fits(start + share * (end - start)):
            found = _largest_share(fits, start, end)
            share, there = (found, end) if found < share else (share, there)
    return share, there


def _largest_share(fits: Callable[[FloatArray], bool], start: FloatArray, end: FloatArray) -> float:
    """Largest part of the way from start to end that fits, from below; 0 if not even the start does."""
    if fits(end):
        return 1.0
    low, high = 0.0, 1.0
    while high - low > NEAR * high and (low > 0 or high > NEAR):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(start + middle * (end - start)) else (low, middle)
    return low
