"""Lack of fit once more, from geometry alone: which parts err alike, what is known, and how it misfits.

Stiffness and arm forces for given displacements are taken over: other tests hold them against a frame library.
"""

import numpy as np
from scipy.spatial.transform import Rotation

OUT_OF_PLANE, IN_PLANE = slice(1, 3), slice(3, 5)


def locked_per_error(ready):
    """(12 × struts, 5 × struts) arm forces ÷ resistance for 1 mm, 1 rad of dip, 1 rad anticlockwise at either end."""
    stage, model = ready.stage, ready.stage.model
    misfits = np.array([_misfit(model, strut) for strut in stage.struts])  # (strut, end dof, error)
    dofs = (stage.ends[:, :, None] * 6 + np.arange(6)).reshape(-1, 12)
    size = stage.fixed.size
    whole, forces = np.zeros((size, size)), np.zeros((size, 5 * len(dofs)))
    for row, (at, strut) in enumerate(zip(dofs, stage.struts, strict=True)):
        whole[np.ix_(at, at)] += model.stiffness[strut]
        forces[at, 5 * row:5 * row + 5] -= model.stiffness[strut] @ misfits[row]
    free = np.flatnonzero(~stage.fixed.ravel() & (np.abs(whole).sum(axis=1) > 0))
    moved = np.zeros_like(forces)
    moved[free] = np.linalg.solve(whole[np.ix_(free, free)], forces[free])
    found = []
    for row, (at, strut) in enumerate(zip(dofs, stage.struts, strict=True)):
        between = moved[at].copy()
        between[:, 5 * row:5 * row + 5] += misfits[row]
        lasting = model.arm_capacity[strut] * model.arm_lasting
        found.append(model.arm_per_displacement[strut] @ between / lasting[:, None])
    return np.concatenate(found)


def _misfit(model, strut):
    """(12, 5) of one strut between its two hubs."""
    start, end = model.ends[strut]
    along = model.nodes_mm[end] - model.nodes_mm[start]
    along /= np.linalg.norm(along)
    gap = np.zeros((12, 5))
    gap[:3, 0], gap[6:9, 0] = along / 2, -along / 2
    for at, (arm, outward) in enumerate(((along, model.outward[start]), (-along, model.outward[end]))):
        inwards = np.cross(arm, -outward)
        gap[6 * at + 3:6 * at + 6, 1 + at] = inwards / np.linalg.norm(inwards)
        upright = outward - (outward @ arm) * arm
        gap[6 * at + 3:6 * at + 6, 3 + at] = upright / np.linalg.norm(upright)
    return gap


def worst_arms(components):
    """(k,) largest sum of sizes of axial, out-of-plane and in-plane part at any station, of (12 × struts, k)."""
    return np.abs(components.reshape(-1, 3, components.shape[1])).sum(axis=1).max(axis=0)


def ways_to_err(case, ready):
    """Numbers of independent errors, (struts, 5), for two ways in which lengths err and three in which angles do."""
    struts = [case.frame.strut(case.model.strut_names[number]) for number in ready.stage.struts]
    seats = {hub.name: seat(case, hub)[0] for hub in case.frame.hubs}
    hubs = {hub.name: hub for hub in case.frame.hubs}
    single = np.arange(5 * len(struts)).reshape(-1, 5)

    def numbered(names):
        order = {name: number for number, name in enumerate(sorted(set(names)))}
        return np.array([order[name] for name in names])

    def slot(end):
        return hubs[end.hub].hub_class, int(seats[end.hub][end.arm - 1])

    saw = numbered([strut.strut_class for strut in struts])
    slots = numbered([slot(strut.end(end)) for strut in struts for end in (1, 2)]).reshape(-1, 2)
    jigs = numbered([hubs[strut.end(end).hub].hub_class for strut in struts for end in (1, 2)]).reshape(-1, 2)
    lengths = [single[:, 0], saw]
    angles = [single[:, 1:], np.hstack((slots, 1000 + slots)), np.hstack((jigs, 1000 + slots))]
    return lengths, angles


def drawn(numbers, count, seed):
    """(struts × columns, count) errors within ± 1, equal numbers alike."""
    return np.random.default_rng(seed).uniform(-1.0, 1.0, (int(numbers.max()) + 1, count))[numbers]


def seat(case, hub):
    """Which arm of its class's pattern each arm of a hub place is, and by which turn it misses there, (k, 3)."""
    pattern = next(kind for kind in case.frame.hub_classes if kind.name == hub.hub_class)
    turn, dip = np.radians(np.cumsum((0.0, *pattern.gaps_deg[:-1]))), np.radians(pattern.dips_deg)
    made = np.column_stack((np.cos(dip) * np.sin(turn), np.cos(dip) * np.cos(turn), -np.sin(dip)))
    at = np.array([case.frame.position_mm(_far(case, arm)) - case.frame.position_mm(hub.name) for arm in hub.arms])
    wanted = at / np.linalg.norm(at, axis=1)[:, None]
    tries = []
    for first in range(len(made)):
        arms = np.roll(made, -first, axis=0)
        turned = Rotation.align_vectors(wanted, arms)[0].apply(arms)
        off = np.cross(wanted, turned)
        tries.append((round(float(np.linalg.norm(off, axis=1).max()), 9), first, off))
    _, first, off = min(tries, key=lambda one: one[:2])
    return np.roll(np.arange(len(made)), -first), off


def _far(case, arm):
    return case.frame.strut(arm.strut).end(3 - arm.end).hub


def known(case, ready):
    """(struts, 5) what classes alone do: too long, dips too much at either end, anticlockwise at either end."""
    found = np.zeros((len(ready.stage.struts), 5))
    row = {case.model.strut_names[number]: at for at, number in enumerate(ready.stage.struts)}
    by_class = {}
    for strut in case.frame.struts:
        by_class.setdefault(strut.strut_class, []).append(strut.centre_length_mm)
    for name, at in row.items():
        strut = case.frame.strut(name)
        found[at, 0] = np.mean(by_class[strut.strut_class]) - strut.centre_length_mm
    for hub in case.frame.hubs:
        _, off = seat(case, hub)
        for arm, turn in zip(hub.arms, off, strict=True):
            if arm.strut in row:
                misfit = _misfit(case.model, case.model.strut_index[arm.strut])[6 * arm.end - 3:6 * arm.end]
                found[row[arm.strut], arm.end] = misfit[:, arm.end] @ turn
                found[row[arm.strut], 2 + arm.end] = misfit[:, 2 + arm.end] @ turn
    return found
