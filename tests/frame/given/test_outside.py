"""Outsides of drawn frames: a sphere's are its radii (plain geometry); a surface keeps them when it loses its faces."""

import numpy as np
import pytest

from fieldapp.frame.dome import icosahedron, struts_of, subdivided_sphere
from fieldapp.frame.given.outside import outward_by_planes, outward_of_surface, surface, triangles


@pytest.mark.parametrize(("frequency", "within_deg"), [(1, 1e-6), (2, 1e-6), (3, 2.0)])
def test_outsides_of_a_sphere_are_its_radii(frequency, within_deg):
    sphere = subdivided_sphere(frequency, "equal chords")
    found = triangles(sphere.struts, len(sphere.nodes))
    assert len(found) == len(sphere.faces) == 20 * frequency**2
    turned = surface(sphere.struts, found[::-1, ::-1], len(sphere.nodes))
    outward, faces = outward_of_surface(sphere.nodes, turned)
    assert np.degrees(np.arccos(np.clip((outward * sphere.nodes).sum(axis=1), -1, 1))).max() < max(within_deg, 1e-4)
    assert {tuple(np.roll(face, -face.argmin())) for face in faces} == \
        {tuple(np.roll(face, -face.argmin())) for face in sphere.faces}, "anticlockwise seen from outside"
    planes, known = outward_by_planes(sphere.nodes, sphere.struts)
    assert known.all()
    assert (planes * sphere.nodes).sum(axis=1).min() > 0.98


def test_struts_in_three_triangles_are_no_surface_and_a_peak_of_three_is_one():
    nodes, faces = icosahedron()
    struts = struts_of(faces)
    assert surface(np.vstack((struts, [[0, 11]])), faces, 12) is None, "a strut through the middle is in no triangle"
    peak = np.vstack((struts, [[0, 12], [1, 12], [2, 12]]))
    found = surface(peak, triangles(peak, 13), 13)
    assert len(found) == 22
    assert len(nodes) == 12
