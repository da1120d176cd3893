"""Shear of stubby beams and St Venant's torsion, by closed form and by integration over the section.

Timoshenko's cantilever with a load P at its end: P l³ / 3 E I + P l / G A_s; textbook, as the constants of a rectangle.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.materials import MATERIALS, material
from fieldapp.base.sections import plies, rod, tube
from fieldapp.statics.beam import beam_stiffness


def _cantilever(section, of, length_mm):
    """Deflection of the end under 1 N, in plane and out of plane."""
    k = beam_stiffness(section, of, np.array([length_mm]))[0][6:, 6:]
    return tuple(float(np.linalg.solve(k, np.eye(6)[axis])[axis]) for axis in (1, 2))


@pytest.mark.parametrize("length_mm", [60.0, 95.0, 400.0])
@pytest.mark.parametrize("name", MATERIALS)
def test_a_cantilever_gives_by_bending_and_by_shear(name, length_mm):
    of, arm = material(name), plies(12.0, 45.0, 2)
    inside, out = _cantilever(arm, of, length_mm)
    area, young = 5 / 6 * 2 * 12.0 * 45.0, of.youngs_modulus_mpa
    for found, inertia, shear_mpa in ((inside, arm.inertia_in_mm4, of.shear_modulus_mpa),
                                      (out, arm.inertia_out_mm4, of.shear_flat_mpa)):
        assert found == pytest.approx(length_mm**3 / (3 * young * inertia) + length_mm / (shear_mpa * area), rel=1e-9)


def test_what_shear_adds_to_a_usual_arm_is_far_above_a_few_per_cent_and_to_a_tube_below():
    """95 mm long, 45 mm deep: 1.74 in plane, 1.23 out of plane. A pole of 2 m: less than 1 %."""
    plywood, arm = material("birch plywood 12"), plies(12.0, 45.0, 2)
    more = [with_it / without for with_it, without in zip(
        _cantilever(arm, plywood, 95.0), _cantilever(replace(arm, shear_mm2=math.inf), plywood, 95.0), strict=True)]
    assert more == pytest.approx([1.74, 1.23], abs=0.01)
    pole = rod(35.0)
    with_it, without = (_cantilever(of, material("C24"), 2000.0)[0] for of in (pole, replace(pole, shear_mm2=math.inf)))
    assert 1.0 < with_it / without < 1.01


def test_a_beam_cut_in_two_is_the_same_beam():
    of, arm = material("birch plywood 12"), plies(12.0, 45.0)
    half = beam_stiffness(arm, of, np.array([50.0]))[0]
    both = np.zeros((18, 18))
    both[:12, :12] += half
    both[6:, 6:] += half
    ends, middle = np.r_[0:6, 12:18], np.arange(6, 12)
    condensed = both[np.ix_(ends, ends)] - both[np.ix_(ends, middle)] @ np.linalg.solve(
        both[np.ix_(middle, middle)], both[np.ix_(middle, ends)])
    assert condensed == pytest.approx(beam_stiffness(arm, of, np.array([100.0]))[0], rel=1e-9, abs=1e-6)


def _share_by_energy(breadth, half):
    """A_s / A = I² / (A ∫ Q² / b dy) of a section that is `breadth(y)` wide for |y| < half."""
    y = np.linspace(-half, half, 200_001)
    b = np.maximum(breadth(y), 1e-12)
    step = y[1] - y[0]
    first = np.cumsum(b * -y) * step                       # moment of the part below y about the middle
    return (b * y**2).sum() ** 2 * step**2 / (b.sum() * step * (first**2 / b).sum() * step)


def test_the_area_that_counts_for_shear_by_its_energy():
    """Rectangle 5/6, full circle 9/10; a thin ring, cut through both walls at an angle, half."""
    assert _share_by_energy(lambda y: np.full_like(y, 12.0), 22.5) == pytest.approx(5 / 6, rel=1e-3)
    circle = _share_by_energy(lambda y: 2 * np.sqrt(np.maximum(17.5**2 - y**2, 0.0)), 17.5)
    assert circle == pytest.approx(rod(35.0).shear_mm2 / rod(35.0).area_mm2, rel=2e-3)
    radius, wall, angle = 28.0, 0.4, np.linspace(-np.pi / 2, np.pi / 2, 20_001)
    first, inertia = 2 * radius**2 * wall * np.cos(angle), np.pi * radius**3 * wall
    energy = np.trapezoid(first**2 / (2 * wall) * radius, angle)
    ring = tube(2 * radius + wall, wall)
    assert inertia**2 / energy / ring.area_mm2 == pytest.approx(ring.shear_mm2 / ring.area_mm2, rel=1e-3)


@pytest.mark.parametrize(("long", "short"), [(10.0, 10.0), (24.0, 12.0), (45.0, 12.0), (70.0, 4.0)])
def test_torsion_constant_against_st_venants_series(long, short):
    """J = a b³ (1/3 − 64/π⁵ · b/a Σ tanh(n π a / 2 b) / n⁵), n odd; ours within 0.5 %."""
    series = sum(math.tanh(n * math.pi * long / (2 * short)) / n**5 for n in range(1, 40, 2))
    exact = long * short**3 * (1 / 3 - 64 / math.pi**5 * short / long * series)
    assert plies(short, long).torsion_mm4 == pytest.approx(exact, rel=0.005)
