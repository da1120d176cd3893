"""The class I sphere: a vertex-up icosahedron, its faces subdivided and projected on the unit sphere."""

import math

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.shape import Shape

_VERTEX_LEVEL = np.array([0] + [1] * 5 + [2] * 5 + [3])
"""Row of each icosahedron vertex: crown, upper five, lower five, foot [1].
Source: icosahedron with a vertex up (F1). Test: tests/reference/test_kenner_1976.py"""


def icosahedron() -> tuple[FloatArray, IntArray]:
    """Vertices and faces of the unit icosahedron with one vertex straight up.

    Source: (F1). Test: tests/reference/test_kenner_1976.py

    Returns
    -------
    vertices : (12, 3) array
        Crown, upper five at azimuth 0°, 72° …, lower five at 36°, 108° …, foot. Unit sphere.
    faces : (20, 3) int array
        Anticlockwise seen from outside.

    Examples
    --------
    >>> vertices, faces = icosahedron()
    >>> round(float(np.linalg.norm(vertices[0] - vertices[1])), 8)
    1.05146222
    """
    azimuth = np.radians(36.0 * np.array([*range(0, 10, 2), *range(1, 11, 2)]))
    height = np.repeat([1.0, -1.0], 5) / math.sqrt(5.0)
    belt = np.column_stack((np.cos(azimuth) * 2 / math.sqrt(5.0), np.sin(azimuth) * 2 / math.sqrt(5.0), height))
    vertices = np.vstack(([0.0, 0.0, 1.0], belt, [0.0, 0.0, -1.0]))
    faces = [face for k in range(5) for face in _sector(k)]
    return vertices, np.array(faces)


def _sector(k: int) -> list[tuple[int, int, int]]:
    """The four faces of one fifth: top, two of the belt, bottom."""
    upper, next_upper = 1 + k, 1 + (k + 1) % 5
    lower, next_lower = 6 + k, 6 + (k + 1) % 5
    belt = [(upper, lower, next_upper), (next_upper, lower, next_lower)]
    return [(0, upper, next_upper), *belt, (11, next_lower, lower)]


def subdivided_sphere(frequency: int, subdivision: str) -> Shape:
    """The whole class I sphere of unit radius, vertex up.

    Source: (F1), (F2): Clinton, NASA CR-1734, 1971 (from memory). Test: tests/reference/test_kenner_1976.py

    Parameters
    ----------
    frequency : int
        Parts into which each icosahedron edge is divided, 1 or more.
    subdivision : {"equal chords", "equal arcs"}
        How: flat edges in equal parts, then projected; or edges in equal arcs, faces by great circles.

    Returns
    -------
    Shape
        10 f² + 2 hubs, 30 f² struts, 20 f² faces; the foot is the only hub on the ground.

    Notes
    -----
    Equal chords projects the flat triangular net from the centre of the sphere. Equal arcs joins the
    equal arcs of the edges by great circles in three directions; where three of them leave a small
    triangle, the hub sits at its middle [1]_.

    References
    ----------
    .. [1] J. D. Clinton, Advanced Structural Geometry Studies, NASA CR-1734, 1971 (from memory).

    Examples
    --------
    >>> sphere = subdivided_sphere(3, "equal chords")
    >>> len(sphere.nodes), len(sphere.struts), len(sphere.faces)
    (92, 270, 180)
    """
    vertices, big_faces = icosahedron()
    net, triangles = _flat_net(frequency)
    weights = _weights(big_faces, net)
    keys, first, hub_of = np.unique(weights, axis=0, return_index=True, return_inverse=True)
    points = _arc_points(vertices[big_faces], net) if subdivision == "equal arcs" else weights @ vertices
    corners = hub_of.reshape(len(big_faces), len(net))
    faces = corners[:, triangles].reshape(-1, 3)
    row = keys @ _VERTEX_LEVEL
    nodes = points[first]
    nodes /= np.linalg.norm(nodes, axis=1)[:, None]
    return Shape(nodes, struts_of(faces), faces, row, row == 3 * frequency)


def struts_of(faces: IntArray) -> IntArray:
    """Every edge of the triangles once, the lower index first; sorted.

    Examples
    --------
    >>> struts_of(np.array([[0, 1, 2], [2, 1, 3]])).tolist()
    [[0, 1], [0, 2], [1, 2], [1, 3], [2, 3]]
    """
    sides = np.vstack((faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]))
    return np.unique(np.sort(sides, axis=1), axis=0)


def _flat_net(frequency: int) -> tuple[IntArray, IntArray]:
    """Barycentric numbers (p, 3) of a divided triangle and its small triangles (f², 3), anticlockwise."""
    net = [(frequency - row, row - j, j) for row in range(frequency + 1) for j in range(row + 1)]

    def at(row: int, j: int) -> int:
        return row * (row + 1) // 2 + j

    upright = [(at(r, j), at(r + 1, j), at(r + 1, j + 1)) for r in range(frequency) for j in range(r + 1)]
    hanging = [(at(r, j), at(r + 1, j + 1), at(r, j + 1)) for r in range(frequency) for j in range(r)]
    return np.array(net), np.array(upright + hanging)


def _weights(big_faces: IntArray, net: IntArray) -> IntArray:
    """(faces × points, 12): how much of each icosahedron vertex a point takes; equal rows are one hub."""
    weights = np.zeros((len(big_faces), len(net), 12), dtype=np.int64)  # (face, net point, icosahedron corner)
    for corner in range(3):
        weights[np.arange(len(big_faces))[:, None], np.arange(len(net)), big_faces[:, [corner]]] = net[:, corner]
    return weights.reshape(-1, 12)


def _arc_points(corners: FloatArray, net: IntArray) -> FloatArray:
    """(faces × points, 3) points of the equal-arc net: the mean of three great-circle crossings.

    Source: (F2). Test: tests/reference/test_kenner_1976.py
    """
    normals = [_circle_normals(corners, net, corner) for corner in range(3)]
    inner = sum(_crossing(normals[c], normals[(c + 1) % 3]) for c in range(3))
    # (face, net point, corner)
    on_edge = np.sum([_edge_share(net[:, c], net)[None, :, None] * corners[:, [c]] for c in range(3)], axis=0)
    is_inner = (net.min(axis=1) > 0)[None, :, None]  # (face, net point, corner)
    return np.asarray(np.where(is_inner, inner, on_edge)).reshape(-1, 3)


def _edge_share(part: IntArray, net: IntArray) -> FloatArray:
    """Weight of a corner for a point a whole number of arcs along an edge (spherical interpolation)."""
    arc = math.acos(1 / math.sqrt(5.0))
    return np.asarray(np.sin(arc * part / net[0].sum()) / math.sin(arc))


def _circle_normals(corners: FloatArray, net: IntArray, corner: int) -> FloatArray:
    """(faces, points, 3) normals of the great circles through all points equally far from a corner."""
    near, far = _edge_share(net[:, corner], net), _edge_share(net[0].sum() - net[:, corner], net)
    start = near[None, :, None] * corners[:, [corner]]  # (face, net point, corner)
    left = start + far[None, :, None] * corners[:, [(corner + 1) % 3]]  # (face, net point, corner)
    right = start + far[None, :, None] * corners[:, [(corner + 2) % 3]]  # (face, net point, corner)
    return np.cross(left, right)


def _crossing(first: FloatArray, second: FloatArray) -> FloatArray:
    """Unit vectors where pairs of great circles cross; zero where they do not."""
    along = np.cross(first, second)
    size = np.linalg.norm(along, axis=-1, keepdims=True)
    return np.asarray(np.divide(along, size, out=np.zeros_like(along), where=size > 0))
