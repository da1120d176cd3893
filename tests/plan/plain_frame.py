"""A stage by the plainest means: twelve by twelve beams written out, one dense matrix, no banding, no condensing.

Shares no code with the judging of stages; only sizes, places and masses are taken from the kit. Beam matrix: any
textbook of matrix analysis, Euler-Bernoulli (common practice).
"""

import numpy as np


def plain_stage(case, fitted, hanging=()):
    """(stands, largest arm stress under 1.35 × weight / characteristic strength, held hub → force [N])."""
    frame, make, model = case.frame, case.model.make, case.model
    ends = {strut.name: [(1, strut.end_1.hub), (2, strut.end_2.hub)] for strut in frame.struts}
    points, pieces = {hub: np.array(frame.position_mm(hub)) for hub in fitted.hubs}, []
    load_n = {hub: model.hub_weight_n[frame.hub_index[hub]] for hub in fitted.hubs}
    for strut in fitted.struts:
        (_, one), (_, two) = ends[strut]
        start, stop = (np.array(frame.position_mm(hub)) for hub in (one, two))
        along = (stop - start) / np.linalg.norm(stop - start)
        for end, hub, at, way in ((1, one, start, along), (2, two, stop, -along)):
            points[strut, end] = at + make.reach_mm * way
            load_n[strut, end] = make.tube_weight_n_mm * (np.linalg.norm(stop - start) - 2 * make.reach_mm) / 2
            if hub in points and (strut, end) not in hanging and (strut, end) not in case.arms_gone:
                pieces.append((hub, (strut, end), make.arm, make.arm_material, frame.outward[frame.hub_index[hub]]))
        pieces.append(((strut, 1), (strut, 2), make.tube, make.tube_material, _across(along)))
    number = {point: place for place, point in enumerate(points)}
    whole, forces = np.zeros((6 * len(points),) * 2), np.zeros(6 * len(points))
    for piece in pieces:
        at = np.r_[6 * number[piece[0]] + np.arange(6), 6 * number[piece[1]] + np.arange(6)]
        matrix, turn = _beam(points[piece[0]], points[piece[1]], *piece[2:])
        whole[np.ix_(at, at)] += turn.T @ matrix @ turn
    for point, newton in load_n.items():
        forces[6 * number[point] + 2] = -1.35 * newton
    fixed = np.concatenate([6 * number[hub] + np.arange(3) for hub in (*fitted.stands_on, *fitted.held)] or [[]])
    lies = [6 * number[hub] + 3 + np.arange(3) for hub in fitted.stands_on if not whole[6 * number[hub] + 3].any()]
    free = np.setdiff1d(np.arange(6 * len(points)), np.concatenate([fixed, *lies]).astype(int))    # a lone foot turns
    moved = np.zeros(6 * len(points))
    try:
        np.linalg.cholesky(whole[np.ix_(free, free)])
        moved[free] = np.linalg.solve(whole[np.ix_(free, free)], forces[free])
    except np.linalg.LinAlgError:
        return False, np.inf, {}
    worst = 0.0
    for piece in pieces:
        if piece[2] is make.arm:
            at = np.r_[6 * number[piece[0]] + np.arange(6), 6 * number[piece[1]] + np.arange(6)]
            matrix, turn = _beam(points[piece[0]], points[piece[1]], *piece[2:])
            inner = np.abs(matrix @ turn @ moved[at])
            stress = inner[0] / make.arm.area_mm2 + max(inner[4], inner[10]) / make.arm.modulus_out_mm3 \
                + max(inner[5], inner[11]) / make.arm.modulus_in_mm3
            worst = max(worst, stress / make.arm_material.bending_mpa)
    back = whole @ moved - forces
    return True, worst, {hub: float(np.linalg.norm(back[6 * number[hub]:][:3])) / 1.35 for hub in fitted.held}


def _across(along):
    """Any direction square to a round tube."""
    return np.array([0.0, 0.0, 1.0]) if abs(along[2]) < 0.9 else np.array([1.0, 0.0, 0.0])


def _beam(start, stop, section, material, outside):
    """(12, 12) stiffness in its own axes, and the turn into them; z lies toward the outside."""
    length = np.linalg.norm(stop - start)
    x = (stop - start) / length
    z = outside - (outside @ x) * x
    z /= np.linalg.norm(z)
    turn = np.kron(np.eye(4), np.array([x, np.cross(z, x), z]))
    young, shear = material.youngs_modulus_mpa, material.shear_modulus_mpa
    k = np.zeros((12, 12))
    for a, b, stiff in ((0, 6, young * section.area_mm2 / length), (3, 9, shear * section.torsion_mm4 / length)):
        k[np.ix_([a, b], [a, b])] = stiff * np.array([[1, -1], [-1, 1]])
    for w, r, sign, inertia in ((1, 5, 1.0, section.inertia_in_mm4), (2, 4, -1.0, section.inertia_out_mm4)):
        half = young * inertia / length**3 * np.array([
            [12, 6 * length, -12, 6 * length], [6 * length, 4 * length**2, -6 * length, 2 * length**2],
            [-12, -6 * length, 12, -6 * length], [6 * length, 2 * length**2, -6 * length, 4 * length**2]])
        way = np.array([1, sign, 1, sign])
        k[np.ix_([w, r, w + 6, r + 6], [w, r, w + 6, r + 6])] = half * np.outer(way, way)
    return k, turn
