"""What lengths and parts that do not fit do to gaps and arms: against PyNiteFEA (general-purpose frame library).

There each strut is three members. A strut that is too long pushes the ends of its tube apart with E A / L for each
millimetre; an arm that points elsewhere is a member that was bent before it was put in: its end forces are K (u − u₀),
with u₀ the outer end turned about the root. Supports as the report takes them. Both linear, so REL = 1e-6.
"""

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import Design, FrameSection, HubSection, SparesSection
from fieldapp.kit import build_kit
from fieldapp.kit.forced import arm_vectors
from fieldapp.plan.case import case_of
from fieldapp.plan.lack_of_fit import closings
from fieldapp.plan.locked import locked_in, settled
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.readiness.emergency import LOCKED_LIMIT, emergency_fits

REL = 1e-6

_spec = importlib.util.spec_from_file_location("pynite_frame", Path(__file__).parent / "pynite_frame.py")
pynite_frame = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pynite_frame)


@pytest.fixture(scope="module")
def hall():
    design = orchard_hall().model_copy(update={"spares": SparesSection()})
    kit = build_kit(design)
    plan, case = way_plans(kit, "ring by ring")[0], case_of(kit)
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    return kit, plan, case, settled(case, stage.fitted, stage.tied).stage


@pytest.fixture(scope="module", params=[("flat arm", False), ("bolted end", False), ("bolted end", True)])
def measured(request):
    """A small frame whose struts were all measured: its lengths err by up to 3 mm either way.

    Of hinges it is statically determinate on feet that slide; with a doorway it only stands on feet that do not.
    """
    joint, doorway = request.param
    design = Design(frame=FrameSection(frequency=2, cut="1/2", diameter_m=4.4, doorway=doorway),
                    spares=SparesSection(), hub=HubSection(joint=joint))
    kit = build_kit(design)
    plan = way_plans(kit, "ring by ring")[0]
    return case_of(kit), plan, np.random.default_rng(11).uniform(-3.0, 3.0, len(kit.frame.struts))


def test_measured_lengths_lock_in_what_they_do_there(measured):
    case, plan, off_mm = measured
    stage = analysis(case, replace(fitted_after(plan, len(plan.steps)), held=plan.steps[-1].holds))
    found = locked_in(case, stage.fitted, stage.tied, off_mm)
    twin = pynite_frame.rebuilt(found.stage, weight=False)
    _too_long(twin, case.model, {int(strut): off_mm[strut] for strut in found.stage.struts})
    twin.analyze_linear(check_stability=False)
    forces = pynite_frame.arm_forces(twin, found.stage, case.model.make.reach_mm)
    use = (forces / case.model.arm_capacity[found.stage.struts].reshape(forces.shape)).sum(axis=2)
    assert found.arm_utilisation[0] == pytest.approx(use, rel=REL, abs=REL)
    assert (found.arm_utilisation.max() > 0.01) is not _determinate(found.stage)


def test_measured_lengths_leave_the_gaps_that_they_leave_there(measured):
    case, plan, off_mm = measured
    for closing in closings(case, plan)[::3]:
        number = max(step.number for step in plan.steps if any(i.strut == closing.strut for i in step.struts))
        stage = analysis(case, replace(fitted_after(plan, number), held=plan.steps[number - 2].holds))
        open_stage = settled(case, stage.fitted, [strut for strut in stage.tied if strut != closing.strut]).stage
        twin = pynite_frame.rebuilt(open_stage, weight=False)
        _too_long(twin, case.model, {int(strut): off_mm[strut] for strut in open_stage.struts})
        twin.analyze_linear(check_stability=False)
        moved, at = pynite_frame.displacements(twin, open_stage), case.model.strut_index[closing.strut]
        start, end = case.model.ends[at]
        room_mm = (moved[end] - moved[start])[:3] @ case.model.axes.local[at, 0]
        assert closing.per_mm @ off_mm == pytest.approx(off_mm[at] - room_mm, rel=1e-5, abs=1e-5)


def _determinate(stage):
    """Hinges on just as many supports as hold it: lengths lock nothing in (Maxwell 1864)."""
    return stage.model.make.pinned and len(stage.struts) + int(stage.fixed[:, :3].sum()) == 3 * len(stage.hubs)


def _too_long(twin, model, off_mm):
    """Struts (number: mm) too long: each pushes the ends of its tube apart with E A / L for a millimetre."""
    make, axes = model.make, model.axes
    for number, off in off_mm.items():
        force_n = make.tube_material.youngs_modulus_mpa * make.tube.area_mm2 / (
            float(axes.length_mm[number]) - 2 * make.reach_mm) * float(off)
        for joint, sign in (("a", -1.0), ("b", 1.0)):
            for axis, part in zip(("FX", "FY", "FZ"), axes.local[number, 0], strict=True):
                twin.add_node_load(f"N{number}{joint}", axis, sign * force_n * float(part))


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
    make = case.model.make
    _too_long(twin, case.model, {number: fit.forced.off_mm})
    twin.analyze_linear(check_stability=False)
    forces = pynite_frame.arm_forces(twin, stage, make.reach_mm)
    _same(fit, stage, forces)


@pytest.mark.parametrize(("own", "other"), [
    ("3L", "3R"), *(pytest.param(*pair, marks=pytest.mark.thorough) for pair in (("5", "6"), ("6", "4")))])
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
    lasting = stage.model.arm_capacity[stage.struts].reshape(forces.shape) * stage.model.arm_lasting
    use = (forces / lasting).sum(axis=2)
    assert fit.locked.utilisation == pytest.approx(float(use.max()), rel=REL)
    row, station = divmod(int(use.argmax()), 4)
    assert fit.locked.strut == stage.model.strut_names[int(stage.struts[row])]
    assert fit.locked.at_root == (station % 2 == 0)
    assert fit.allowed <= (use.max() <= LOCKED_LIMIT)
