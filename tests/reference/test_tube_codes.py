"""Checks of the tube formulas against printed reduction factors and against Euler's load.

EN 1993-1-1 buckling curve c: (6.49) with the 0.49 of Table 6.1 worked by hand, four values, ABS = 1e-3.
EN 1995-1-1 for a post: C24, 97 × 97 mm, 2.70 m, a published example (slenderness 1.635, k_c 0.326). For the other
materials the formula's ends are checked: a stocky tube keeps its squash load, a very slender one Euler's.
"""

import math

import numpy as np
import pytest

from fieldapp.base.materials import material
from fieldapp.base.sections import plies, rod, tube
from fieldapp.statics.tubes import buckling_factor

CURVE_C = {0.5: 0.843, 1.0: 0.540, 1.5: 0.315, 2.0: 0.196}


def _length_mm(of, section, slenderness):
    return slenderness * math.pi * section.gyration_mm * math.sqrt(of.youngs_modulus_05_mpa / of.compression_mpa)


@pytest.mark.parametrize(("slenderness", "printed"), CURVE_C.items())
def test_en_1993_1_1_curve_c(slenderness, printed):
    steel, section = material("S235"), tube(26.9, 2.3)
    length = np.array([_length_mm(steel, section, slenderness)])
    assert buckling_factor(steel, section, length)[0] == pytest.approx(printed, abs=1e-3)


def test_en_1995_1_1_instability_factor_of_a_post():
    """λ_rel = (2700 / 28) / π √(21 / 7400) = 1.635; k = 1.97; k_c = 0.326."""
    c24, post = material("C24"), plies(97.0, 97.0)
    assert buckling_factor(c24, post, np.array([2700.0]))[0] == pytest.approx(0.326, abs=5e-4)


def test_aluminium_buckles_no_later_than_either_class_of_its_own_code():
    """Class A of EN 1999-1-1 Table 6.6 is 0.20 with a plateau of 0.10, class B 0.32 with none (both from memory)."""
    of, section = material("EN AW-6060 T66"), tube(40.0, 3.0)
    for slenderness in np.linspace(0.05, 3.0, 30):
        ours = buckling_factor(of, section, np.array([_length_mm(of, section, slenderness)]))[0]
        for imperfection, plateau in ((0.20, 0.10), (0.32, 0.0)):
            phi = 0.5 * (1 + imperfection * (slenderness - plateau) + slenderness**2)
            assert ours <= min(1.0, 1.0 / (phi + math.sqrt(phi**2 - slenderness**2)))


@pytest.mark.parametrize("name", ["C24", "S235", "EN AW-6060 T66", "paper tube"])
def test_ends_of_the_formula(name):
    of, section = material(name), rod(35.0)
    stocky, slender = (np.array([_length_mm(of, section, s)]) for s in (0.05, 12.0))
    assert buckling_factor(of, section, stocky)[0] == pytest.approx(1.0, abs=0.02)  # aluminium has no plateau
    euler = math.pi**2 * of.youngs_modulus_05_mpa * section.inertia_out_mm4 / slender[0] ** 2
    kept = buckling_factor(of, section, slender)[0] * of.compression_mpa * section.area_mm2
    assert 0.9 * euler < kept < euler


def test_no_code_lets_a_tube_carry_more_than_euler_or_squash():
    lengths = np.linspace(200.0, 6000.0, 50)
    for name in ("C24", "S235", "EN AW-6060 T66", "paper tube"):
        of, section = material(name), tube(40.0, 3.0)
        kept = buckling_factor(of, section, lengths)
        euler = math.pi**2 * of.youngs_modulus_05_mpa * section.gyration_mm**2 / lengths**2 / of.compression_mpa
        assert np.all(kept <= np.minimum(1.0, euler) + 1e-12)
        assert np.all(np.diff(kept) <= 1e-12)
