"""Check against D. L. Logan, *A First Course in the Finite Element Method*, 4th ed., example 5.8: a space frame.

Inches and kips. Printed to three or four figures: REL = 1.5e-3 (−0.014 and 1.78e-5 carry the fewest).
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
from fieldapp.statics.stiffness import Stage, factored, stage_of

REL = 1.5e-3
PRINTED = [7.098e-5, -0.014, -2.352e-3, -3.996e-3, 1.78e-5, -1.033e-4]
NODES = np.array([[0.0, 0.0, 0.0], [-100.0, 0.0, 0.0], [0.0, 0.0, -100.0], [0.0, -100.0, 0.0]])
ENDS = np.array([[1, 0], [2, 0], [3, 0]])


def _joint_1(torsion=50.0, reach=30.0):
    """Displacements of joint 1; arms of the same section as the tube make a plain member of any reach."""
    of = replace(material("S235"), youngs_modulus_mpa=30_000.0, shear_modulus_mpa=10_000.0)
    section = Section(10.0, 100.0, 100.0, torsion, 1.0, 1.0, 1.0)
    make = Make(JOINTS["flat arm"], reach, section, of, section, of, hub_mass_kg=0.0)
    made = bare_model(NODES, ENDS, make, outward=np.tile([0.48, 0.6, 0.64], (4, 1)), on_ground=np.zeros(4, dtype=bool))
    loose = stage_of(made, made.hub_names)
    fixed = np.zeros((4, 6), dtype=bool)
    fixed[1:] = True
    stage = Stage(made, loose.hubs, loose.struts, fixed)
    load = np.zeros((1, 4, 6))
    load[0, 0, 1], load[0, 0, 3] = -50.0, -1000.0
    return response(factored(stage), on_hubs(stage, load)).displacements[0, 0]


@pytest.mark.parametrize("reach", [1.0, 30.0, 49.0])
def test_example_5_8_joint_1(reach):
    assert _joint_1(reach=reach) == pytest.approx(PRINTED, rel=REL)


def test_the_check_can_fail():
    assert _joint_1(torsion=60.0) != pytest.approx(PRINTED, rel=REL)
