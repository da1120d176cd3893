"""Second order against PyNiteFEA (P-Δ of members in pieces): the same stage, the same loads, each with its own thrust.

PyNite's members carry the consistent geometric stiffness of a cubic; each arm and each tube is put in as pieces, so
that its P-δ is in as well. It iterates axial forces as we do. Agreement within 1 %, in moments of arms within 4 %
where a strut bears near half of what buckles it by itself (S26).
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from Pynite import FEModel3D

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.statics import loads
from fieldapp.statics.buckling import strut_tension_n
from fieldapp.statics.make import make_of
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import response
from fieldapp.statics.second_order import settled
from fieldapp.statics.stiffness import factored, stage_of

PIECES = {"arm": 1, "tube": 3}


@pytest.fixture(scope="module")
def pushed():
    """Two rings of a frame of poles on slender arms, hubs pushed inwards and down until second order matters."""
    design = Design(frame=FrameSection(frequency=2, cut="2/3", level_base=True, diameter_m=5.2),
                    strut=StrutSection(section="rod", material="C24", outer_mm=34.0),
                    hub=HubSection(joint="flat arm", material="EN AW-6060 T66", reach_mm=90.0, plies=1, ply_mm=3.0,
                                   arm_depth_mm=30.0, mass_kg=0.3))
    frame = build_frame(design)
    make = make_of(design)
    make = replace(make, tube_material=replace(make.tube_material, youngs_modulus_05_mpa=11_000.0))  # as PyNite has it
    made = bare_model(frame.nodes_mm, frame.ends, make, outward=frame.outward,
                      on_ground=np.array([hub.on_ground for hub in frame.hubs]))
    stage = stage_of(made, [hub.name for hub in frame.hubs if hub.level <= 2])
    ready = factored(stage)
    on = np.zeros((1, *stage.fixed.shape))
    for number, hub in enumerate(hub for hub in frame.hubs if hub.level == 2):
        row = made.hub_index[hub.name]
        on[0, row, :3] = -450.0 * made.outward[row] * (1.0 if number % 3 == 0 else 0.35) + np.array([0.0, 0.0, -250.0])
    load = loads.on_hubs(stage, on)
    return stage, load, response(ready, load), settled(ready, load).answer


def _twin(stage, hubs_n):
    model = stage.model
    twin = FEModel3D()
    for name, of, section in (("arm", model.make.arm_material, model.make.arm),
                              ("tube", model.make.tube_material, model.make.tube)):
        twin.add_material(name, of.youngs_modulus_mpa, of.shear_modulus_mpa, 0.3, 1.0)
        twin.add_section(name, section.area_mm2, section.inertia_out_mm4, section.inertia_in_mm4, section.torsion_mm4)
    for hub in np.unique(stage.ends):
        twin.add_node(f"N{hub}", *model.nodes_mm[hub].tolist())
        twin.def_support(f"N{hub}", *stage.fixed[hub].tolist())
        for direction, force in zip(("FX", "FY", "FZ"), hubs_n[hub, :3], strict=True):
            twin.add_node_load(f"N{hub}", direction, float(force))
    for number in stage.struts:
        _strut(twin, model, int(number))
    return twin


def _strut(twin, model, number):
    """Arm, tube, arm, each in its pieces; arms flat to their hubs."""
    first, second = (int(hub) for hub in model.ends[number])
    start, reach, length = model.nodes_mm[first], model.make.reach_mm, float(model.axes.length_mm[number])
    along = (model.nodes_mm[second] - start) / length
    before = f"N{first}"
    for part, (kind, begin, end, outside) in enumerate((("arm", 0.0, reach, model.outward[first]),
                                                        ("tube", reach, length - reach, None),
                                                        ("arm", length - reach, length, model.outward[second]))):
        for piece in range(PIECES[kind]):
            last = part == 2 and piece == PIECES[kind] - 1
            after = f"N{second}" if last else f"N{number}.{part}.{piece}"
            if not last:
                at = start + (begin + (end - begin) * (piece + 1) / PIECES[kind]) * along
                twin.add_node(after, *at.tolist())
            name = f"M{number}.{part}.{piece}"
            twin.add_member(name, before, after, kind, kind)
            if outside is not None:
                x, y, z = twin.members[name].T()[:3, :3]
                wanted = np.cross(outside, x)
                twin.members[name].rotation = math.degrees(math.atan2(wanted @ z, wanted @ y))
            before = after


def test_movements_and_moments_of_arms(pushed):
    stage, load, first, second = pushed
    twin = _twin(stage, load.hubs_n[0])
    twin.analyze_PDelta(check_stability=False)
    hubs = np.unique(stage.ends)
    theirs = np.array([[getattr(twin.nodes[f"N{hub}"], axis)["Combo 1"] for axis in ("DX", "DY", "DZ")]
                       for hub in hubs])
    ours, before = second.displacements[0, hubs, :3], first.displacements[0, hubs, :3]
    size = np.abs(theirs).max()
    assert np.abs(before - theirs).max() > 0.03 * size    # first order misses it: the check can fail
    assert np.abs(ours - theirs).max() < 0.01 * size
    root = np.array([[twin.members[f"M{number}.0.0"].f()[4, 0], twin.members[f"M{number}.2.0"].f()[10, 0]]
                     for number in stage.struts])
    assert np.abs(np.abs(second.arms[0, :, [0, 2], 1].T) - np.abs(root)).max() < 0.04 * np.abs(root).max()
    thrust = np.array([-twin.members[f"M{number}.1.0"].axial(0.0) for number in stage.struts])
    assert strut_tension_n(second)[0] == pytest.approx(thrust, rel=0.01, abs=0.01 * np.abs(thrust).max())
