"""Fit-up: what errors of length and angle do to the closing struts and lock into the arms.

Every strut's length and every arm's direction (out of and within the hub's plane) err independently,
evenly spread within ± the tolerance of the design. The frame answers linearly, so that variances add; what one
unit of each error does is worked out in `lack_of_fit`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.errors import PlanError
from fieldapp.base.said import say
from fieldapp.base.units import deg_from_rad, rad_from_deg
from fieldapp.frame.frame import FloatArray
from fieldapp.plan.case import Case
from fieldapp.plan.lack_of_fit import ERRORS, closings, components_per_unit, in_shares, settled
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.plan.symmetry import struts_alike
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
    """Arm utilisation locked into the worst arm; one frame in twenty has more there."""
    strut: str
    """Whose arm it is."""
    length_limit_mm: float
    """Largest length error that keeps it acceptable, at the angle error of the design; 0 if that alone is too much."""
    angle_limit_deg: float
    """Largest angle error that keeps it acceptable, at the length error of the design; 0 if that alone is too much."""
    both_mm: float
    both_deg: float
    """A pair that keeps it acceptable, each error taking half of the variance."""
    gaps: tuple[LevelGap, ...]


def fit_up(case: Case, plan: Plan) -> FitUp:
    """What the length and angle errors of the design do to a plan.

    Source: (P6), (P10). Test: tests/plan/test_fitup.py

    Raises
    ------
    PlanError
        If the finished frame does not stand, so that there is nothing to fit.
    """
    length_mm, angle_rad = _tolerances(case)
    stage = analysis(case, replace(fitted_after(plan, len(plan.steps)), held=plan.steps[-1].holds))
    ready = settled(case, stage.fitted, stage.tied)
    if isinstance(ready, Unstable):
        raise PlanError(say("fit-up cannot be judged: the frame {what}", what=ready.said))
    lengths, angles = _covariances(case, ready)
    locked, at = _largest_utilisation(lengths * length_mm**2 + angles * angle_rad**2)
    (per_mm, _), (per_rad, _) = _largest_utilisation(lengths), _largest_utilisation(angles)
    half = ACCEPTABLE_UTILISATION / math.sqrt(2.0)
    return FitUp(
        length_mm, deg_from_rad(angle_rad), locked, case.model.strut_names[int(ready.stage.struts[at // 4])],
        length_limit_mm=_left(per_rad * angle_rad, per_mm),
        angle_limit_deg=deg_from_rad(_left(per_mm * length_mm, per_rad)),
        both_mm=_share(half, per_mm), both_deg=deg_from_rad(_share(half, per_rad)), gaps=tuple(level_gaps(case, plan)))


def _largest_utilisation(covariances: FloatArray) -> tuple[float, int]:
    """The arm utilisation that the worst station passes in one frame of twenty, and its number.

    A station's use is the sum of the sizes of three correlated normal parts. Its 95 % point has no
    closed form and is read off a fixed sample; only stations whose variance may win are looked at.

    Source: (P8). Test: tests/plan/test_fitup.py
    """
    size = np.einsum("sii->s", covariances)
    most, at = 0.0, int(size.argmax())
    for station in np.argsort(-size)[:_CLOSEST]:
        use = np.abs(_STANDARD @ _root(covariances[station])).sum(axis=1)
        worst = EVENLY_SPREAD * float(np.quantile(use, _NINETEEN_OF_TWENTY))
        most, at = max((most, at), (worst, int(station)))
    return most, at


def _root(covariance: FloatArray) -> FloatArray:
    """Symmetric square root of a (3, 3) covariance."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)) @ vectors.T)


_NINETEEN_OF_TWENTY = 0.95
"""Share of the frames that stay below what is told [1].
Source: our choice, the 5 % fractile of EN 1990 from the other side. Test: tests/plan/test_fitup.py"""
_CLOSEST = 24
"""Stations of largest variance that are looked at [1]. Source: our choice (P8). Test: tests/plan/test_fitup.py"""
_STANDARD = np.random.default_rng(0).standard_normal((20_000, 3))
"""(20 000, 3) fixed sample of three independent standard normal numbers [1].
Source: our choice (P8). Test: tests/plan/test_fitup.py"""


def _tolerances(case: Case) -> tuple[float, float]:
    return case.design.strut.length_error_mm, rad_from_deg(case.design.hub.angle_error_deg)


def _left(taken: float, per_unit: float) -> float:
    """The error that fills the acceptable use when `taken` of it is gone already."""
    return _share(math.sqrt(max(0.0, ACCEPTABLE_UTILISATION**2 - taken**2)), per_unit)


def _share(use: float, per_unit: float) -> float:
    """The error that uses an arm so much; infinite if it does nothing to arms."""
    return use / per_unit if per_unit > 0 else math.inf


def _covariances(case: Case, ready: Factored) -> tuple[FloatArray, FloatArray]:
    """(stations, 3, 3) sums of products of the parts of arm utilisation, per mm² and per rad², of the finished frame.

    Worked out for one of the struts that sit alike; the stations of the others stay zero (P7).
    """
    struts = ready.stage.struts
    index = {case.model.strut_names[int(number)]: at for at, number in enumerate(struts)}
    chosen = [index[group[0]] for group in struts_alike(case.frame, list(index))]
    sums = np.zeros((2, len(struts), 4, 3, 3))  # (kind of error, strut, station, component, component)
    for some in in_shares(chosen):
        # (strut, station, component, strut with the error, error)
        parts = components_per_unit(ready, some).reshape(len(some), 4, 3, len(struts), ERRORS)
        for kind, of_kind in enumerate((parts[..., :1], parts[..., 1:])):
            # (strut, station, component, component)
            sums[kind, some] = np.einsum("ksame,ksbme->ksab", of_kind, of_kind)
    return sums[0].reshape(-1, 3, 3), sums[1].reshape(-1, 3, 3)  # (strut and station, component, component)


def level_gaps(case: Case, plan: Plan) -> Iterator[LevelGap]:
    """The gap at the strut that closes each level, when all before it are in: variances of all errors add (P6, P9)."""
    length_mm, angle_rad = _tolerances(case)
    for closing in closings(case, plan):
        square = np.square(closing.per_unit)
        variance = EVENLY_SPREAD**2 * float(square[:, 0].sum() * length_mm**2 + square[:, 1:].sum() * angle_rad**2)
        yield LevelGap(closing.level, closing.strut, math.sqrt(variance * 2.0 / math.pi),
                      NORMAL_95 * math.sqrt(variance))
