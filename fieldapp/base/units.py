"""The only place where one unit turns into another. Inside: mm, N, N/mm² (MPa), kg, rad."""

import math

from fieldapp.base.constants import GRAVITY_M_S2

KM_H_PER_M_S = 3.6
"""Kilometres an hour in a metre a second, exact.

Source: SI Brochure (9th ed.), table 8: 1 h = 3600 s. Test: tests/web/board/test_wind.py"""


def mm_from_m(length_m: float) -> float:
    """Metres [m] to millimetres [mm]."""
    return length_m * 1000.0


def m_from_mm(length_mm: float) -> float:
    """Millimetres [mm] to metres [m]."""
    return length_mm / 1000.0


def nm_from_nmm(moment_nmm: float) -> float:
    """Newton millimetres [N mm] to newton metres [N m]."""
    return moment_nmm / 1000.0


def nmm_from_nm(moment_nm: float) -> float:
    """Newton metres [N m] to newton millimetres [N mm]."""
    return moment_nm * 1000.0


def newton_from_kg(mass_kg: float) -> float:
    """Weight [N] of a mass [kg] at standard gravity.

    Examples
    --------
    >>> round(newton_from_kg(1.0), 5)
    9.80665
    """
    return mass_kg * GRAVITY_M_S2


def kg_from_newton(force_n: float) -> float:
    """Mass [kg] that weighs a force [N].

    Examples
    --------
    >>> kg_from_newton(newton_from_kg(2.5))
    2.5
    """
    return force_n / GRAVITY_M_S2


def kg_per_mm3(density_kg_m3: float) -> float:
    """Density from [kg/m³] to [kg/mm³]."""
    return density_kg_m3 * 1e-9


def rad_from_deg(angle_deg: float) -> float:
    """Degrees to radians."""
    return math.radians(angle_deg)


def deg_from_rad(angle_rad: float) -> float:
    """Radians to degrees."""
    return math.degrees(angle_rad)


def mpa_from_pa(pressure_pa: float) -> float:
    """Pascals to N/mm²."""
    return pressure_pa * 1e-6
