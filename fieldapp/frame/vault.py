"""A barrel vault of triangles: arches of equal chords on one cylinder, every second one half a strut further on."""

import numpy as np

from fieldapp.base.units import mm_from_m
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.questions import DesignSection, ask
from fieldapp.frame.shape import Shape


class VaultSection(DesignSection):
    """[vault]: the size of a barrel vault."""

    width_m: float | None = ask(
        None, "Only for a barrel vault. How wide does it stand, hub centre to hub centre? [m]",
        "Give metres, for example 4.0.", example=4.0, ge=0.5, le=40.0)
    height_m: float | None = ask(
        None, "How high is the top of its arches above the hubs on the ground? [m]",
        "Give metres, for example 1.8.", example=1.8, ge=0.1, le=30.0)
    length_m: float | None = ask(
        None, "How long is it, from the first to the last arch? [m]",
        "Give metres, for example 5.0.", example=5.0, ge=0.5, le=100.0)
    arch_struts: int = ask(
        6, "How many struts lie along an arch that stands on the ground?", "Choose 4 to 10.", ge=3, le=40)
    bays: int = ask(
        4, "How many bays long is it, from one such arch to the next?",
        "Choose so many that struts along and across come out alike.", ge=1, le=100)


def vault(asked: VaultSection) -> tuple[Shape, FloatArray]:
    """The vault in millimetres on the ground, its middle on the axis, open ends toward −y and y; and its outsides.

    Source: (F9). Test: tests/frame/test_vault.py

    Parameters
    ----------
    asked : VaultSection
        With all three sizes.

    Returns
    -------
    shape : Shape
        Rows of hubs from the front: arches with feet, and between two of them one that starts half a strut up.
    outward : (n, 3) array
        Unit vectors away from the axis of the cylinder, in the order of the shape's hubs.

    Examples
    --------
    >>> shape, _ = vault(VaultSection(width_m=4.0, height_m=1.8, length_m=5.0, arch_struts=6, bays=4))
    >>> len(shape.nodes), len(shape.struts), int(shape.ground.sum())
    (59, 154, 10)
    """
    radius, half = arc(mm_from_m(asked.width_m or 0.0), mm_from_m(asked.height_m or 0.0))
    chords, rows = asked.arch_struts, 2 * asked.bays + 1
    places = [(row, k + row % 2 / 2) for row in range(rows) for k in range(chords + 1 - row % 2)]
    angle = half * (2 * np.array([at for _, at in places]) / chords - 1)
    along = mm_from_m(asked.length_m or 0.0) * (np.array([row for row, _ in places]) / (rows - 1) - 0.5)
    outward = np.column_stack((np.sin(angle), np.zeros(len(angle)), np.cos(angle)))
    nodes = radius * outward + np.column_stack((0 * along, along, np.full(len(along), -radius * np.cos(half))))
    ground = np.array([row % 2 == 0 and at in (0, chords) for row, at in places])
    index = {place: number for number, place in enumerate(places)}
    faces = _faces(index, chords, rows)
    edges = np.sort(np.vstack((faces[:, :2], faces[:, 1:], faces[:, ::2])), axis=1)
    return Shape(nodes.round(6) + 0.0, np.unique(edges, axis=0), faces, np.zeros(len(nodes), dtype=np.int64),
                 ground), outward


def arc(width_mm: float, height_mm: float) -> tuple[float, float]:
    """Radius [mm] and half the angle [rad] of the arc over a chord, so high in its middle.

    Source: (F9). Test: tests/frame/test_vault.py

    Examples
    --------
    >>> radius, half = arc(2000.0, 1000.0)
    >>> radius, round(float(np.degrees(half)), 6)
    (1000.0, 90.0)
    """
    radius = (width_mm**2 / 4 + height_mm**2) / (2 * height_mm)
    return radius, float(np.arctan2(width_mm / 2, radius - height_mm))


def _faces(index: dict[tuple[int, float], int], chords: int, rows: int) -> IntArray:
    """(k, 3) triangles, anticlockwise seen from outside: between arches of two kinds, and one at each ground side."""
    found: list[tuple[tuple[int, float], ...]] = []
    for row in range(1, rows, 2):
        for k in range(chords):
            for beside, ahead in ((row - 1, False), (row + 1, True)):
                low, high, tip = (beside, float(k)), (beside, float(k + 1)), (row, k + 0.5)
                found.append((low, tip, high) if ahead else (low, high, tip))
                if k + 1 < chords:
                    following = (row, k + 1.5)
                    found.append((high, tip, following) if ahead else (high, following, tip))
        for side, up, turned in ((0.0, 0.5, False), (float(chords), chords - 0.5, True)):
            front, back = (row - 1, side), (row + 1, side)
            found.append((back, front, (row, up)) if not turned else (front, back, (row, up)))
    return np.array([[index[place] for place in face] for face in found], dtype=np.int64)
