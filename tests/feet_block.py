"""A pyramid on four feet, so stiff that it is a block: closed forms hold for it."""

import numpy as np

from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.sections import tube
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.solved import solved
from fieldapp.statics.stiffness import stage_of

FEET = ("H01", "H02", "H03", "H04")
APEX = "H05"


def block(width_mm, high_mm, hub_mass_kg=20.0, *, braced=True):
    """Its stage, solved: four feet in a square with a diagonal and a hub above their middle, tubes of steel on pins.

    Not braced: four legs and nothing between their feet.
    """
    half = width_mm / 2
    nodes = np.array([(-half, -half, 0), (half, -half, 0), (half, half, 0), (-half, half, 0), (0, 0, high_mm)], float)
    ends = np.array([(0, 1), (1, 2), (2, 3), (3, 0), (0, 4), (1, 4), (2, 4), (3, 4), (0, 2)])
    ends = ends if braced else ends[4:8]
    steel = material("S235")
    make = Make(joint=JOINTS["spring"], reach_mm=0.0, arm=tube(60.0, 3.0), arm_material=steel, tube=tube(60.0, 3.0),
                tube_material=steel, hub_mass_kg=hub_mass_kg)
    outward = np.tile([0.1, 0.2, 0.97], (5, 1)) / np.linalg.norm([0.1, 0.2, 0.97])
    model = bare_model(nodes, ends, make, outward=outward, on_ground=np.arange(5) < 4)
    return solved(stage_of(model, [*FEET, APEX]))


def on_feet(of, **holds):
    """The block reduced to its feet, and what it weighs [N]."""
    return feet_of(of, footing(FEET, **holds)), -float(of.weight.load.hubs_n[0, :, 2].sum())
