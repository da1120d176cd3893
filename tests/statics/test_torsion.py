"""Twist of flat arms: bounded by number, at every level of frames of wood and of metal, under weight, pushes and wind.

Shear strength of plywood through its thickness: 5.5 N/mm², the least of public data; of metals f_o / √3 (von Mises).
"""

import math

import numpy as np
import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame import build_frame
from fieldapp.statics import loads
from fieldapp.statics.capacity import TORSION_SHARE, ArmCapacity, beside_torsion
from fieldapp.statics.limits import solved
from fieldapp.statics.model import model
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import Unstable, stage_of, strut_displacements
from fieldapp.statics.wind import wind_directions

PLYWOOD_SHEAR_MPA = 5.5


def test_both_together_as_von_mises():
    left = beside_torsion(ArmCapacity(100.0, 1000.0, 10_000.0, ""))
    assert (left.axial_n, left.out_nmm, left.in_nmm) == pytest.approx((89.44, 894.4, 8944.0), rel=1e-4)
    assert (left.out_nmm / 1000.0) ** 2 * (1 + TORSION_SHARE**2) == pytest.approx(1.0)


def _shares(design, frame, made):
    """Twist use ÷ arm use of every arm that is used at least half as much as the one that governs, all cases."""
    of, arm, hub = made.make.arm_material, made.make.arm, design.hub
    strength_mpa = PLYWOOD_SHEAR_MPA if of.family == "plywood" else of.tension_mpa / math.sqrt(3)
    bears_nmm = arm.torsion_mm4 / min(hub.ply_mm, hub.arm_depth_mm) * strength_mpa * of.design_factor(2, "short")
    for level in range(1, frame.level_count):
        stage = solved(stage_of(made, [each.name for each in frame.hubs if each.level <= level]))
        if isinstance(stage, Unstable):
            continue
        free = np.unique(stage.stage.ends)
        free = free[~stage.stage.fixed[free, :3].all(axis=1)]
        cases = [stage.weight, response(stage.ready, loads.wind(stage.stage, wind_directions()))]
        cases += [response(stage.ready, loads.unit_pushes(stage.stage, free))] if len(free) else []
        for answer in cases:
            struts = stage.stage.struts
            along = np.zeros((len(struts), 12))  # rotation of the strut's ends about itself: stiffness × turn
            along[:, 3:6], along[:, 9:12] = -made.axes.local[struts, 0], made.axes.local[struts, 0]
            twist = np.einsum("mi,mic->cm", along, strut_displacements(stage.stage, answer.displacements))
            stiff = made.members.stiffness[struts, 3, 3]
            use = answer.arm_utilisation.max(axis=2)
            governs = use >= 0.5 * use.max(axis=1, keepdims=True)
            yield float((np.abs(twist * stiff) / bears_nmm / use)[governs].max())


@pytest.mark.parametrize("wood", [True, False])
def test_twist_stays_below_the_share_that_is_taken_off(wood, lean_dome):
    if wood:
        design = orchard_hall()
        frame = build_frame(design)
        found = list(_shares(design, frame, model(frame, design)))
    else:
        found = list(_shares(*lean_dome))
    assert 0.1 < max(found) < TORSION_SHARE
