"""Check against A. Bedford & W. Fowler, *Engineering Mechanics: Statics*, 4th ed., problem 6.64: a space truss.

Metres and kilonewtons. Printed to one decimal: ABS = 0.05. The truss is statically determinate, so the
bar forces follow from equilibrium alone, whatever the stiffness.
"""

import numpy as np
import pytest

from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.sections import rod
from fieldapp.statics.loads import on_hubs
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import factored, stage_of

ABS = 0.05
NODES = np.array([[1.1, -0.4, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.6], [0.0, 0.0, -0.4], [0.0, 0.8, 0.0]])
ENDS = np.array([[0, 1], [0, 2], [0, 3], [1, 2], [1, 3], [1, 4]])
LOAD_AT_A = (10.0, 60.0, 20.0)
PRINTED = [32.7, 45.2, -112.1]
"""BC, BD in tension, BE in compression."""


def _stage(nodes=NODES):
    bar, of = rod(0.01), material("S235")
    make = Make(JOINTS["spring"], 0.0, bar, of, bar, of, hub_mass_kg=0.0)
    outward = np.tile([0.48, 0.6, 0.64], (5, 1))
    made = bare_model(nodes, ENDS, make, outward=outward, on_ground=np.arange(5) > 1)
    return stage_of(made, made.hub_names)


def _bar_forces(nodes=NODES):
    stage = _stage(nodes)
    load = np.zeros((1, 5, 6))
    load[0, 0, :3] = LOAD_AT_A
    return response(factored(stage), on_hubs(stage, load)).arms[0, :, 0, 0]


def test_problem_6_64_bar_forces():
    assert _bar_forces()[3:] == pytest.approx(PRINTED, abs=ABS)


def test_the_check_can_fail():
    moved = NODES.copy()
    moved[4, 1] = 0.85
    assert _bar_forces(moved)[3:] != pytest.approx(PRINTED, abs=ABS)
