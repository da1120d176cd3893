"""Spheres that `build_frame` has no formula for: octahedral base, and classes II and III of either base."""

import numpy as np

from fieldapp.frame.dome import icosahedron
from fieldapp.frame.frame import FloatArray, IntArray

SAME = 1e-6
"""Points of unit spheres nearer than this are one [1]. Source: our choice, far above rounding.
Test: tests/reference/test_class_ii_iii.py"""


def octahedron() -> tuple[FloatArray, IntArray]:
    """Corners (6, 3) and faces (8, 3) of the unit octahedron, a corner up."""
    corners = np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0], [0, 0, -1]], dtype=float)
    upper = [(0, 1 + k, 1 + (k + 1) % 4) for k in range(4)]
    return corners, np.array([*upper, *((5, b, a) for _, a, b in upper)])


BASES = {"icosahedron": icosahedron, "octahedron": octahedron}


def sphere(base: str, b: int, c: int) -> tuple[FloatArray, IntArray]:
    """Hubs (n, 3) and struts (m, 2) of a unit sphere: faces divided in the steps (b, c), projected, joined as their
    convex hull.

    Source: (I1). Test: tests/reference/test_class_ii_iii.py

    Parameters
    ----------
    base : {"icosahedron", "octahedron"}
    b, c : int
        Steps along two directions of the triangular net from one corner of a face to the next: (f, 0) is class I,
        (v, v) class II, all else class III.

    Examples
    --------
    >>> nodes, struts = sphere("octahedron", 2, 0)
    >>> len(nodes), len(struts)
    (18, 48)
    """
    from scipy.spatial import ConvexHull  # brings in scipy, which most commands do without

    corners, faces = BASES[base]()
    flat = np.einsum("pk,fkx->fpx", _net(b, c), corners[faces]).reshape(-1, 3)  # (face, net point, x y z) before
    points = flat / np.linalg.norm(flat, axis=1)[:, None]
    nodes = _without_twins(points)
    hull = ConvexHull(nodes).simplices
    struts = np.unique(np.sort(np.vstack((hull[:, [0, 1]], hull[:, [1, 2]], hull[:, [2, 0]])), axis=1), axis=0)
    return nodes, struts.astype(np.int64)


def _net(b: int, c: int) -> FloatArray:
    """(points, 3) barycentric shares of the net's points in one face, its rim included.

    In a net of steps 1 and ω (60° on), a face has its corners at 0, b + c ω and that turned by 60°, −c + (b + c) ω.
    """
    many = b * b + b * c + c * c
    reach = range(-many, many + 1) if many < 12 else range(-(b + c), b + c + 1)
    found = []
    for x in reach:
        for y in reach:
            second, third = x * (b + c) + y * c, y * b - x * c
            if second >= 0 and third >= 0 and second + third <= many:
                found.append((many - second - third, second, third))
    return np.array(found, dtype=float) / many


def _without_twins(points: FloatArray) -> FloatArray:
    """The points with each that is there several times kept once, in a settled order."""
    ordered = points[np.lexsort(np.round(points, 5).T)]
    kept: list[FloatArray] = []
    for point in ordered:
        if not kept or np.linalg.norm(np.array(kept) - point, axis=1).min() > SAME:
            kept.append(point)
    return np.array(kept)


def cut_heights(nodes: FloatArray, struts: IntArray) -> list[tuple[float, FloatArray, IntArray]]:
    """Every way to cut a sphere below a level row of hubs so that each hub left has three struts or more: height of
    the rim as a share of the diameter from the crown down, hubs and struts; the whole sphere last.
    """
    found = []
    for height in sorted({round(float(z), 6) for z in nodes[:, 2]}, reverse=True)[1:]:
        kept = nodes[:, 2] >= height - SAME
        index = np.cumsum(kept) - 1
        left = index[struts[kept[struts].all(axis=1)]]
        degrees = np.bincount(left.ravel(), minlength=int(kept.sum()))
        if len(left) and degrees.min() >= 3:
            found.append(((1.0 - height) / 2.0, nodes[kept], left))
    return found
