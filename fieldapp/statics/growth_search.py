"""How far given loads may grow on a stage with the moduli of its model, each with the axial forces that it causes.

The answer comes from below: at the factor that is told the case was solved, or the factor lies on a chord of a use
that grows ever faster.
"""

from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.buckling import strut_tension_n
from fieldapp.statics.governing import buckling_under, governing_arm, governing_tube
from fieldapp.statics.governs import Governs
from fieldapp.statics.growth import NEAR, Grown
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response, load_factors, response
from fieldapp.statics.second_order import settled
from fieldapp.statics.solved import ALPHA_CR_SMALL_ROTATIONS, Solved
from fieldapp.statics.tube_limits import tube_bound, tube_factors
from fieldapp.statics.tubes import TubeCapacity, most_used

_CHORD = 0.03
"""Use beyond 1 up to which a chord is taken without solving again [1].
Source: our choice; the chord is too low by about its square (S27). Test: tests/statics/test_second_order.py"""
_FAR = 1.0 - 1.0 / ALPHA_CR_SMALL_ROTATIONS
"""Use in first order from which second order is looked at [1].
Source: EN 1993-1-1 (5.4). Test: tests/statics/test_second_order.py"""
_STEEP = 2.0
"""Use beyond which halves go faster than chords [1]. Source: our choice. Test: tests/statics/test_second_order.py"""
_ROUNDS = 60
"""Rounds of the search [1]. Source: our choice. Test: tests/statics/test_second_order.py"""


@dataclass(frozen=True, slots=True, eq=False)
class LoadStep:
    """What grows on top of a stage's weight, per unit, with its partial factor."""

    load: Load
    """k cases."""
    imposed: FloatArray | None = None
    """(k, n, 6) displacements of held degrees of freedom."""
    arms_left: float = 1.0
    """Share of the arms' resistance that is left for a load of that duration."""

    def some(self, cases: IntArray) -> "LoadStep":
        """Some of the cases."""
        return replace(self, load=self.load.cases(cases), imposed=None if self.imposed is None else self.imposed[cases])

    def times(self, factors: FloatArray) -> "LoadStep":
        """Every case times its own factor."""
        each = factors[:, None, None]  # (case, hub or strut, dof)
        return replace(self, load=self.load * each, imposed=None if self.imposed is None else self.imposed * each)


def grown(of: Solved, step: LoadStep, tubes: TubeCapacity, *, most: FloatArray) -> Grown:
    """Largest factor of every case, (k,), up to `most`, (k,).

    Source: (S11), (S27). Test: tests/statics/test_load_limit.py, tests/statics/test_second_order.py
    """
    first, base = response(of.ready, step.load, step.imposed), of.weight * GAMMA_G
    left = step.arms_left
    arms = np.minimum(load_factors(base.components[0] / left, first.components / left), most)
    return _Search(of, step, tubes).reached(tube_factors(base, first, tubes, arms)[0], first, most)


def least_grown(of: Solved, step: LoadStep, tubes: TubeCapacity, *, most: FloatArray) -> Grown:
    """The same for the case that ends first; the others are told no higher than first order lets that one grow.

    Source: (S11), (S16), (S27). Test: tests/statics/test_limits.py, tests/statics/test_second_order.py
    """
    first, base = response(of.ready, step.load, step.imposed), of.weight * GAMMA_G
    left = step.arms_left
    arms = load_factors(base.components[0] / left, first.components / left)
    bound = tube_bound(base, first, tubes, float(min(most.min(initial=np.inf), arms.min(initial=np.inf)))).factor
    return replace(_Search(of, step, tubes).reached(np.full(len(arms), bound), first, most), least=True)


def within(of: Solved, step: LoadStep, tubes: TubeCapacity, most: FloatArray) -> Grown:
    """Largest factors up to `most`, (k,), of the case that ends first; others may be told more than they bear.

    Source: (S27). Test: tests/statics/test_second_order.py
    """
    return _Search(of, step, tubes).reached(most, response(of.ready, step.load, step.imposed), most)


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """k cases solved."""

    use: FloatArray
    """(k,) of the arm or tube that is used most; infinite where a case does not settle."""
    governs: tuple[Governs | None, ...]
    tension_n: FloatArray
    """(k, struts)"""

    def some(self, cases: IntArray) -> "_State":
        """Some of the cases."""
        return _State(self.use[cases], tuple(self.governs[case] for case in cases), self.tension_n[cases])


