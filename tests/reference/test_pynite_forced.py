"""What a part of another class, forced in, locks into the arms: against PyNiteFEA (general-purpose frame library).

There each strut is three members. A strut that is too long pushes the ends of its tube apart with E A / L for each
millimetre; an arm that points elsewhere is a member that was bent before it was put in: its end forces are K (u − u₀),
with u₀ the outer end turned about the root. Supports as the report takes them. Both linear, so REL = 1e-6.
"""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import SparesSection
from fieldapp.kit.build import build_kit
from fieldapp.kit.forced import arm_vectors
from fieldapp.plan.case import case_of
from fieldapp.plan.planner import way_plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.readiness.emergency import LOCKED_LIMIT, emergency_fits
from fieldapp.reports.standing.demand import settled_stage

REL = 1e-6

_spec = importlib.util.spec_from_file_location("pynite_frame", Path(__file__).parent / "pynite_frame.py")
pynite_frame = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pynite_frame)


@pytest.fixture(scope="module")
def hall():
    design = orchard_hall().model_copy(update={"spares": SparesSection()})
    kit = build_kit(design)
    plan, case = way_plan(kit, "ring by ring"), case_of(kit)
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    return kit, plan, case, settled_stage(case, stage.fitted, stage.tied)


def of_class(kit, name):
    return [part for part in kit.parts if part.part_class == name]


def test_a_strut_of_another_class(hall):
    kit, plan, case, stage = hall
    place = next(s.name for s in kit.frame.struts if s.strut_class == "D" and s.name in plan.step_of)
    fit, = emergency_fits(case, plan, [place], parts=[of_class(kit, "C")[0]])
    lengths = {c.letter: c.centre_length_mm for c in kit.frame.strut_classes}
    assert fit.forced.off_mm == pytest.approx(lengths["C"] - lengths["D"])
    number = case.model.strut_index[place]
    twin = pynite_frame.rebuilt(stage, weight=False)
    make, axes = case.model.make, case.model.axes
    force_n = make.tube_material.youngs_modulus_mpa * make.tube.area_mm2 / (
        float(axes.length_mm[number]) - 2 * make.reach_mm) * fit.forced.off_mm
    for joint, sign in (("a", -1.0), ("b", 1.0)):
        for axis, part in zip(("FX", "FY", "FZ"), axes.local[number, 0], strict=True):
            twin.add_node_load(f"N{number}{joint}", axis, sign * force_n * float(part))
    twin.analyze_linear(check_stability=False)
    forces = pynite_frame.arm_forces(twin, stage, make.reach_mm)
    _same(fit, stage, forces)


@pytest.mark.parametrize(("own", "other"), [("3L", "3R"), ("5", "6"), ("6", "4")])
def test_a_hub_of_another_class(hall, own, other):
    kit, plan, case, stage = hall
    place = [h.name for h in kit.frame.hubs if h.hub_class == own and h.name in plan.step_of][-1]
    fit, = emergency_fits(case, plan, [place], parts=[of_class(kit, other)[0]])
    twin = pynite_frame.rebuilt(stage, weight=False)
    bent = {}
    for arm, along in zip(fit.forced.arms, arm_vectors(kit, place), strict=True):
        strut = kit.frame.hub(place).arms[arm.place_arm - 1].strut
        if strut in plan.step_of:
            number = case.model.strut_index[strut]
            first = case.model.ends[number, 0] == case.model.hub_index[place]
            bent[f"M{number}.{0 if first else 2}"] = _bent_before(arm, along * case.model.make.reach_mm, first)
    for name, before in bent.items():
        _load_with(twin, name, before)
    twin.analyze_linear(check_stability=False)
    forces = pynite_frame.arm_forces(twin, stage, case.model.make.reach_mm)
    for name, before in bent.items():
        number, piece = (int(n) for n in name[1:].split("."))
        row = int(np.searchsorted(stage.struts, number))
        forces[row, 2 * (piece // 2):2 * (piece // 2) + 2] = _end_forces(_beam(twin, name), before, piece)
    _same(fit, stage, forces)


def _bent_before(arm, line_mm, first):
    """(12,) the outer end turned about the root by the arm's error, in the member's order of ends."""
    turn = np.array(arm.off_rad)
    outer, root = np.concatenate((np.cross(turn, line_mm), turn)), np.zeros(6)
    return np.concatenate((root, outer) if first else (outer, root))


def _load_with(twin, name, before):
    member = _beam(twin, name)
    force = np.asarray(member.Ke(), dtype=float) @ before
    for node, part in ((member.i_node, force[:6]), (member.j_node, force[6:])):
        for axis, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), part, strict=True):
            twin.add_node_load(node.name, axis, float(value))


def _beam(twin, name):
    """The one beam that a member without nodes on it consists of."""
    beam, = twin.members[name].sub_members.values()
    return beam


def _end_forces(member, before, piece):
    """(2, 3) |axial|, |out of plane|, |in plane| at root and joint."""
    turned = np.asarray(member.T(), dtype=float)
    local = np.asarray(member.ke(), dtype=float) @ (turned @ (_moved(member) - before))
    ends = np.abs(local.reshape(2, 6)[:, [0, 4, 5]])
    return ends if piece == 0 else ends[::-1]


def _moved(member):
    return np.array([getattr(node, axis)["Combo 1"] for node in (member.i_node, member.j_node)
                     for axis in ("DX", "DY", "DZ", "RX", "RY", "RZ")])


def _same(fit, stage, forces):
    use = (forces / stage.model.arm_capacity[stage.struts].reshape(forces.shape)).sum(axis=2)
    assert fit.locked.use == pytest.approx(float(use.max()), rel=REL)
    row, station = divmod(int(use.argmax()), 4)
    assert fit.locked.strut == stage.model.strut_names[int(stage.struts[row])]
    assert fit.locked.at_root == (station % 2 == 0)
    assert fit.allowed <= (use.max() <= LOCKED_LIMIT)
