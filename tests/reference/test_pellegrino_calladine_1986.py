"""Rank cases after S. Pellegrino & C. R. Calladine, "Matrix analysis of statically and kinematically indeterminate
frameworks", *Int. J. Solids Structures* 22, 1986, with s − m = b + c − 3 j (Maxwell 1864; Calladine, *IJSS* 14, 1978).

Free bodies carry their six (in the plane three) rigid motions in m; they are taken off here. Any convex
closed frame of triangles has s = m = 0 (Cauchy, Dehn).
"""

import itertools

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from fieldapp.plan.motions import FREE, Motions
from fieldapp.plan.supports import STILL

IN_THE_PLANE = np.array([[0.0, 0.0, 1.0]])


def _counts(nodes, ends, supported=()):
    """(s, m) of bars built up hub by hub; plane figures are kept in their plane."""
    nodes = np.asarray(nodes, dtype=float)
    plane = nodes.shape[1] == 2
    places, loose = np.column_stack((nodes, np.zeros(len(nodes)))) if plane else nodes, IN_THE_PLANE if plane else FREE
    motions, restraints = Motions(), 0
    for number, place in enumerate(places):
        fars = [min(pair) for pair in ends if max(pair) == number]
        ties = [(str(far), (places[far] - place) / np.linalg.norm(places[far] - place)) for far in fars]
        support = STILL if number in supported else loose
        motions, restraints = motions.with_hub(str(number), ties, support), restraints + len(support)
    rigid = 0 if supported else 3 if plane else 6
    return len(ends) + restraints - 3 * len(nodes) + motions.count, motions.count - rigid


def test_two_collinear_bars_between_supports():
    assert _counts([[0, 0], [1, 0], [2, 0]], [[0, 1], [1, 2]], supported=(0, 2)) == (1, 1)


def test_two_bars_out_of_line_are_rigid():
    assert _counts([[0, 0], [1, 0.2], [2, 0]], [[0, 1], [1, 2]], supported=(0, 2)) == (0, 0)


SQUARE = [[0, 0], [1, 0], [1, 1], [0, 1]]
SIDES = [[0, 1], [1, 2], [2, 3], [3, 0]]


def test_square_without_and_with_diagonals():
    assert _counts(SQUARE, SIDES) == (0, 1)
    assert _counts(SQUARE, [*SIDES, [0, 2], [1, 3]]) == (1, 0)


def test_cube_of_twelve_bars():
    corners = list(itertools.product((0, 1), repeat=3))
    edges = [[a, b] for a, b in itertools.combinations(range(8), 2)
             if sum(x != y for x, y in zip(corners[a], corners[b], strict=True)) == 1]
    assert len(edges) == 12
    assert _counts(corners, edges) == (0, 6)


def _prism(turn_deg):
    """Three struts, nine cables: top triangle turned against the bottom one, struts from one to the next but one."""
    low = np.radians([0.0, 120.0, 240.0])
    high = low + np.radians(turn_deg)
    nodes = np.vstack([np.stack((np.cos(a), np.sin(a), np.full(3, z)), axis=1) for a, z in ((low, 0.0), (high, 1.2))])
    sides = [[0, 1], [1, 2], [2, 0], [3, 4], [4, 5], [5, 3]]
    return nodes, [*sides, *([i, i + 3] for i in range(3)), *([i, (i + 1) % 3 + 3] for i in range(3))]


@pytest.mark.parametrize(("turn_deg", "expected"), [(30.0, (1, 1)), (29.0, (0, 0)), (45.0, (0, 0)), (20.0, (0, 0))])
def test_three_strut_prism(turn_deg, expected):
    assert _counts(*_prism(turn_deg)) == expected


def test_expanded_octahedron_of_six_struts_and_24_cables():
    """Struts in three parallel pairs, half as far apart as they are long; each end tied to its four nearest ends
    of other pairs: the octahedron whose edges have opened."""
    nodes = np.array([p for i in range(3) for p in _pair_of_struts(i)])
    struts = [[i, i + 1] for i in range(0, 12, 2)]
    apart = np.linalg.norm(nodes[:, None] - nodes[None], axis=2)
    others = [[a, b] for a, b in itertools.combinations(range(12), 2) if a // 4 != b // 4]
    nearest = min(apart[a, b] for a, b in others)
    cables = [[a, b] for a, b in others if apart[a, b] < nearest + 1e-9]
    assert len(cables) == 24
    assert _counts(nodes, [*struts, *cables]) == (1, 1)


def _pair_of_struts(axis):
    along, across = np.eye(3)[axis], np.eye(3)[(axis + 1) % 3]
    return [side * 0.5 * across + end * along for side in (-1, 1) for end in (-1, 1)]


@pytest.mark.parametrize("count", [4, 6, 12, 40])
def test_convex_closed_frames_of_triangles(count):
    points = np.random.default_rng(count).normal(size=(count, 3))
    points /= np.linalg.norm(points, axis=1, keepdims=True)
    faces = ConvexHull(points).simplices
    edges = np.unique(np.sort(np.vstack([faces[:, pair] for pair in ([0, 1], [1, 2], [0, 2])]), axis=1), axis=0)
    assert len(edges) == 3 * count - 6
    assert _counts(points, edges) == (0, 0)
