"""What break tests of struts are worth: struts on two supports, loaded in the middle until they break."""

from dataclasses import replace

from fieldapp.base.errors import StaticsError
from fieldapp.base.materials import Material
from fieldapp.base.sections import Section
from fieldapp.frame.design import Design
from fieldapp.statics.break_tests import arm_test

SPAN_LEVER = 0.25
"""Moment in the middle ÷ (load · span) [1]. Source: closed form, F L / 4. Test: tests/statics/test_strut_tests.py"""


def tested_material(design: Design, of: Material, section: Section) -> Material:
    """The material with what break tests of struts say of it; as it is where there are none.

    Source: (S33): EN 1990:2002 D.7.2; pull, pressure and stiffness our choice. Test: tests/statics/test_strut_tests.py

    Parameters
    ----------
    design : Design
        Its tests, [strength].
    of : Material
        The nearest of the table, with own values.
    section : Section
        Of the struts that were broken.

    Raises
    ------
    StaticsError
        If the span is missing, or the tests scatter so much that nothing is left.

    Notes
    -----
    Bending as tested, whatever the table says. Pull and pressure were not tested: in the proportion of the table, and
    never more than it says. Struts that break early are thought to buckle early, too: E_05 falls likewise.
    """
    tests = design.strength
    if not tests.strut_loads_n:
        return of
    if tests.strut_span_mm is None:
        raise StaticsError(f"strength.strut_loads_n holds {len(tests.strut_loads_n)} break loads but "
                           f"strength.strut_span_mm is missing; give the distance in mm between the supports")
    found = arm_test(tests.strut_loads_n, SPAN_LEVER * tests.strut_span_mm)
    bending_mpa = found.characteristic_moment_nmm / section.modulus_out_mm3
    share = min(1.0, bending_mpa / of.bending_mpa)
    return replace(of, bending_mpa=bending_mpa, tension_mpa=of.tension_mpa * share,
                   compression_mpa=of.compression_mpa * share, youngs_modulus_05_mpa=of.youngs_modulus_05_mpa * share)
