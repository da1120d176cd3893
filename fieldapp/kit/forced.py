"""Parts of another class at a place: by how much they do not fit, were they forced in. Shape only, no loads."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fieldapp.base.units import deg_from_rad, rad_from_deg
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.kit.interchange import Directions, arm_directions, longer_by_mm, other_section
from fieldapp.kit.kit import Kit, Part


@dataclass(frozen=True, slots=True)
class ForcedArm:
    """One arm of a forced hub."""

    part_arm: int
    place_arm: int
    neighbour: str
    """Hub place at the far end of the strut on it."""
    off_rad: tuple[float, float, float]
    """Small turn, as a vector in frame axes, from where the arm belongs to where it points."""

    @property
    def off_deg(self) -> float:
        """Size of that turn [deg]."""
        return deg_from_rad(float(np.linalg.norm(self.off_rad)))


@dataclass(frozen=True, slots=True)
class Forced:
    """A part of another class at a place."""

    part: str
    part_class: str
    place: str
    off_mm: float
    """Strut: how much too long. Hub: how far the end of its worst arm lies from where it belongs."""
    off_deg: float
    """Hub: angle of its worst arm, the hub turned for the least sum of squares. Strut: 0."""
    arms: tuple[ForcedArm, ...] = ()
    unused_arms: tuple[int, ...] = ()
    """Arms of the part that nothing sits on."""


def forced(kit: Kit, part: Part, place: str) -> Forced | None:
    """How badly a part of another class fits a place; None if it cannot sit there at all.

    Source: (K3): Kabsch, Acta Crystallographica A32, 1976. Test: tests/reference/test_pynite_forced.py

    Parameters
    ----------
    kit : Kit
    part : Part
    place : str
        A place of the frame.

    Returns
    -------
    Forced or None
        None for the other kind, for a part of the right class, for a strut of another section, and for a hub with too
        few arms.

    Raises
    ------
    FrameError
        If there is no such place.

    Notes
    -----
    A hub keeps the order of its arms round it; arms may stay unused. Of all ways to sit, the one with
    the least worst angle, each turned by the rotation that fits best (least squares over unit
    vectors; Kabsch, Acta Crystallographica A32, 1976).
    """
    wanted = "strut" if place in kit.frame.strut_index else "hub"
    if part.kind != wanted:
        return None
    return _forced_strut(kit, part, place) if wanted == "strut" else _forced_hub(kit, part, place)


def _forced_strut(kit: Kit, part: Part, place: str) -> Forced | None:
    if part.part_class == kit.frame.strut(place).strut_class or other_section(kit, part, place):
        return None
    return Forced(part.id, part.part_class, place, longer_by_mm(kit, part, place), 0.0)


def _forced_hub(kit: Kit, part: Part, place: str) -> Forced | None:
    hub = kit.frame.hub(place)
    has, needs = directions_from(arm_directions(kit, part)), arm_vectors(kit, place)
    if part.part_class == hub.hub_class or len(has) < len(needs):
        return None
    seat, turns = closest_seat(has, needs)
    arms = tuple(ForcedArm(int(arm) + 1, number, hub, (float(w[0]), float(w[1]), float(w[2]))) for number, (arm, hub, w)
                 in enumerate(zip(seat, _neighbours(kit, place), turns, strict=True), start=1))
    worst = float(np.linalg.norm(turns, axis=1).max())
    used = {arm.part_arm for arm in arms}
    return Forced(part.id, part.part_class, place, 2.0 * kit.design.hub.reach_mm * float(np.sin(worst / 2.0)),
                  deg_from_rad(worst), arms, tuple(arm for arm in range(1, len(has) + 1) if arm not in used))


def arm_vectors(kit: Kit, place: str) -> FloatArray:
    """(k, 3) unit vectors along the arms of a hub place, in frame axes, by arm number."""
    frame = kit.frame
    lines = np.array([frame.position_mm(hub) - frame.position_mm(place) for hub in _neighbours(kit, place)])
    return np.asarray(lines / np.linalg.norm(lines, axis=1, keepdims=True))


def _neighbours(kit: Kit, place: str) -> list[str]:
    """The hub place at the far end of each arm, by arm number."""
    return [kit.frame.strut(arm.strut).end(3 - arm.end).hub for arm in kit.frame.hub(place).arms]


def closest_seat(has: FloatArray, needs: FloatArray) -> tuple[IntArray, FloatArray]:
    """How a hub sits closest, in the order of its arms: the least worst angle, turned for the least sum of squares.

    Source: (K3): Kabsch, Acta Crystallographica A32, 1976. Test: tests/reference/test_pynite_forced.py

    Parameters
    ----------
    has : (h, 3) array
        Unit vectors along the arms of the hub, in axes of its own.
    needs : (k, 3) array
        The directions wanted, k ≤ h, in frame axes.

    Returns
    -------
    (k,) int array
        The hub's arm at each of the directions.
    (k, 3) array
        Small turn, as a vector in frame axes, from the direction to the arm. [rad]
    """
    seats = np.array(list(_seats(len(has), len(needs))))
    turned = _fitted(has[seats], needs)
    off = np.cross(needs, turned)  # (way to sit, arm, axis)
    angle = np.arctan2(np.linalg.norm(off, axis=2), (needs * turned).sum(axis=2))
    best = int(angle.max(axis=1).round(9).argmin())
    size = np.linalg.norm(off[best], axis=1, keepdims=True)
    return seats[best], np.asarray(off[best] / np.where(size > 0, size, 1.0) * angle[best][:, None])


def directions_from(arms: Directions) -> FloatArray:
    """(k, 3) unit vectors along arms given as (azimuth, dip): x to the right, y up as seen from outside, z outward."""
    turn, dip = np.array([[rad_from_deg(angle) for angle in arm] for arm in arms]).T
    return np.column_stack((np.cos(dip) * np.sin(turn), np.cos(dip) * np.cos(turn), -np.sin(dip)))


def _seats(has: int, needs: int) -> Iterator[tuple[int, ...]]:
    """Every choice of arms for the places' arms 1, 2 … that keeps their order round the hub."""
    for chosen in combinations(range(has), needs):
        for shift in range(needs):
            yield chosen[shift:] + chosen[:shift]


def _fitted(has: FloatArray, needs: FloatArray) -> FloatArray:
    """(w, k, 3) each of w sets of vectors, turned to lie on (k, 3) as well as it can."""
    u, _, vt = np.linalg.svd(np.einsum("wka,kb->wab", has, needs))  # (way to sit, axis of the part, axis of the place)
    u[:, :, 2] *= np.sign(np.linalg.det(u @ vt))[:, None]
    return np.asarray(has @ (u @ vt))
