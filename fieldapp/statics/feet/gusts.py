"""Wind that slides or tips a stage as a whole on its feet, from all directions."""

from dataclasses import replace

import numpy as np

from fieldapp.base.constants import GAMMA_Q, WIND_ACTION_FRACTIONS
from fieldapp.statics import loads
from fieldapp.statics.feet.pushes import TIPS_BELOW, borne_share, lightest_n
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.governs import SLIDES, TIPS, UNKNOWN, Governs
from fieldapp.statics.response import Response, response
from fieldapp.statics.wind import WindLimit, beaufort, pressure_mpa, wind_directions

BETWEEN_GUSTS = float(np.cos(np.pi / len(wind_directions())) ** 2)
"""What is told of the pressure that is borne in all directions that are looked at: wind between two of them is on the
careful side [1]. Cosine of half the angle between them, squared since drag turns with it and grows with it.
Source: our choice (G8). Test: tests/statics/feet/test_at_once.py"""


def unit_gusts(feet: Feet) -> Response:
    """Answers to a pressure of 1 N/mm² from every direction, with the factor of wind, feet pinned."""
    return response(feet.of.ready, loads.wind(feet.of.stage, wind_directions())) * GAMMA_Q


def collapse_in_gusts(feet: Feet, gust: Response, pinned: WindLimit) -> FeetBound:
    """The gust that slides or tips the frame as a whole, from its worst direction; infinite if over `pinned`. [m/s]

    Source: (G4), (G8). Test: tests/statics/feet/test_at_once.py
    """
    if not feet.rigid.shape[1]:  # people hold it where it could move as a whole
        return FeetBound(np.inf)
    weight = lightest_n(feet)
    pressing = feet.pressing_n(gust) * pressure_mpa(pinned.value)
    shares = [borne_share(feet, weight, one[None], 1.0) for one in pressing]
    if any(share is None for share in shares):
        return FeetBound(0.0, Governs(UNKNOWN), settled=False)
    share = np.array(shares, dtype=np.float64)
    at = int(np.round(share, 6).argmin())
    least = float(share[at])
    if least >= 1.0:
        return FeetBound(np.inf)
    tips = borne_share(feet, weight, pressing[at][None], 1.0, tips_only=True)
    what = TIPS if tips is not None and tips <= TIPS_BELOW * least else SLIDES
    return FeetBound(pinned.value * float(np.sqrt(least * BETWEEN_GUSTS)), Governs(what),
                     from_deg=at * 360.0 / len(share))


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