class _Search:
    """The factor at which use is 1, case by case."""

    def __init__(self, of: Solved, step: LoadStep, tubes: TubeCapacity) -> None:
        self.of, self.step, self.tubes = of, step, tubes
        self.base = of.weight.load * GAMMA_G
        self.tension_n = strut_tension_n(of.weight) * GAMMA_G
        self.alone = self._judged(of.weight * GAMMA_G, np.ones(1, dtype=bool), self.tension_n)

    def reached(self, high: FloatArray, first: Response, most: FloatArray) -> Grown:
        """Down from the factors that the stiffness under weight allows, (k,); `first` is its answer to one unit."""
        if self.alone.use[0] > 1.0 or not len(high):
            return Grown(0 * high, self.alone.governs * len(high),
                           np.repeat(self.tension_n[None], len(high), axis=0))  # (case, 1, strut)
        tension = self.tension_n + strut_tension_n(first) * high[:, None]
        cases = np.flatnonzero(high > 0)
        cases = cases[self._near(first, cases, high[cases])]
        if not len(cases):
            return Grown(high, (None,) * len(high), tension[:, None])
        at_high = self._at(cases, high[cases])
        fits = at_high.use <= 1.0
        factor, governs = np.array(high), list[Governs | None]([None]) * len(high)
        tension[cases] = at_high.tension_n
        for case in np.flatnonzero(fits & (high[cases] < most[cases])):
            governs[cases[case]] = at_high.governs[case]
        over = np.flatnonzero(~fits)
        if len(over):
            low, what, there = self._below(cases[over], high[cases[over]], at_high.some(over))
            factor[cases[over]], tension[cases[over]] = low, there
            for case, one in zip(cases[over], what, strict=True):
                governs[case] = one
        return Grown(factor, tuple(governs), tension[:, None])

    def _near(self, first: Response, cases: IntArray, factors: FloatArray) -> BoolArray:
        """Which of the cases are used so far in first order that second order may bring them to 1.

        Source: (S30): EN 1993-1-1 (5.4), 1 / (1 − 1/α_cr) at α_cr of 3. Test: tests/statics/test_second_order.py
        """
        load = self.step.some(cases).times(factors).load
        each = factors[:, None, None, None]  # (case, strut, station, component)
        arms = (self.of.weight * GAMMA_G).arms + each * first.arms[cases]
        answer = Response(first.stage, first.displacements[cases], arms, self.base + load)
        return np.asarray(self._judged(answer, np.ones(len(cases), dtype=bool), self.tension_n).use > _FAR)

    def _below(self, cases: IntArray, high: FloatArray, at_high: _State
               ) -> tuple[FloatArray, list[Governs | None], FloatArray]:
        """Factors, what governs and axial forces of cases that are used too much at `high`.

        Source: (S27). Test: tests/statics/test_second_order.py
        """
        low, use_low, use_high = np.zeros(len(cases)), np.full(len(cases), self.alone.use[0]), at_high.use.copy()
        high, governs, tension = high.copy(), list(at_high.governs), at_high.tension_n.copy()
        for _ in range(_ROUNDS):
            chord = low + (high - low) * (1.0 - use_low) / (use_high - use_low)
            near = use_high <= 1.0 + _CHORD
            low, use_low = np.where(near, chord, low), np.where(near, 1.0, use_low)
            left = np.flatnonzero((use_low < 1.0 - NEAR) & (high - low > NEAR * high))
            if not len(left):
                break
            at = np.where(use_high <= _STEEP, chord, (low + high) / 2)[left]
            state = self._at(cases[left], at)
            fits = state.use <= 1.0
            low[left[fits]], use_low[left[fits]] = at[fits], state.use[fits]
            high[left[~fits]], use_high[left[~fits]] = at[~fits], state.use[~fits]
            tension[left] = state.tension_n
            for row, what in zip(left, state.governs, strict=True):
                governs[row] = what
        for row in np.flatnonzero((use_low < 1.0 - 2 * NEAR) & ~np.isfinite(use_high)):
            governs[row] = buckling_under(self.of.first_ready, tension[row])
        return low, governs, tension

    def _at(self, cases: IntArray, factors: FloatArray) -> _State:
        """Cases solved, each at its own factor."""
        more = self.step.some(cases).times(factors)
        state = settled(self.of.ready, self.base + more.load, more.imposed)
        return self._judged(state.answer, state.steady, state.tension_n)

    def _judged(self, answer: Response, steady: BoolArray, tension_n: FloatArray) -> _State:
        """What is used most in every case."""
        stage = self.of.stage
        if not len(stage.struts) or not len(steady):
            return _State(np.zeros(len(steady)), (None,) * len(steady), tension_n)
        arms = answer.arm_utilisation.reshape(len(steady), -1) / self.step.arms_left
        arm, (tube, tube_at) = arms.max(axis=1), most_used(answer, self.tubes)
        use = np.where(steady, np.maximum(arm, tube), np.inf)
        governs = tuple(governing_arm(stage, int(of)) if arm[at] >= tube[at] else
                        governing_tube(stage, int(stage.struts[tube_at[at]]))
                        for at, of in enumerate(arms.argmax(axis=1)))
        return _State(np.where(np.isnan(use), np.inf, use), governs, tension_n)
