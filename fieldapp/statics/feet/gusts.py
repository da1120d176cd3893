"""Wind that slides or tips a stage as a whole on its feet, from all directions."""

from dataclasses import replace

import numpy as np

from fieldapp.base.constants import GAMMA_Q, WIND_ACTION_FRACTIONS
from fieldapp.frame.frame import FloatArray
from fieldapp.statics.feet.collapse import CollapseProgram
from fieldapp.statics.feet.middle import MidForces, middle_of
from fieldapp.statics.feet.pushes import TIPS_BELOW, borne_share
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.governs import SLIDES, TIPS, UNKNOWN, Governs
from fieldapp.statics.response import Response
from fieldapp.statics.wind import WindLimit, beaufort, gusts_on, pressure_mpa, wind_directions

BETWEEN_GUSTS = float(np.cos(np.pi / len(wind_directions())) ** 2)
"""What is told of the pressure that is borne in all directions that are looked at: wind between two of them is on the
careful side [1]. Cosine of half the angle between them, squared since drag turns with it and grows with it.
Source: our choice (G8). Test: tests/statics/feet/test_at_once.py"""


def unit_gusts(feet: Feet) -> Response:
    """Answers to a pressure of 1 N/mm² from every direction, with the factor of wind, feet pinned."""
    return gusts_on(feet.of, wind_directions()) * GAMMA_Q


def collapse_in_gusts(feet: Feet, gust: Response, most_m_s: float) -> FeetBound:
    """The gust that slides or tips the frame as a whole, from its worst direction; infinite if over the most. [m/s]

    Source: (G4), (G8). Test: tests/statics/feet/test_at_once.py
    """
    if not feet.rigid.shape[1]:  # people hold it where it could move as a whole
        return FeetBound(np.inf)
    weight = feet.lightest_n
    pressing = feet.pressing_n(gust) * pressure_mpa(most_m_s)
    middle = middle_of(feet)
    if middle is not None and middle.bear(pressing).all():
        return FeetBound(np.inf)
    share = _shares(CollapseProgram(feet, weight, pressing[:1], 1.0), pressing, middle)
    if not np.isfinite(share).all():
        return FeetBound(0.0, Governs(UNKNOWN), settled=False)
    at = int(np.round(share, 6).argmin())
    least = float(share[at])
    if least >= _ALL:
        return FeetBound(np.inf)
    tips = borne_share(feet, weight, pressing[at][None], 1.0, tips_only=True)
    what = TIPS if tips is not None and tips <= TIPS_BELOW * least else SLIDES
    return FeetBound(most_m_s * float(np.sqrt(least * BETWEEN_GUSTS)), Governs(what),
                     from_deg=at * 360.0 / len(share))


def front_collapse_m_s(feet: Feet, gust: Response, most_m_s: float) -> float:
    """The gust from the front alone that slides or tips the frame, at most `most_m_s`; infinite if unknown."""
    if not feet.rigid.shape[1]:
        return np.inf
    share = borne_share(feet, feet.lightest_n, feet.pressing_n(gust)[:1] * pressure_mpa(most_m_s), 1.0)
    return most_m_s * float(np.sqrt(share)) if share else np.inf


_AT_ONCE = 3
"""Every so many directions are looked at first; those between that are proven to bear all of it not at all [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""
_ALL = 1.0 - 1e-6
"""A gust of which this share is found to be borne is borne [1]. Source: our choice, a hundred times what the cone
program is exact to. Test: tests/statics/feet/test_at_once.py"""


_MORE = 2e-6
"""Directions that bear more than the least by this share are not looked at [1]: so much that none of them counts as
equal to it. Source: our choice, twice what shares are rounded to. Test: tests/statics/feet/test_at_once.py"""


def _shares(program: CollapseProgram, pressing: FloatArray, middle: MidForces | None) -> FloatArray:
    """(k,) how much of each gust is borne, at most 1; not a number where that did not settle.

    Of those between the directions that are looked at first, one that is proven to bear more than the least of these is
    given as bearing that.

    Source: (G4), (G8). Test: tests/statics/feet/test_at_once.py
    """
    count = len(pressing)
    share, forces = np.full(count, np.nan), [np.zeros(0)] * count
    first = range(0, count, _AT_ONCE)
    for at in first:
        share[at], forces[at] = _looked(program, pressing[at])
    left = [at for at in range(count) if at not in first]
    least = float(share[list(first)].min())
    all_of_it = least >= _ALL
    if left and (all_of_it or (least > 0 and middle is not None)):
        level = 1.0 if all_of_it else least + _MORE
        there = {at: forces[at] if middle is None or all_of_it else
                 _part_of(forces[at], level / share[at], middle.own_n.ravel() / program.scale_n) for at in first}
        part = np.array([at % _AT_ONCE / _AT_ONCE for at in left])[:, None]
        before, after = (np.array([there[(at - at % _AT_ONCE + more) % count] for at in left])
                         for more in (0, _AT_ONCE))
        borne = program.bears(level * pressing[left], (1 - part) * before + part * after)
        if middle is not None:
            borne |= middle.bear(level * pressing[left])
        share[[at for at, good in zip(left, borne, strict=True) if good]] = level
        left = [at for at, good in zip(left, borne, strict=True) if not good]
    for at in left:
        share[at], _forces = _looked(program, pressing[at])
    return share


def _part_of(forces: FloatArray, part: float, alone: FloatArray) -> FloatArray:
    """Forces that bear a part of a gust, from those that bear all of it and those under the weight alone."""
    return np.asarray(alone + part * (forces - alone))


def _looked(program: CollapseProgram, pressing: FloatArray) -> tuple[float, FloatArray]:
    """How much of one gust is borne, and the forces that bear it."""
    found = program.load(pressing[None]).farthest(np.ones(1))
    if not found.settled:
        return np.nan, found.forces
    return max(float(found.loads[0]), 0.0) if found.stands else 0.0, found.forces


def as_wind_limit(bound: FeetBound, pinned: WindLimit) -> WindLimit:
    """The bound as a wind limit: what follows from the speed goes with it; the pull stays that of pinned feet.

    Source: (S17): forecasts and gusts are in one proportion. Test: tests/statics/feet/test_at_once.py
    """
    limit = bound.limit(pinned.kind)
    if limit.value >= pinned.value:
        return pinned
    part = limit.value / pinned.value
    first, last = (limit.value * share for share in WIND_ACTION_FRACTIONS)
    from_deg = pinned.from_deg if bound.from_deg is None else bound.from_deg
    return replace(pinned, value=limit.value, governs=limit.governs, forecast_m_s=pinned.forecast_m_s * part,
                   beaufort=beaufort(pinned.forecast_m_s * part), act_first_m_s=first, act_last_m_s=last,
                   from_deg=from_deg)
