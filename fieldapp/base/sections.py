"""Cross-sections: what area and shape give to stiffness and strength. Lengths in mm."""

import math
from dataclasses import dataclass

from fieldapp.base.errors import StaticsError


@dataclass(frozen=True, slots=True)
class Section:
    """Properties of one cross-section.

    For an arm, *out* is bending out of the hub's plane (towards and away from the inside of the
    frame; the weak axis of a flat arm), *in* is bending within the hub's plane.
    """

    area_mm2: float
    inertia_out_mm4: float
    inertia_in_mm4: float
    torsion_mm4: float
    """Torsion constant (St Venant)."""
    modulus_out_mm3: float
    """Elastic section modulus for bending out of plane."""
    modulus_in_mm3: float
    wind_width_mm: float
    """Largest breadth that the wind sees."""
    shear_mm2: float = math.inf
    """Area that counts for the deformation by shear; infinite: none."""

    @property
    def gyration_mm(self) -> float:
        """Smaller radius of gyration."""
        return math.sqrt(min(self.inertia_out_mm4, self.inertia_in_mm4) / self.area_mm2)


SHEAR_PLATE, SHEAR_ROD, SHEAR_TUBE = 5 / 6, 0.9, 0.5
"""Part of the area that counts for the deformation by shear: rectangle, full circle, thin ring [1].
Source: closed form I² / A ÷ ∫ Q² / b dA, (S24). Test: tests/statics/test_shear.py"""


def _positive(**sizes_mm: float) -> None:
    """Refuse sizes that are not above zero."""
    for name, size in sizes_mm.items():
        if not size > 0:
            raise StaticsError(f"{name} must be above 0 mm, got {size:g}; correct it in the design file")


def tube(outer_mm: float, wall_mm: float) -> Section:
    """Round tube.

    Raises
    ------
    StaticsError
        If the wall is not between 0 and half the outer diameter.

    Examples
    --------
    >>> round(tube(60.0, 4.0).inertia_out_mm4)
    277264
    """
    _positive(outer_mm=outer_mm, wall_mm=wall_mm)
    if wall_mm >= outer_mm / 2:
        raise StaticsError(f"wall_mm must be below half of outer_mm ({outer_mm / 2:g} mm), got {wall_mm:g}; "
                           f"for a solid pole write section = \"rod\"")
    return _round(outer_mm, outer_mm - 2 * wall_mm, SHEAR_TUBE)


def rod(outer_mm: float) -> Section:
    """Solid round pole.

    Examples
    --------
    >>> round(rod(35.0).area_mm2, 1)
    962.1
    """
    _positive(outer_mm=outer_mm)
    return _round(outer_mm, 0.0, SHEAR_ROD)


def _round(outer_mm: float, inner_mm: float, shear: float) -> Section:
    """Ring of the two diameters.

    Source: closed form, π/64 (D⁴ − d⁴). Test: tests/statics/test_capacity.py
    """
    inertia = math.pi / 64 * (outer_mm**4 - inner_mm**4)
    modulus = 2 * inertia / outer_mm
    area = math.pi / 4 * (outer_mm**2 - inner_mm**2)
    return Section(area, inertia, inertia, 2 * inertia, modulus, modulus, outer_mm, shear * area)


def plies(ply_mm: float, depth_mm: float, count: int = 1) -> Section:
    """Flat arm of `count` plates, each `ply_mm` thick and `depth_mm` deep within the hub's plane.

    The plates are taken as lying on each other without glue: each bends out of plane by itself, so
    stiffness and strength grow with the count, not with its cube or square. For glued plates give
    one ply of the whole thickness.

    Source: rectangle, b h³/12; torsion: the form given in W. C. Young, Roark's Formulas for Stress and Strain.
    Test: tests/statics/test_capacity.py

    Notes
    -----
    Torsion constant of a rectangle: a b³ (1/3 − 0.21 b/a (1 − b⁴/12a⁴)), a ≥ b, as in W. C. Young, *Roark's Formulas
    for Stress and Strain*; within 0.5 % of St Venant's exact series.

    Examples
    --------
    >>> plies(12.0, 45.0, 2).modulus_out_mm3
    2160.0
    """
    _positive(ply_mm=ply_mm, arm_depth_mm=depth_mm, plies=count)
    long, short = max(ply_mm, depth_mm), min(ply_mm, depth_mm)
    torsion = long * short**3 * (1 / 3 - 0.21 * short / long * (1 - short**4 / (12 * long**4)))
    return Section(
        area_mm2=count * ply_mm * depth_mm,
        inertia_out_mm4=count * depth_mm * ply_mm**3 / 12,
        inertia_in_mm4=count * ply_mm * depth_mm**3 / 12,
        torsion_mm4=count * torsion,
        modulus_out_mm3=count * depth_mm * ply_mm**2 / 6,
        modulus_in_mm3=count * ply_mm * depth_mm**2 / 6,
        wind_width_mm=max(count * ply_mm, depth_mm),
        shear_mm2=SHEAR_PLATE * count * ply_mm * depth_mm,
    )
