"""Places that sit alike in a frame: what is computed for one of them holds for all of them.

A frame from the icosahedron repeats itself and its mirror image round the crown. Two places are alike if
they are equally high and see the struts of the stage at the same distances; a doorway or a place
left out is seen as well, so that only what is truly congruent is taken together.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame

ALIKE_MM = 0.01
"""Distances that differ by less are the same; frames are built to rounding errors far below [mm].
Source: our choice. Test: tests/plan/test_reach.py"""
POINTS_AT_ONCE = 256
"""Points at once (in no formula)."""


def hubs_alike(frame: Frame, hubs: Sequence[str], struts: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """`hubs` in groups that sit alike among `struts`, each group and the groups in the order given."""
    return _named(hubs, _groups(np.array([frame.position_mm(hub) for hub in hubs]), middles_mm(frame, struts)))


def struts_alike(frame: Frame, struts: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """`struts` in groups that sit alike among themselves."""
    middles = middles_mm(frame, struts)
    return _named(struts, _groups(middles, middles))


def middles_mm(frame: Frame, struts: Iterable[str]) -> FloatArray:
    """(b, 3) midpoints of struts."""
    ends = ((frame.strut(name).end_1.hub, frame.strut(name).end_2.hub) for name in struts)
    return np.array([(frame.position_mm(one) + frame.position_mm(two)) / 2 for one, two in ends]).reshape(-1, 3)


def _named(names: Sequence[str], groups: Sequence[Sequence[int]]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(names[i] for i in group) for group in groups)


def _groups(points: FloatArray, among: FloatArray) -> list[list[int]]:
    """Numbers of points that see the same distances from the same height."""
    groups: list[list[int]] = []
    seen: list[FloatArray] = []
    for first in range(0, len(points), POINTS_AT_ONCE):
        for offset, view in enumerate(_views(points[first:first + POINTS_AT_ONCE], among)):
            same = next((i for i, other in enumerate(seen) if np.abs(other - view).max() < ALIKE_MM), None)
            if same is None:
                seen.append(view)
                groups.append([])
            groups[-1 if same is None else same].append(first + offset)
    return groups


def _views(points: FloatArray, among: FloatArray) -> FloatArray:
    """(k, 1 + b) height, and the distances in ascending order."""
    square = np.square(points).sum(axis=1)[:, None] + np.square(among).sum(axis=1) - 2 * points @ among.T
    return np.column_stack((points[:, 2], np.sort(np.sqrt(np.maximum(square, 0.0)), axis=1)))
