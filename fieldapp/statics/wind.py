"""Wind on the bare stage: pressure by height and terrain; speed at which an arm or tube reaches its design value."""

import math
from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import (
    BEAUFORT_BEGINS_M_S,
    GAMMA_G_HOLDING,
    GAMMA_Q,
    ON_LADDERS_M_S,
    TERRAIN_LEAST_HEIGHT_M,
    TERRAIN_ROUGHNESS_M,
    WIND_ACTION_FRACTIONS,
    WIND_PRESSURE_PA_PER_M2_S2,
)
from fieldapp.base.remembered import remembered
from fieldapp.base.units import m_from_mm
from fieldapp.frame.frame import FloatArray
from fieldapp.statics import loads
from fieldapp.statics.governs import LADDERS, WIND, Governs, Limit
from fieldapp.statics.growth import by_every_theory
from fieldapp.statics.growth_search import LoadStep, least_grown, within
from fieldapp.statics.response import Response, response
from fieldapp.statics.solved import Solved
from fieldapp.statics.tubes import TubeCapacity

_FACTOR_II = 0.19
"""k_r of terrain category II [1]. Source: EN 1991-1-4 (4.5). Test: tests/reference/test_en_1991_1_4.py"""
_ROUGHNESS_POWER = 0.07
"""Power of z₀ / z₀,II in k_r [1]. Source: EN 1991-1-4 (4.5). Test: tests/reference/test_en_1991_1_4.py"""
_GUST_PEAK = 7.0
"""Peak factor on the turbulence intensity I_v, twice 3.5 [1].
Source: EN 1991-1-4 (4.8). Test: tests/reference/test_en_1991_1_4.py"""

DIRECTIONS = 24
"""Horizontal wind directions that are tried, every 15° [1].
Source: our choice (S16). Test: tests/statics/test_limits.py"""
_PA_PER_MPA = 1e6
"""Pascals of one N/mm² [Pa/MPa]. Source: exact. Test: tests/statics/test_limits.py"""
STRONGEST_M_S = 100.0
"""Speeds above count as this: no storm reaches it [m/s]. Source: our choice. Test: tests/statics/test_limits.py"""


def exposure_factor(height_m: float, terrain: str) -> float:
    """Peak pressure at a height ÷ pressure of the mean wind in the open at 10 m.

    Source: (S17): EN 1991-1-4 (4.4), (4.5), (4.7), (4.8). Test: tests/reference/test_en_1991_1_4.py

    Parameters
    ----------
    height_m : float
        Above the ground. [m]
    terrain : str
        Category "0", "I", "II", "III" or "IV".

    Notes
    -----
    c_e = (1 + 7 I_v) c_r², c_r = k_r ln(z/z₀), k_r = 0.19 (z₀/0.05)^0.07, I_v = 1/ln(z/z₀); EN 1991-1-4 (4.4),
    (4.5), (4.7), (4.8), flat ground.

    Examples
    --------
    >>> round(exposure_factor(8.0, "III"), 2)
    1.57
    """
    roughness = TERRAIN_ROUGHNESS_M[terrain]
    log = math.log(max(height_m, TERRAIN_LEAST_HEIGHT_M[terrain]) / roughness)
    mean = _FACTOR_II * (roughness / TERRAIN_ROUGHNESS_M["II"]) ** _ROUGHNESS_POWER * log
    return float((1 + _GUST_PEAK / log) * mean**2)


def gust_ratio(terrain: str) -> float:
    """Gust ÷ ten-minute mean of the same place, as large as it gets: near the ground, where wind is roughest.

    Source: (S17): EN 1991-1-4 (4.7), (4.8), the root of 1 + 7 I_v at the least height of the terrain.
    Test: tests/reference/test_en_1991_1_4.py

    Examples
    --------
    >>> round(gust_ratio("II"), 2)
    1.7
    """
    return math.sqrt(1 + _GUST_PEAK / math.log(TERRAIN_LEAST_HEIGHT_M[terrain] / TERRAIN_ROUGHNESS_M[terrain]))


