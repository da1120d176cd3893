"""From the wind of a forecast to the gust at the frame: EN 1991-1-4, clause 4, by terrain category."""

import math

from fieldapp.base.constants import TERRAIN_LEAST_HEIGHT_M, TERRAIN_ROUGHNESS_M, WIND_PRESSURE_PA_PER_M2_S2

_FACTOR_II = 0.19
"""k_r of terrain category II [1]. Source: EN 1991-1-4 (4.5). Test: tests/reference/test_en_1991_1_4.py"""
_ROUGHNESS_POWER = 0.07
"""Power of z₀ / z₀,II in k_r [1]. Source: EN 1991-1-4 (4.5). Test: tests/reference/test_en_1991_1_4.py"""
_GUST_PEAK = 7.0
"""Peak factor on the turbulence intensity I_v, twice 3.5 [1].
Source: EN 1991-1-4 (4.8). Test: tests/reference/test_en_1991_1_4.py"""


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


def forecast_m_s(pressure_pa: float, height_m: float, terrain: str) -> float:
    """Mean wind (10 minutes, open country, 10 m high: what a forecast gives) whose gusts bring this pressure [m/s].

    Source: (S17). Test: tests/reference/test_en_1991_1_4.py
    """
    return math.sqrt(pressure_pa / (WIND_PRESSURE_PA_PER_M2_S2 * exposure_factor(height_m, terrain)))
