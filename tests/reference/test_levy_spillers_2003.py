"""Check against R. Levy & W. R. Spillers, *Analysis of Geometrically Nonlinear Structures*, 2nd ed., Kluwer 2003.

Section 2.4.2, star dome of 24 pin-jointed bars; inches and pounds (the formulas know no unit). Only the
printed linear crown displacement is used. Coordinates are printed to four decimals of an inch, which
leaves the fifth figure of the displacement open: REL = 5e-5.
"""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.sections import Section
from fieldapp.statics.loads import on_hubs
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import factored, stage_of

REL = 5e-5
PRINTED_CROWN = -0.20641184
AREA, YOUNG, LOAD = 0.0155, 30e6, 220.46


def _ring(radius, height, first_deg):
    angle = np.radians(first_deg + 60.0 * np.arange(6))
    return np.stack((radius * np.cos(angle), radius * np.sin(angle), np.full(6, height)), axis=1)


def _crown_displacement(crown_height=3.2346):
    nodes = np.vstack(([[0.0, 0.0, crown_height]], _ring(9.8425, 2.4472, 0.0), _ring(19.685, 0.0, 30.0)))
    ring = np.arange(1, 7)
    ends = np.vstack([np.stack(pair, axis=1) for pair in (
        (np.zeros(6, dtype=int), ring), (ring, ring % 6 + 1), (ring, ring + 6), (ring, (ring - 2) % 6 + 7))])
    bar = Section(AREA, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0)
    of = replace(material("S235"), youngs_modulus_mpa=YOUNG)
    make = Make(JOINTS["spring"], 0.0, bar, of, bar, of, hub_mass_kg=0.0)
    made = bare_model(nodes, ends, make, outward=nodes + np.array([0.0, 0.0, 30.0]), on_ground=np.arange(13) > 6)
    stage = stage_of(made, made.hub_names)
    load = np.zeros((1, 13, 6))
    load[0, 0, 2] = -LOAD
    return response(factored(stage), on_hubs(stage, load)).displacements[0, 0]


def test_section_2_4_2_crown_displacement():
    displacements = _crown_displacement()
    assert displacements[2] == pytest.approx(PRINTED_CROWN, rel=REL)
    assert displacements[:2] == pytest.approx([0.0, 0.0], abs=1e-12)


def test_the_check_can_fail():
    assert _crown_displacement(crown_height=3.24)[2] != pytest.approx(PRINTED_CROWN, rel=REL)
