"""A stage rebuilt in PyNiteFEA, a general-purpose frame library: every strut as arm, tube, arm; pins as releases."""

import math

import numpy as np
from Pynite import FEModel3D
from Pynite.Member3D import Member3D

from fieldapp.base.constants import BARE_STRUT_FORCE_COEFFICIENT
from fieldapp.statics.wind_forces import arm_breadth_mm


def rebuilt(stage, *, hub_loads=None, imposed=None, wind=None, weight=True, middle=None, springs=None):
    """The same stage as a PyNite model, solved.

    hub_loads: (n, 6) [N, N mm]; imposed: {hub number: downward mm}; wind: (pressure N/mm², unit vector);
    middle: (strut number, (3,) force on the middle of its tube [N]); springs: {hub number: N/mm each way} for feet that
    press on the ground and never pull.
    """
    twin = FEModel3D()
    for number, make in enumerate(stage.model.makes.each):
        _materials(twin, make, number)
    for hub in np.unique(stage.ends):
        _hub(twin, stage, int(hub), weight)
    for number in stage.struts:
        _strut(twin, stage.model, int(number), wind, weight)
    for hub, forces in enumerate(np.zeros((0, 6)) if hub_loads is None else hub_loads):
        for direction, force in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), forces, strict=True):
            if force:
                twin.add_node_load(f"N{hub}", direction, float(force))
    if middle is not None:
        tube = f"M{middle[0]}.1"
        for axis, part in zip(("FX", "FY", "FZ"), middle[1], strict=True):
            twin.add_member_pt_load(tube, axis, float(part), twin.members[tube].L() / 2)
    for hub, down in (imposed or {}).items():
        twin.def_node_disp(f"N{hub}", "DZ", -down)
    for hub, stiffness in (springs or {}).items():
        twin.def_support(f"N{hub}", support_RX=stage.model.pinned, support_RY=stage.model.pinned,
                         support_RZ=stage.model.pinned)
        for axis, way in (("DX", None), ("DY", None), ("DZ", "-")):
            twin.def_support_spring(f"N{hub}", axis, stiffness, way)
    if springs:
        twin.analyze(check_stability=False)
    else:
        twin.analyze_linear(check_stability=False)
    return twin


_bending_alone = Member3D._ke_unc


def _with_shear(member):
    """The library's beam has no shear: its bending terms are put in anew, from the flexibility of a simple beam.

    End moments 1 turn the ends by L/3EI + 1/GA_sL (their own) and −L/6EI + 1/GA_sL (the other), in each plane.
    """
    k, areas = np.array(_bending_alone(member), dtype=float), getattr(member.section, "shear_n", None)
    if areas is None:
        return k
    length, young = member.L(), member.material.E
    for (w, r, sign), inertia, shear_n in (((2, 4, -1.0), member.section.Iy, areas[0]),
                                           ((1, 5, 1.0), member.section.Iz, areas[1])):
        own, other = length / (3 * young * inertia), -length / (6 * young * inertia)
        turns = np.linalg.inv(np.array([[own, other], [other, own]]) + 1 / (shear_n * length))
        # rotations against the chord from w1, r1, w2, r2
        chord = np.array([[sign / length, 1, -sign / length, 0], [sign / length, 0, -sign / length, 1]])
        dofs = [w, r, w + 6, r + 6]
        k[np.ix_(dofs, dofs)] = chord.T @ turns @ chord
    return k


Member3D._ke_unc = _with_shear


def _materials(twin, make, number):
    for name, of, section in ((f"arm {number}", make.arm_material, make.arm),
                              (f"tube {number}", make.tube_material, make.tube)):
        twin.add_material(name, of.youngs_modulus_mpa, of.shear_modulus_mpa, 0.3, 1.0)
        twin.add_section(name, section.area_mm2, section.inertia_out_mm4, section.inertia_in_mm4, section.torsion_mm4)
        if np.isfinite(section.shear_mm2):
            twin.sections[name].shear_n = (of.shear_flat_mpa * section.shear_mm2,
                                           of.shear_modulus_mpa * section.shear_mm2)


