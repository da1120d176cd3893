"""Fit-up: what errors of length and angle do to the closing struts and lock into the arms.

Said of the worst arm of the frame, in one frame of twenty. What classes alone lock in is known and enters as it is.
The rest is drawn: frames whose struts and arms err evenly within ± the tolerance of the design, each by itself or all
of a class alike (see `misfits`); whichever is worse is told. The draws are the same in every run.
"""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.errors import PlanError
from fieldapp.base.said import say
from fieldapp.base.units import deg_from_rad
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case
from fieldapp.plan.drawn import drawn_response, in_lots, tolerances
from fieldapp.plan.fit_limits import OneKind, in_proportion, largest_error, told
from fieldapp.plan.lack_of_fit import Closing, closings
from fieldapp.plan.locked import forced_fit, settled
from fieldapp.plan.misfits import DIPS, Together, known_errors, together
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.response import STATIONS
from fieldapp.statics.stiffness import Factored, Unstable

EVENLY_SPREAD = 1.0 / math.sqrt(3.0)
"""Standard deviation of an error that lies evenly within ± 1 [1]. Source: exact (P6). Test: tests/plan/test_fitup.py"""
NORMAL_95 = 1.959964
"""Nineteen of twenty lie within ± this many standard deviations, both sides [1].
Source: normal distribution (P9). Test: tests/plan/test_fitup.py"""
ACCEPTABLE_UTILISATION = 0.2
"""Locked-in utilisation that should not be passed: a fifth of an arm is gone before anybody leans on it [1].
Source: our choice. Test: tests/plan/test_fitup.py"""


@dataclass(frozen=True, slots=True)
class LevelGap:
    """How badly the closing strut of a level fits."""

    level: int
    strut: str
    known_mm: float
    """What classes alone do to it; positive: the strut is too long."""
    expected_mm: float
    """Mean size of the gap, too short or too long alike."""
    within_mm: float
    """Nineteen of twenty frames stay within ± this."""


@dataclass(frozen=True, slots=True)
class FitUp:
    """What the tolerances of a design mean for its raising."""

    length_error_mm: float
    angle_error_deg: float
    locked_utilisation: float
    """Arm utilisation locked into the worst arm of the frame; one frame in twenty has more."""
    strut: str
    """Whose arm it most often is."""
    known_utilisation: float
    """Of it, what is certain: parts of one class are made alike though their places differ."""
    known_strut: str
    """Whose arm has most of that."""
    length_limit_mm: float
    """Length error that keeps it acceptable, at the angle error of the design; 0 if that alone is too much."""
    angle_limit_deg: float
    """Angle error that keeps it acceptable, at the length error of the design; 0 if that alone is too much."""
    both_mm: float
    both_deg: float
    """A pair that keeps it acceptable, both changed in proportion; 0 if none does."""
    gaps: tuple[LevelGap, ...]


def fit_up(case: Case, plan: Plan) -> FitUp:
    """What the length and angle errors of the design do to a plan.

    Source: (P6), (P8), (P10), (P18). Test: tests/plan/test_fitup.py

    Raises
    ------
    PlanError
        If the finished frame does not stand, so that there is nothing to fit.
    """
    stage = analysis(case, replace(fitted_after(plan, len(plan.steps)), held=plan.steps[-1].holds))
    ready = settled(case, stage.fitted, stage.tied)
    if isinstance(ready, Unstable):
        raise PlanError(say("fit-up cannot be judged: the frame {what}", what=ready.said))
    certain = forced_fit(ready, known_errors(case).at(ready.stage.struts))
    parts = certain.components / ready.stage.model.arm_lasting  # (1, station, component)
    drawn, (most, at) = _drawn(case, ready, parts), _worst(parts)
    locked, known, (length_mm, angle_rad) = told(drawn.whole), float(most[0]), tolerances(case)
    share = in_proportion(locked, known, ACCEPTABLE_UTILISATION)
    names = case.model.strut_names
    return FitUp(
        length_mm, deg_from_rad(angle_rad), locked, names[drawn.most_often], known, names[_struts(ready, at)[0]],
        length_limit_mm=largest_error(drawn.by_length, length_mm, ACCEPTABLE_UTILISATION),
        angle_limit_deg=deg_from_rad(largest_error(drawn.by_angle, angle_rad, ACCEPTABLE_UTILISATION)),
        both_mm=share * length_mm if length_mm else 0.0,
        both_deg=deg_from_rad(share * angle_rad) if angle_rad else 0.0, gaps=tuple(level_gaps(case, plan)))


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """Worst arms of drawn frames, for each of l ways in which lengths err together, a ways of angles."""

    struts: IntArray
    """(l, a, draws) whose arm is the worst, by number."""
    whole: FloatArray
    """(l, a, draws) with what is known and both kinds of error."""
    with_length: FloatArray
    """(l, draws) with what is known and errors of length alone."""
    with_angle: FloatArray
    """(a, draws) with what is known and errors of angle alone."""
    per_mm: FloatArray
    """(l, draws) by errors of length within ± 1 mm."""
    per_rad: FloatArray
    """(a, draws) by errors of angle within ± 1 rad."""

    @property
    def most_often(self) -> int:
        """The strut whose arm it most often is, where most is locked in."""
        way = max(np.ndindex(self.whole.shape[:2]), key=lambda at: told(self.whole[at]))
        return int(Counter(self.struts[way].tolist()).most_common(1)[0][0])

    @property
    def by_length(self) -> OneKind:
        """Lengths change, angles stay."""
        return OneKind(*np.broadcast_arrays(self.whole, self.per_mm[:, None], self.with_angle))

    @property
    def by_angle(self) -> OneKind:
        """Angles change, lengths stay."""
        return OneKind(*np.broadcast_arrays(self.whole, self.per_rad, self.with_length[:, None]))