def sign_below(gust_m_s: float, terrain: str) -> int:
    """The highest Beaufort number whose signs show while gusts at the frame are not yet above this; 0 if none.

    Its number is a mean of ten minutes: the gusts that belong to where it begins count.

    Source: (S17). Test: tests/reference/test_en_1991_1_4.py

    Examples
    --------
    >>> [sign_below(gust, "II") for gust in (2.0, 5.5, 8.0)]
    [1, 2, 3]
    """
    return beaufort(gust_m_s / gust_ratio(terrain))


def forecast_m_s(pressure_pa: float, height_m: float, terrain: str) -> float:
    """Mean wind (10 minutes, open country, 10 m high: what a forecast gives) whose gusts bring this pressure [m/s].

    Source: (S17). Test: tests/reference/test_en_1991_1_4.py
    """
    return math.sqrt(pressure_pa / (WIND_PRESSURE_PA_PER_M2_S2 * exposure_factor(height_m, terrain)))


@dataclass(frozen=True, slots=True, kw_only=True)
class WindLimit(Limit):
    """Wind that a bare stage bears; the value is the gust at the frame, which an anemometer there shows [m/s]."""

    forecast_m_s: float
    """Mean wind of a forecast (10 minutes, open country, 10 m) that brings such gusts."""
    beaufort: int
    """Of that mean wind: Beaufort numbers are means, not gusts."""
    act_first_m_s: float
    """60 % of the limit: stop adding, prepare."""
    act_last_m_s: float
    """80 % of the limit: clear the frame."""
    from_deg: float
    """Where that wind comes from: 0 is the front mark, clockwise seen from above."""
    uplift_n: float
    """Largest pull on one ground hub at the limit: ballast or pegs must hold it."""
    lift_off_m_s: float
    """Gust from which the first ground hub needs ballast or pegs (0.9 × weight against 1.5 × wind)."""

    @property
    def speed_m_s(self) -> float:
        """The gust [m/s]."""
        return self.value

    @property
    def at_work(self) -> "AtWork":
        """What people act at who raise or strike: by the frame, or before it by those of them on ladders.

        Source: (S17); our choice for people on ladders. Test: tests/wording/test_winds.py
        """
        own = (self.act_first_m_s, self.act_last_m_s)
        first, last = (min(pair) for pair in zip(own, ON_LADDERS_M_S, strict=True))
        return AtWork(first, last, self.governs if last == own[1] else Governs(LADDERS))


@dataclass(frozen=True, slots=True)
class AtWork:
    """Gusts at which those act who work at a frame [m/s]."""

    first_m_s: float
    """Add or take out nothing, come off ladders."""
    last_m_s: float
    """Get clear."""
    governs: Governs | None
    """What sets the second."""


def beaufort(speed_m_s: float) -> int:
    """Beaufort number of a wind speed.

    Examples
    --------
    >>> [beaufort(v) for v in (5.4, 5.5, 8.0, 13.9)]
    [3, 4, 5, 7]
    """
    return int(np.searchsorted(BEAUFORT_BEGINS_M_S, speed_m_s, side="right")) - 1


def wind_directions() -> FloatArray:
    """(24, 3) unit vectors of where the wind blows to; the first comes from the front mark (blows to +y)."""
    angle = np.arange(DIRECTIONS) * 2 * np.pi / DIRECTIONS
    return np.stack((np.sin(angle), np.cos(angle), np.zeros(DIRECTIONS)), axis=1)  # (direction, axis)


def wind_limit(of: Solved, capacity: TubeCapacity, *, terrain: str = "II") -> WindLimit:
    """Largest gust on the bare struts, from any of 24 directions, in second order; see `loads.wind` for the force.

    Speeds above 100 m/s count as 100. The
    terrain category turns the gust into the mean wind of a forecast, at the height of the top hub.

    Source: (S16), (S27), (S30). Test: tests/statics/test_limits.py, tests/statics/test_second_order.py
    """
    step = LoadStep(gusts_on(of, wind_directions()).load * GAMMA_Q)
    ends = np.full(DIRECTIONS, pressure_mpa(STRONGEST_M_S))
    reached = by_every_theory(of, lambda one, cap: least_grown(one, step, capacity, most=ends if cap is None else cap))
    at = reached.lowest
    told = Limit(WIND, speed_m_s(float(reached.factor[at])), governs=reached.governs[at])
    return wind_limit_at(of, told, at * 360.0 / DIRECTIONS, terrain=terrain)