def _hub(twin, stage, hub, weight):
    model = stage.model
    twin.add_node(f"N{hub}", *model.nodes_mm[hub].tolist())
    twin.def_support(f"N{hub}", *stage.fixed[hub, :3].tolist(), *(stage.fixed[hub, 3:] | model.pinned).tolist())
    fitted = int((stage.ends == hub).sum())
    if weight:
        twin.add_node_load(f"N{hub}", "FZ", -(model.hub_weight_n[hub] - fitted * model.arm_weight_n))


def _strut(twin, model, number, wind, weight):
    """Three members in one line; the arms turned so that they lie flat to their hubs' outsides."""
    first, second = (int(hub) for hub in model.ends[number])
    start, stop = model.nodes_mm[first], model.nodes_mm[second]
    along = (stop - start) / np.linalg.norm(stop - start)
    for joint, place in (("a", start + model.reach_mm * along), ("b", stop - model.reach_mm * along)):
        twin.add_node(f"N{number}{joint}", *place.tolist())
    pieces = (("arm", f"N{first}", f"N{number}a", model.outward[first]), ("tube", f"N{number}a", f"N{number}b", None),
              ("arm", f"N{number}b", f"N{second}", model.outward[second]))
    for piece, (kind, one, two, outside) in enumerate(pieces):
        name = f"M{number}.{piece}"
        twin.add_member(name, one, two, *[f"{kind} {model.makes.at[number]}"] * 2)
        if outside is not None:
            _lay_flat(twin.members[name], outside)
        if model.pinned and kind == "arm":
            twin.def_releases(name, **{f"R{axis}{'i' if piece == 0 else 'j'}": True for axis in "yz"})
        _loads(twin, name, kind, model.make_at(number), (along, wind, weight))


def _lay_flat(member, outside):
    """Turn a member about its axis until its z axis is the hub's outside, seen square to the strut."""
    x, y, z = member.T()[:3, :3]
    wanted = np.cross(outside, x)
    member.rotation = math.degrees(math.atan2(wanted @ z, wanted @ y))


def _loads(twin, name, kind, make, given):
    along, wind, weight = given
    if weight:
        w = make.arm_weight_n_mm if kind == "arm" else make.tube_weight_n_mm
        twin.add_member_dist_load(name, "FZ", -w, -w)
    if wind is not None:
        pressure, direction = wind
        width = arm_breadth_mm(make) if kind == "arm" else make.tube.wind_width_mm
        size = BARE_STRUT_FORCE_COEFFICIENT * pressure * width * math.sqrt(max(0.0, 1 - float(along @ direction) ** 2))
        for axis, part in zip(("FX", "FY", "FZ"), direction, strict=True):
            twin.add_member_dist_load(name, axis, size * float(part), size * float(part))


def displacements(twin, stage):
    """(n, 6) hub displacements."""
    displacements = np.zeros(stage.fixed.shape)
    for hub in np.unique(stage.ends):
        node = twin.nodes[f"N{hub}"]
        displacements[hub] = [getattr(node, axis)["Combo 1"] for axis in ("DX", "DY", "DZ", "RX", "RY", "RZ")]
    return displacements


def arm_forces(twin, stage, reach_mm):
    """(struts, 4, 3) |axial force|, |moment out of plane|, |moment in plane| at root 1, joint 1, root 2, joint 2."""
    found = np.zeros((len(stage.struts), 4, 3))
    for row, number in enumerate(stage.struts):
        for station, (piece, at) in enumerate(((0, 0.0), (0, reach_mm), (2, reach_mm), (2, 0.0))):
            member = twin.members[f"M{number}.{piece}"]
            found[row, station] = (member.axial(at), member.moment("My", at), member.moment("Mz", at))
    return np.abs(found)
