"""Checks against H. Kenner, Geodesic Math and How to Use It, University of California Press 1976.

Class I icosahedral tables: counts per sphere and chord factors (strut length / radius, flat edges
divided equally). The table was not re-read: it is from memory, recomputed to 8 digits; hence REL.
The counts of a sphere also stand in J. D. Clinton, Advanced Structural Geometry Studies, NASA
CR-1734, 1971 (from memory).
"""

import numpy as np
import pytest

from fieldapp.frame import build_frame
from fieldapp.frame.cuts import cut_sphere, rim_row
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.dome import icosahedron, subdivided_sphere
from fieldapp.frame.shape import strut_lengths

ABS = 6e-9
"""Printed to 8 digits."""

CHORD_FACTORS = {
    1: {1.05146222: 30},
    2: {0.54653306: 60, 0.61803399: 60},
    3: {0.34861549: 60, 0.40354821: 90, 0.41241149: 120},
    4: {0.25318460: 60, 0.29453083: 120, 0.29524181: 60, 0.29858813: 60, 0.31286893: 120, 0.32491970: 60},
    5: {0.19814743: 60, 0.22568579: 120, 0.23159760: 60, 0.23179025: 60, 0.24508578: 120, 0.24534642: 30,
        0.24724291: 120, 0.25516701: 120, 0.26159810: 60},
    6: {0.16256723: 60, 0.18190825: 120, 0.18738340: 60, 0.19047686: 60, 0.19801257: 120, 0.20281970: 180,
        0.20590773: 240, 0.21535373: 120, 0.21662821: 120},
}

EQUAL_ARCS_3 = {0.366959: 90, 0.404194: 120, 0.424063: 60}
"""The other subdivision (computed; the edge chord is 2 sin(63.4349°/6))."""


def _counted(frequency, subdivision, table, accuracy):
    sphere = subdivided_sphere(frequency, subdivision)
    lengths = strut_lengths(sphere.nodes, sphere.struts)
    return {factor: int((np.abs(lengths - factor) < accuracy).sum()) for factor in table}


@pytest.mark.parametrize("frequency", range(1, 17))
def test_counts_of_the_sphere(frequency):
    sphere = subdivided_sphere(frequency, "equal chords")
    counts = len(sphere.nodes), len(sphere.struts), len(sphere.faces)
    assert counts == (10 * frequency**2 + 2, 30 * frequency**2, 20 * frequency**2)


@pytest.mark.parametrize("frequency", CHORD_FACTORS)
def test_chord_factors(frequency):
    table = CHORD_FACTORS[frequency]
    assert _counted(frequency, "equal chords", table, ABS) == table
    assert sum(table.values()) == 30 * frequency**2


def test_chord_factors_of_equal_arcs():
    assert _counted(3, "equal arcs", EQUAL_ARCS_3, 6e-7) == EQUAL_ARCS_3
    assert 2 * np.sin(np.radians(63.4349) / 6) == pytest.approx(0.366959, abs=6e-7)


def test_the_two_subdivisions_are_told_apart():
    assert sum(_counted(3, "equal arcs", CHORD_FACTORS[3], 1e-4).values()) == 0


@pytest.mark.parametrize("frequency", range(1, 17))
def test_equal_arcs_divide_every_icosahedron_edge_into_equal_arcs(frequency):
    sphere = subdivided_sphere(frequency, "equal arcs")
    edge = 2 * np.sin(np.arctan(2) / frequency / 2)
    on_edge = np.abs(strut_lengths(sphere.nodes, sphere.struts) - edge) < 1e-12
    assert on_edge.sum() >= 30 * frequency
    assert np.allclose(np.linalg.norm(sphere.nodes, axis=1), 1.0, atol=1e-14)


@pytest.mark.parametrize(("frequency", "cut", "hubs", "struts"), [
    (2, "1/2", 26, 65), (3, "4/9", 46, 120), (3, "5/9", 61, 165), (4, "1/2", 91, 250), (6, "1/2", 196, 555)])
def test_counts_of_the_usual_cuts(frequency, cut, hubs, struts):
    """Common practice, recomputed."""
    cap = cut_sphere(subdivided_sphere(frequency, "equal chords"), rim_row(frequency, cut))
    assert (len(cap.nodes), len(cap.struts)) == (hubs, struts)


def test_counts_by_length_of_the_three_frequency_five_ninths():
    """Common practice, recomputed: 30, 55 and 80 struts by length."""
    cap = cut_sphere(subdivided_sphere(3, "equal chords"), 5)
    lengths = strut_lengths(cap.nodes, cap.struts).round(8)
    assert np.unique(lengths, return_counts=True)[1].tolist() == [30, 55, 80]
    heights = np.sort(cap.nodes[cap.ground, 2])
    assert heights == pytest.approx([-0.18759] * 5 + [-0.17164] * 10, abs=5e-6)


@pytest.mark.parametrize(("factor", "dip_deg", "axial_deg"), [
    (0.34861549, 10.038, 79.962), (0.40354821, 11.641, 78.359), (0.41241149, 11.900, 78.100)])
def test_axial_angles_of_frequency_three(factor, dip_deg, axial_deg):
    """δ = 2 asin(c/2), axial angle 90° − δ/2: read off the arms of a whole sphere."""
    frame = build_frame(Design(frame=FrameSection(frequency=3, cut="full", diameter_m=5.0)))
    of_length = {s.name for s in frame.struts if abs(s.centre_length_mm / 2500 - factor) < 1e-7}
    dips = [arm.dip_deg for hub in frame.hubs for arm in hub.arms if arm.strut in of_length]
    assert len(dips) == 2 * len(of_length) > 0
    assert dips == pytest.approx([dip_deg] * len(dips), abs=6e-4)
    assert 90 - dips[0] == pytest.approx(axial_deg, abs=6e-4)


def test_dihedral_angle_of_the_icosahedron():
    """180° − asin(2/3) = 138.19°."""
    vertices, faces = icosahedron()
    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    between = np.degrees(np.arccos(np.clip(normals @ normals[0], -1, 1)))
    assert np.isclose(180 - between, 180 - np.degrees(np.arcsin(2 / 3)), atol=1e-9).sum() == 3
    assert 180 - np.sort(between)[1] == pytest.approx(138.19, abs=5e-3)
