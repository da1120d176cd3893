"""Checks against Qhull (Barber, Dobkin & Huhdanpaa 1996) through scipy: the triangles of the frame.

Hubs on a sphere have one convex hull. Its facets must be the frame's triangles, found by other means.
"""

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection


def _triangles(rows):
    return {tuple(sorted(row)) for row in rows.tolist()}


def _frame(frequency, **shape):
    return build_frame(Design(frame=FrameSection(frequency=frequency, diameter_m=12.0, **shape)))


@pytest.mark.parametrize("subdivision", ["equal chords", "equal arcs"])
@pytest.mark.parametrize("frequency", [1, 2, 3, 4, 5, 8, 12])
def test_triangles_of_the_whole_sphere(frequency, subdivision):
    frame = _frame(frequency, cut="full", subdivision=subdivision)
    assert _triangles(ConvexHull(frame.nodes_mm).simplices) == _triangles(frame.faces)


@pytest.mark.parametrize("subdivision", ["equal chords", "equal arcs"])
@pytest.mark.parametrize(("frequency", "cut"), [
    (2, "1/2"), (3, "4/9"), (3, "5/9"), (4, "7/12"), (5, "8/15"), (7, "11/21"), (8, "5/8")])
def test_a_levelled_frame_is_convex(frequency, cut, subdivision):
    """Every strut is an edge of the hull; only the floor has no triangles of ours."""
    frame = _frame(frequency, cut=cut, subdivision=subdivision)
    hull = ConvexHull(frame.nodes_mm)
    floor = np.abs(hull.equations[:, 2] + 1) < 1e-6
    assert _triangles(hull.simplices[~floor]) == _triangles(frame.faces)
