"""Checks of the tube formulas against printed reduction factors and against Euler's load.

EN 1993-1-1 buckling curve c, as tabulated in ECCS handbooks (from memory; four values to three figures,
ABS = 1e-3). For the other materials the formula's ends are checked: a stocky tube keeps its squash load, a very
slender one Euler's.
"""

import math

import numpy as np
import pytest

from fieldapp.base.materials import material
from fieldapp.base.sections import rod, tube
from fieldapp.statics.tubes import buckling_factor

CURVE_C = {0.5: 0.843, 1.0: 0.540, 1.5: 0.315, 2.0: 0.196}


def _length_mm(of, section, slenderness):
    return slenderness * math.pi * section.gyration_mm * math.sqrt(of.youngs_modulus_05_mpa / of.compression_mpa)


@pytest.mark.parametrize(("slenderness", "printed"), CURVE_C.items())
def test_en_1993_1_1_curve_c(slenderness, printed):
    steel, section = material("S235"), tube(26.9, 2.3)
    length = np.array([_length_mm(steel, section, slenderness)])
    assert buckling_factor(steel, section, length)[0] == pytest.approx(printed, abs=1e-3)


@pytest.mark.parametrize("name", ["C24", "S235", "EN AW-6060 T66", "paper tube"])
def test_ends_of_the_formula(name):
    of, section = material(name), rod(35.0)
    stocky, slender = (np.array([_length_mm(of, section, s)]) for s in (0.05, 12.0))
    assert buckling_factor(of, section, stocky)[0] == pytest.approx(1.0, abs=0.003)
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