def _drawn(case: Case, ready: Factored, known: FloatArray) -> _Drawn:
    """All draws, in lots that take little memory.

    Source: (P8). Test: tests/plan/test_fitup.py
    """
    found = [_lot(case, ready, known, draws) for draws in in_lots(ready)]
    # (how lengths err, how angles err, draw) or (how they err, draw)
    return _Drawn(*(np.concatenate(parts, axis=-1) for parts in zip(*found, strict=True)))


def _lot(case: Case, ready: Factored, known: FloatArray, draws: IntArray) -> tuple[FloatArray, ...]:
    """What `_Drawn` keeps, of some draws."""
    (length_mm, angle_rad), (lengths, angles) = tolerances(case), together(case)
    # (draw, station, component) for each way of erring
    by_length = [_components(ready, way, draws, of_length=1.0) for way in lengths]
    by_angle = [_components(ready, way, draws, of_angle=1.0) for way in angles]
    both = [[_worst(known + length_mm * one + angle_rad * other) for other in by_angle] for one in by_length]
    return (np.array([[_struts(ready, at) for _, at in row] for row in both]),
            np.array([[use for use, _ in row] for row in both]),
            np.array([_worst(known + length_mm * one)[0] for one in by_length]),
            np.array([_worst(known + angle_rad * one)[0] for one in by_angle]),
            np.array([_worst(one)[0] for one in by_length]), np.array([_worst(one)[0] for one in by_angle]))


def _components(ready: Factored, way: Together, draws: IntArray, *, of_length: float = 0.0,
                of_angle: float = 0.0) -> FloatArray:
    """(draws, stations, 3) parts of arm utilisation by errors that lie evenly within ± so many mm or rad."""
    locked = drawn_response(ready, way, draws, of_length=of_length, of_angle=of_angle)
    return locked.components / ready.stage.model.arm_lasting


def _struts(ready: Factored, stations: IntArray) -> IntArray:
    """The numbers of the struts that stations are on."""
    return np.asarray(ready.stage.struts[stations // STATIONS])


def _worst(components: FloatArray) -> tuple[FloatArray, IntArray]:
    """(k,) utilisation of the worst arm, and the number of its station, of (k, stations, 3)."""
    each = np.abs(components)
    use = each[:, :, 0] + each[:, :, 1] + each[:, :, 2]
    return use.max(axis=1), use.argmax(axis=1)


def level_gaps(case: Case, plan: Plan) -> Iterator[LevelGap]:
    """The gap at the strut that closes each level, when all before it are in: known, and what variances add (P6, P9).

    Source: (P9). Test: tests/plan/test_fitup.py
    """
    length_mm, angle_rad = tolerances(case)
    known, (lengths, angles) = known_errors(case).columns[0], together(case)
    for closing in closings(case, plan):
        long, out, within = closing.per_unit[:, 0], closing.per_unit[:, 1:3] * DIPS, closing.per_unit[:, 3:]
        squares = (length_mm**2 * max(_square((long, way.length)) for way in lengths)
                   + angle_rad**2 * max(_square((out, way.out), (within, way.within)) for way in angles))
        yield _gap(closing, float((closing.per_unit * known).sum()), EVENLY_SPREAD * math.sqrt(squares))


def _square(*kinds: tuple[FloatArray, IntArray]) -> float:
    """Sum of squares over independent errors, of what one unit of each does wherever it occurs."""
    return sum(float(np.square(np.bincount(numbers.ravel(), per_unit.ravel())).sum()) for per_unit, numbers in kinds)


def _gap(closing: Closing, known_mm: float, deviation_mm: float) -> LevelGap:
    """The mean size of a normal number about what is known, and a bound of nineteen of twenty."""
    if deviation_mm == 0.0:
        return LevelGap(closing.level, closing.strut, known_mm, abs(known_mm), abs(known_mm))
    ratio = known_mm / (deviation_mm * math.sqrt(2.0))
    expected_mm = deviation_mm * math.sqrt(2.0 / math.pi) * math.exp(-ratio**2) + known_mm * math.erf(ratio)
    return LevelGap(closing.level, closing.strut, known_mm, expected_mm, abs(known_mm) + NORMAL_95 * deviation_mm)
