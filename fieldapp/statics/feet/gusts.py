"""Wind on a stage whose feet may slide and lift, from all directions: loose, and held as planned."""

from dataclasses import replace

import numpy as np

from fieldapp.base.constants import GAMMA_G_HOLDING, GAMMA_Q, WIND_ACTION_FRACTIONS
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.feet.collapse import CollapseProgram
from fieldapp.statics.feet.ending import first_to_end
from fieldapp.statics.feet.pushes import NEAR_COLLAPSE, TIPS_BELOW
from fieldapp.statics.feet.records import FeetBound, FeetWind
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.feet.starts import starts_of
from fieldapp.statics.governs import SLIDES, TIPS, UNKNOWN, Governs
from fieldapp.statics.response import Response, response
from fieldapp.statics.tubes import TubeCapacity
from fieldapp.statics.wind import WindLimit, beaufort, pressure_mpa, wind_directions

BETWEEN_GUSTS = float(np.cos(np.pi / len(wind_directions())) ** 2)
"""What is told of the pressure that is borne in all directions that are looked at: wind between two of them is on the
careful side [1]. Cosine of half the angle between them, squared since drag turns with it and grows with it.
Source: our choice (G8). Test: tests/statics/feet/test_at_once.py"""


def feet_wind(feet: Feet, tubes: TubeCapacity, pinned: WindLimit) -> FeetWind:
    """Gusts at the frame that loose feet and held feet bear, feet followed in detail. [m/s]

    Source: (G8). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    feet : Feet
        The stage, and its footing with what holds the feet as planned.
    tubes : TubeCapacity
        What the tubes can take.
    pinned : WindLimit
        On pinned feet; nothing above is looked at.
    """
    loose = replace(feet, on=feet.on.loose)
    return FeetWind(gust_bound(loose, tubes, pinned), gust_bound(feet, tubes, pinned) if feet.on.is_held else None)


def gust_bound(feet: Feet, tubes: TubeCapacity, pinned: WindLimit) -> FeetBound:
    """The gust that these feet bear. [m/s]

    Source: (G8). Test: tests/statics/feet/test_at_once.py
    """
    gust, most = unit_gusts(feet), 1.0
    whole = collapse_in_gusts(feet, gust, pinned)
    if not whole.settled or whole.value == 0:
        return whole
    asked = min(most, NEAR_COLLAPSE * (whole.value / max(pinned.value, 1e-9)) ** 2)
    end = first_to_end(starts_of(feet), tubes, gust * pressure_mpa(pinned.value), np.full(len(gust.arms), asked))
    if end.case < 0:
        return whole if np.isfinite(whole.value) else FeetBound(np.inf)
    speed = pinned.value * float(np.sqrt(end.bound.value * BETWEEN_GUSTS))
    return replace(end.bound, value=speed, from_deg=end.case * 360.0 / len(gust.arms)) if speed < whole.value else whole


def unit_gusts(feet: Feet) -> Response:
    """Answers to a pressure of 1 N/mm² from every direction, with the factor of wind, feet pinned."""
    return response(feet.of.ready, loads.wind(feet.of.stage, wind_directions())) * GAMMA_Q


def collapse_in_gusts(feet: Feet, gust: Response, pinned: WindLimit) -> FeetBound:
    """The gust that slides or tips the frame as a whole, from its worst direction; infinite if over `pinned`. [m/s]

    Source: (G4), (G8). Test: tests/statics/feet/test_at_once.py
    """
    weight = GAMMA_G_HOLDING * (feet.pressing_n(feet.of.weight) + feet.ballast_n(np.zeros((1, feet.count))))[0]
    pressing = feet.pressing_n(gust) * pressure_mpa(pinned.value)
    shares = [_borne(feet, weight, one) for one in pressing]
    if any(share is None for share in shares):
        return FeetBound(0.0, Governs(UNKNOWN), settled=False)
    share = np.array(shares, dtype=np.float64)
    at = int(np.round(share, 6).argmin())
    if share[at] >= 1.0:
        return FeetBound(np.inf)
    tips = _borne(feet, weight, pressing[at], tips_only=True)
    what = TIPS if tips is not None and tips <= TIPS_BELOW * share[at] else SLIDES
    return FeetBound(pinned.value * float(np.sqrt(share[at] * BETWEEN_GUSTS)), Governs(what),
                     from_deg=at * 360.0 / len(share))


def _borne(feet: Feet, weight: FloatArray, pressing: FloatArray, *, tips_only: bool = False) -> float | None:
    """How much of one load the feet bear as a whole; None if that did not settle."""
    if not feet.rigid.shape[1]:  # people hold it where it could move as a whole
        return 1.0
    found = CollapseProgram(feet, weight, pressing[None], 1.0, tips_only=tips_only).farthest(np.ones(1))
    if not found.settled:
        return None
    return max(float(found.loads[0]), 0.0) if found.stands else 0.0


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
