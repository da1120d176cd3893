"""Prismatic beams that give by bending and by shear, many at once: stiffness, distributed load, axial-force stiffness.

Local axes: x along the beam, z out of plane, y = z × x. Degrees of freedom (dof) at each end: translations
x y z, rotations x y z. Textbook matrices (J. S. Przemieniecki, *Theory of Matrix Structural Analysis*, 1968);
the reference tests hold them to published examples and to another library.
"""

import numpy as np

from fieldapp.base.materials import Material
from fieldapp.base.sections import Section
from fieldapp.frame.frame import FloatArray


def beam_stiffness(section: Section, of: Material, length_mm: FloatArray) -> FloatArray:
    """(m, 12, 12) stiffness of beams of one section and m lengths [N, mm, rad].

    Source: (S2), (S24): J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968.
    Test: tests/reference/test_logan_4ed.py, tests/reference/test_pynite.py, tests/statics/test_shear.py
    """
    young = of.youngs_modulus_mpa
    k = np.zeros((len(length_mm), 12, 12))  # (beam, dof, dof)
    _pair(k, 0, young * section.area_mm2 / length_mm)
    _pair(k, 3, of.shear_modulus_mpa * section.torsion_mm4 / length_mm)
    for plane, inertia_mm4, shear_mpa in (((1, 5, 1.0), section.inertia_in_mm4, of.shear_modulus_mpa),
                                          ((2, 4, -1.0), section.inertia_out_mm4, of.shear_flat_mpa)):
        _bending(k, plane, young * inertia_mm4, length_mm, shear_n=shear_mpa * section.shear_mm2)
    return k


def _pair(k: FloatArray, dof: int, stiffness: FloatArray) -> None:
    """Add a spring between one degree of freedom at both ends."""
    for i, j, sign in ((0, 0, 1), (6, 6, 1), (0, 6, -1), (6, 0, -1)):
        k[:, dof + i, dof + j] += sign * stiffness


def _bending(k: FloatArray, plane: tuple[int, int, float], ei: float, length: FloatArray, *, shear_n: float) -> None:
    """Add bending in one plane: `plane` is the dof of deflection, the dof of rotation, the sign of their coupling.

    `shear_n` is G × the area that counts for shear; infinite for a beam that does not give by it.

    Source: (S24). Test: tests/statics/test_shear.py
    """
    w, r, sign = plane
    shear = 12 * ei / (shear_n * length**2)
    ei_left = ei / (1 + shear)
    _pair(k, w, 12 * ei_left / length**3)
    for i, j, value in ((r, r, 4 + shear), (r + 6, r + 6, 4 + shear), (r, r + 6, 2 - shear), (r + 6, r, 2 - shear)):
        k[:, i, j] += value * ei_left / length
    _coupling(k, plane, sign * 6 * ei_left / length**2)


def _coupling(k: FloatArray, plane: tuple[int, int, float], value: FloatArray) -> None:
    """Deflection–rotation terms of a beam in one plane; `value` is the term of end 1 with itself."""
    w, r, _ = plane
    for i, j, s in ((w, r, 1), (w, r + 6, 1), (w + 6, r, -1), (w + 6, r + 6, -1)):
        k[:, i, j] += s * value
        k[:, j, i] += s * value


def beam_geometric_stiffness(length_mm: FloatArray) -> FloatArray:
    """(m, 12, 12) stiffness that one newton of tension adds (consistent geometric stiffness) [1/mm …].

    Source: (S2): J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968.
    Test: tests/statics/test_response.py
    """
    k = np.zeros((len(length_mm), 12, 12))  # (beam, dof, dof)
    one = np.ones_like(length_mm)
    for plane in ((1, 5, 1.0), (2, 4, -1.0)):
        w, r, sign = plane
        _pair(k, w, 6 / (5 * length_mm))
        for i, j, value in ((r, r, 2 / 15), (r + 6, r + 6, 2 / 15), (r, r + 6, -1 / 30), (r + 6, r, -1 / 30)):
            k[:, i, j] += value * length_mm
        _coupling(k, plane, sign * one / 10)
    return k


def beam_load(length_mm: FloatArray) -> FloatArray:
    """(m, 12, 3) end forces that replace 1 N/mm along local x, y, z, with the same work on every cubic.

    Source: (S2). Test: tests/statics/test_response.py, tests/reference/test_pynite.py
    """
    p = np.zeros((len(length_mm), 12, 3))  # (beam, dof, direction of the load)
    for axis in range(3):
        p[:, axis, axis] = p[:, axis + 6, axis] = length_mm / 2
    p[:, 5, 1] = p[:, 10, 2] = length_mm**2 / 12
    p[:, 11, 1] = p[:, 4, 2] = -(length_mm**2) / 12
    return p


def rotated(k: FloatArray, angle_rad: FloatArray) -> FloatArray:
    """(m, 12, 12) matrices of beams whose own y, z are rotated about x by `angle_rad` from the common y, z.

    Source: (S1). Test: tests/statics/test_response.py
    """
    rotation = rotation_about_x(angle_rad)
    transpose = rotation.transpose(0, 2, 1)  # (beam, common axis, own axis)
    # (beam, node block, axis, node block, axis)
    blocks = np.einsum("mab,mibjc,mcd->miajd", transpose, k.reshape(-1, 4, 3, 4, 3), rotation)
    return np.asarray(blocks.reshape(-1, 12, 12))  # (beam, dof, dof)


def rotation_about_x(angle_rad: FloatArray) -> FloatArray:
    """(m, 3, 3) matrices that take common components to those in axes rotated about x."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    rotation = np.zeros((len(angle_rad), 3, 3))  # (beam, own axis, common axis)
    rotation[:, 0, 0] = 1.0
    rotation[:, 1, 1] = rotation[:, 2, 2] = c
    rotation[:, 1, 2] = s
    rotation[:, 2, 1] = -s
    return rotation


def offset(start_mm: float, stop_mm: float, count: int) -> FloatArray:
    """(count, 12, 12) rigid links: dofs of the beam from those of points `start_mm`, `stop_mm` beyond its ends.

    Source: (S3). Test: tests/reference/test_logan_4ed.py
    """
    link = np.tile(np.eye(12), (count, 1, 1))  # (beam, dof of the beam, dof beyond the link)
    for end, along in ((0, start_mm), (6, -stop_mm)):
        link[:, end + 1, end + 5] = along
        link[:, end + 2, end + 4] = -along
    return link
