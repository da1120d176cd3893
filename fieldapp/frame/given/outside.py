"""Which way each hub looks: from the triangles of a surface, else from the plane of its struts, else not at all."""

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray

FLAT_WITHIN_DEG = 40.0
"""Struts that all lie this near to one plane have an outside: across it [degrees].
Source: our choice; arms of the roughest frame from the icosahedron (frequency 1) dip 31.7°, so they count as lying in
a plane. Test: tests/frame/given/test_outside.py"""
CLOSED_FROM = 0.75
"""A frame this high for its width is seen from its middle, a lower one from below [1].
Source: our choice; a half sphere is 0.5 high, a whole one 1. Test: tests/frame/given/test_outside.py"""
BELOW = 0.25
"""How far below, for its width [1].
Source: our choice; halfway to the centre of a half sphere. Test: tests/frame/given/test_shapes.py"""
CLEAR_SIDE = 0.15
"""How much of the way from the middle of the frame to a hub must go across that plane, to tell which side is out [1].
Source: our choice. Test: tests/frame/given/test_outside.py"""


def triangles(lines: IntArray, count: int) -> IntArray:
    """(k, 3) every three hubs that are joined to each other, in no turn of their own.

    Examples
    --------
    >>> triangles(np.array([[0, 1], [1, 2], [0, 2], [2, 3]]), 4).tolist()
    [[0, 1, 2]]
    """
    beyond: list[set[int]] = [set() for _ in range(count)]
    for a, b in np.sort(lines, axis=1).tolist():
        beyond[a].add(b)
    found = [(a, b, c) for a, b in np.sort(lines, axis=1).tolist() for c in sorted(beyond[a] & beyond[b])]
    return np.array(found, dtype=np.int64).reshape(-1, 3)


def surface(lines: IntArray, faces: IntArray, count: int) -> IntArray | None:
    """The triangles of a surface, all turned alike; None where they make none: struts in no triangle or in three.

    Three hubs joined to each other are no face where one hub of three struts closes them (a peak seen from inside).
    """
    faces = _without_bases(lines, faces, count)
    edges, of_face = _edges(faces)
    if len(faces) == 0 or len(np.unique(edges, axis=0)) != len(lines):
        return None
    _, index, uses = np.unique(edges, axis=0, return_inverse=True, return_counts=True)
    return None if uses.max() > 2 else _turned_alike(faces, index, of_face)


def _without_bases(lines: IntArray, faces: IntArray, count: int) -> IntArray:
    """Faces without those whose three corners are all that a hub of three struts is joined to."""
    ends = np.bincount(lines.ravel(), minlength=count)
    closed = {tuple(sorted(int(x) for x in lines[(lines == hub).any(axis=1)].ravel() if x != hub))
              for hub in np.flatnonzero(ends == 3).tolist()}
    whole = {tuple(sorted(face)) for face in faces.tolist()}
    peaks = closed & whole
    keep = [face for face in faces.tolist() if tuple(sorted(face)) not in peaks]
    return np.array(keep, dtype=np.int64).reshape(-1, 3)


def _edges(faces: IntArray) -> tuple[IntArray, IntArray]:
    """(3k, 2) edges of faces, lower number first, and (3k,) the face of each."""
    edges = np.sort(np.vstack((faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]])), axis=1)
    return edges, np.tile(np.arange(len(faces)), 3)


def _turned_alike(faces: IntArray, index: IntArray, of_face: IntArray) -> IntArray | None:
    """Faces turned so that neighbours run along their common edge in opposite directions; None if they cannot be."""
    at: dict[int, list[int]] = {}
    for edge, face in zip(index.tolist(), of_face.tolist(), strict=True):
        at.setdefault(edge, []).append(face)
    beside: dict[int, list[int]] = {face: [] for face in range(len(faces))}
    for pair in at.values():
        if len(pair) == 2:
            beside[pair[0]].append(pair[1])
            beside[pair[1]].append(pair[0])
    turned: dict[int, list[int]] = {}
    for start in range(len(faces)):
        if start in turned:
            continue
        turned[start] = faces[start].tolist()
        waiting = [start]
        while waiting:
            face = waiting.pop()
            for other in beside[face]:
                wanted = _against(turned[face], faces[other].tolist())
                if other not in turned:
                    turned[other] = wanted
                    waiting.append(other)
                elif _turn(turned[other]) != _turn(wanted):
                    return None
    return np.array([turned[face] for face in range(len(faces))], dtype=np.int64)