def bears_gust(of: Solved, capacity: TubeCapacity, gust_m_s: float) -> bool:
    """True if the bare struts bear a gust from all of 24 directions, in second order; cheaper than how much they bear.

    Source: (S16), (S27), (S30). Test: tests/statics/test_limits.py
    """
    step = LoadStep(gusts_on(of, wind_directions()).load * GAMMA_Q)
    ends = np.full(DIRECTIONS, pressure_mpa(gust_m_s))
    reached = by_every_theory(of, lambda one, cap: within(one, step, capacity, ends if cap is None else cap))
    return bool((reached.factor >= ends).all())


@remembered(4, by=lambda of, blowing: (of, blowing.tobytes()))
def gusts_on(of: Solved, blowing: FloatArray) -> Response:
    """Answers to a pressure of 1 N/mm² that blows along each of k unit vectors, (k, 3); kept for the last stages."""
    return response(of.ready, loads.wind(of.stage, blowing))


def wind_limit_at(of: Solved, told: Limit, from_deg: float, *, terrain: str) -> WindLimit:
    """A limit on the gust, with all that follows from it.

    Source: (S16), (S17). Test: tests/statics/test_limits.py
    """
    pressure, gust = pressure_mpa(told.value), gusts_on(of, wind_directions())
    first, last = (told.value * part for part in WIND_ACTION_FRACTIONS)
    top_m = m_from_mm(float(of.stage.model.nodes_mm[of.stage.hubs, 2].max()))
    mean = forecast_m_s(pressure * _PA_PER_MPA, top_m, terrain)
    at = round(from_deg * DIRECTIONS / 360.0)
    return WindLimit(WIND, told.value, governs=told.governs, forecast_m_s=mean, beaufort=beaufort(mean),
                     act_first_m_s=first, act_last_m_s=last, from_deg=from_deg,
                     uplift_n=_uplift_n(of, gust, at, pressure), lift_off_m_s=_lift_off_m_s(of, gust))


def speed_m_s(pressure_mpa: float) -> float:
    """Gust that brings this pressure [m/s], from N/mm².

    Source: EN 1991-1-4 (4.10). Test: tests/statics/test_limits.py
    """
    return float(np.sqrt(pressure_mpa * _PA_PER_MPA / WIND_PRESSURE_PA_PER_M2_S2))


def pressure_mpa(speed_m_s: float) -> float:
    """Pressure of a gust [N/mm²].

    Source: EN 1991-1-4 (4.10). Test: tests/statics/test_limits.py
    """
    return WIND_PRESSURE_PA_PER_M2_S2 * speed_m_s**2 / _PA_PER_MPA


def _uplift_n(of: Solved, gust: Response, at: int, pressure: float) -> float:
    """Largest downward hold that a ground hub needs under weight and gust (characteristic)."""
    displacements = of.weight.displacements + pressure * gust.displacements[at:at + 1]
    hold = of.ready.reactions(displacements, of.weight.load.hubs_n + pressure * gust.load.hubs_n[at:at + 1])
    return max(0.0, -float(hold[0, :, 2].min(initial=0.0)))


def _lift_off_m_s(of: Solved, gust: Response) -> float:
    """Gust at which the first ground hub stops pressing on the ground.

    Source: (S16). Test: tests/statics/test_limits.py
    """
    down = of.ready.reactions(of.weight.displacements, of.weight.load.hubs_n)[:, :, 2] * GAMMA_G_HOLDING
    lifting = -of.ready.reactions(gust.displacements, gust.load.hubs_n)[:, :, 2] * GAMMA_Q
    pressure = np.where(lifting > 0, np.maximum(down, 0.0) / np.where(lifting > 0, lifting, 1.0), np.inf)
    least = min(float(pressure[:, of.stage.fixed[:, 2]].min(initial=np.inf)), pressure_mpa(STRONGEST_M_S))
    return speed_m_s(least)
