"""The outline of a flat hub as it is cut, and what its blank weighs."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from fieldapp.base.errors import DesignError
from fieldapp.base.materials import material
from fieldapp.base.units import kg_per_mm3
from fieldapp.frame.design import Design, HubSection
from fieldapp.kit.hub_sizes import ArmPattern, HubSizes, hub_sizes, meets_core, notch_along_mm, run_together


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of the outline, seen from outside, y downward, and how the way to the next one turns."""

    x_mm: float
    y_mm: float
    turn_rad: float = 0.0
    """Of the arc from here to the next corner, above zero anticlockwise; 0 is straight."""


def at(along_mm: float, across_mm: float, angle_deg: float) -> tuple[float, float]:
    """A point by its way along a direction and to the clockwise side of it, y downward [mm]."""
    a = math.radians(angle_deg)
    return (along_mm * math.sin(a) + across_mm * math.cos(a), -along_mm * math.cos(a) + across_mm * math.sin(a))


def corners(angles_deg: Sequence[float], arms: ArmPattern, sizes: HubSizes) -> tuple[Corner, ...]:
    """Round the whole blank, clockwise, from the root before arm 1; `angles_deg` are the directions of the arms.

    Source: (D3). Test: tests/prints/workshop/test_workshop.py
    """
    found: list[Corner] = []
    gaps = arms.gaps_deg
    for arm, (angle, dip) in enumerate(zip(angles_deg, arms.dips_deg, strict=True)):
        found.append(Corner(*at(notch_along_mm(gaps[arm - 1], sizes), -sizes.width_mm / 2, angle)))
        found += _tip(angle, sizes.length_mm(dip), sizes)
        found += _notch(angle, gaps[arm], sizes)
    return tuple(found)


def _tip(angle_deg: float, length_mm: float, sizes: HubSizes) -> Iterator[Corner]:
    """An arm's end with its corners taken off."""
    half, r, bent = sizes.width_mm / 2, sizes.tip_mm, -math.pi / 2
    yield Corner(*at(length_mm - r, -half, angle_deg), bent)
    yield Corner(*at(length_mm, r - half, angle_deg))
    yield Corner(*at(length_mm, half - r, angle_deg), bent)
    yield Corner(*at(length_mm - r, half, angle_deg))


def _notch(angle_deg: float, gap_deg: float, sizes: HubSizes) -> Iterator[Corner]:
    """From an arm's clockwise side round the root; the last arc ends on the next arm's side.

    Source: (D3). Test: tests/prints/workshop/test_workshop.py
    """
    along, half = notch_along_mm(gap_deg, sizes), sizes.width_mm / 2
    if not meets_core(gap_deg, sizes):
        yield Corner(*at(along, half, angle_deg), math.pi - math.radians(gap_deg))
        return
    lean = math.asin((half + sizes.root_mm) / (sizes.core_mm + sizes.root_mm))
    root = math.pi / 2 - lean
    yield Corner(*at(along, half, angle_deg), root)
    yield Corner(*at(sizes.core_mm, 0.0, angle_deg + math.degrees(lean)), 2 * lean - math.radians(gap_deg))
    yield Corner(*at(sizes.core_mm, 0.0, angle_deg + gap_deg - math.degrees(lean)), root)


def area_mm2(outline: Sequence[Corner]) -> float:
    """What an outline encloses: its polygon, with the part between every arc and its chord added or taken off.

    Source: (K6). Test: tests/kit/test_hub_outline.py
    """
    round_trip = (*outline, outline[0])
    total = sum(a.x_mm * b.y_mm - b.x_mm * a.y_mm for a, b in pairwise(round_trip)) / 2
    return total + sum(_beside_chord_mm2(a, b) for a, b in pairwise(round_trip) if a.turn_rad)


def _beside_chord_mm2(start: Corner, stop: Corner) -> float:
    """Between an arc and its chord: added where the arc turns clockwise, as the outline does.

    Source: (K6). Test: tests/kit/test_hub_outline.py
    """
    turn = abs(start.turn_rad)
    radius = math.hypot(stop.x_mm - start.x_mm, stop.y_mm - start.y_mm) / (2 * math.sin(turn / 2))
    return math.copysign(radius**2 / 2 * (turn - math.sin(turn)), -start.turn_rad)


def blank_mass_kg(arms: ArmPattern, design: Design) -> float | None:
    """What the drawn blank of a hub weighs, all layers; None where no sheet is drawn for it [kg].

    Source: (K6). Test: tests/kit/test_hub_outline.py
    """
    sizes = hub_sizes(design)
    if not design.hub.held_by.workshop.sheet or run_together(arms, sizes):
        return None
    angles = tuple(accumulate(arms.gaps_deg[:-1], initial=0.0))
    volume_mm3 = area_mm2(corners(angles, arms, sizes)) * sizes.thickness_mm
    return volume_mm3 * kg_per_mm3(hub_density_kg_m3(design.hub))


def hub_mass_kg(arms: ArmPattern, design: Design) -> float:
    """What a hub counts with: as weighed or as its blank is drawn, the heavier [kg].

    Source: our choice: weight loads arms, lifters and steps. Test: tests/kit/test_hub_outline.py
    """
    return max(design.hub.mass_kg, blank_mass_kg(arms, design) or 0.0)


def hub_density_kg_m3(hub: HubSection) -> float:
    """Density of a hub's material: the maker's own value, else that of the table [kg/m³]."""
    if hub.density_kg_m3 is not None:
        return hub.density_kg_m3
    try:
        return material(hub.material).density_kg_m3
    except DesignError as error:
        raise DesignError(f"hub.material: {error}") from None