def _against(one: list[int], other: list[int]) -> list[int]:
    """The other face so that it runs along the common edge against the first."""
    first = set(zip(one, one[1:] + one[:1], strict=True))
    same = first & set(zip(other, other[1:] + other[:1], strict=True))
    return other[::-1] if same else other


def _turn(face: list[int]) -> tuple[int, ...]:
    """The same face from its lowest number on."""
    first = face.index(min(face))
    return tuple(face[first:] + face[:first])


def outward_of_surface(points_mm: FloatArray, faces: IntArray) -> tuple[FloatArray, IntArray]:
    """(n, 3) unit outside of every hub, by the angle of each face there; and faces anticlockwise seen from outside.

    Outside is where most of the surface looks away from its middle; a surface flat on its back looks up.

    Source: (F7). Test: tests/frame/given/test_outside.py
    """
    corners = points_mm[faces]  # (face, corner, axis)
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    away = corners.mean(axis=1) - _inner_point(points_mm)
    if float((across * away).sum()) < 0:
        faces, across = faces[:, ::-1], -across
        corners = points_mm[faces]  # (face, corner, axis)
    unit = across / np.linalg.norm(across, axis=1)[:, None]
    outward = np.zeros_like(points_mm)
    for corner in range(3):
        there = corners[:, corner]
        one, other = corners[:, (corner + 1) % 3] - there, corners[:, (corner + 2) % 3] - there
        cosine = (one * other).sum(axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(other, axis=1)
        np.add.at(outward, faces[:, corner], np.arccos(np.clip(cosine, -1, 1))[:, None] * unit)
    return outward / np.linalg.norm(outward, axis=1)[:, None], faces


def _inner_point(points_mm: FloatArray) -> FloatArray:
    """A point under the frame: the middle in plan, below the lowest hub by the frame's width."""
    low, high = points_mm.min(axis=0), points_mm.max(axis=0)
    closed = high[2] - low[2] > CLOSED_FROM * float(max(high[:2] - low[:2]))
    depth = 0.5 * (low[2] + high[2]) if closed else low[2] - BELOW * float(max(high[:2] - low[:2]))
    return np.array([*(low + high)[:2] / 2, depth])


def outward_by_planes(points_mm: FloatArray, lines: IntArray) -> tuple[FloatArray, BoolArray]:
    """(n, 3) unit outside of every hub across the plane nearest its struts; (n,) where there is none, False.

    Source: (F7). Test: tests/frame/given/test_outside.py
    """
    outward, known = np.zeros_like(points_mm), np.zeros(len(points_mm), dtype=bool)
    middle = _inner_point(points_mm)
    for hub in range(len(points_mm)):
        ends = lines[(lines == hub).any(axis=1)]
        along = points_mm[np.where(ends[:, 0] == hub, ends[:, 1], ends[:, 0])] - points_mm[hub]
        along /= np.linalg.norm(along, axis=1)[:, None]
        normal = _across(along)
        away = points_mm[hub] - middle
        side = float(normal @ away) / max(float(np.linalg.norm(away)), 1e-9)
        steep = np.degrees(np.arcsin(np.clip(np.abs(along @ normal), 0, 1)))
        known[hub] = len(along) > 2 and abs(side) > CLEAR_SIDE and float(steep.max()) < FLAT_WITHIN_DEG
        outward[hub] = normal if side >= 0 else -normal
    return outward, known


def _across(along: FloatArray) -> FloatArray:
    """(3,) the direction that the unit vectors lean on least."""
    return np.asarray(np.linalg.svd(along - along.mean(axis=0) if len(along) > 3 else along)[2][-1])
