"""A plain analysis of what stands, by textbook formulas: nothing of the project's statics, no rule of the verdict.

Two questions. `rigid`: does geometry alone keep all that is tied, struts as bars on ball joints, with the hubs held
that people are told to hold. `Beams`: what arms and tubes bear, every strut three beams in one line (arm, tube, arm) in
dense matrices, small movements. Sizes, places and masses are taken from the kit; strengths stand here, on the side that
lets more pass, so that whatever snaps here must not have been told as borne.
"""

import numpy as np

G_N_KG = 9.81
E_MEAN_MPA, E_05_MPA, G_TIMBER_MPA = 11000.0, 7400.0, 690.0
"""Of timber C24. Source: EN 338 table 1 (from memory)."""
PERMANENT, VARIABLE, TIMBER_FACTOR = 1.35, 1.5, 1.3
"""Partial factors of permanent and variable loads (EN 1990 table A1.2(B)) and of solid timber (EN 1995-1-1 table 2.3):
from memory."""
PLYWOOD = {12.0: (33.2, 6781.0)}
"""Birch plywood across its face grain by thickness [mm]: (bending strength, E) [N/mm²]. Source: Handbook of Finnish
Plywood (from memory)."""
G_PLYWOOD_MPA, SHORT_DRY, PLYWOOD_FACTOR = 620.0, 0.9, 1.2
"""Panel shear of birch plywood (same handbook, from memory); k_mod of short loads in dry plywood and γ_M (EN 1995-1-1
tables 3.1, 2.3). Wet plywood bears less, and so the pages tell less."""
LOOSE_NMM_RAD = 1.0
"""Keeps a hub from turning that nothing else keeps, and bears nothing (in no formula)."""
FARTHEST_MM = 500.0
"""Beyond this nothing is small any more: it falls."""


def rigid(frame, hubs, struts, still, carried=()):
    """True if no hub that is tied can move without a strut changing its length (Maxwell 1864, by rank).

    `still` hubs stand on the ground or are held; `carried` ones are borne upward only, two of them also kept sideways.
    """
    inside = set(hubs)
    bars = [(frame.strut(name).end_1.hub, frame.strut(name).end_2.hub) for name in struts]
    bars = [pair for pair in bars if inside.issuperset(pair)]
    row = {hub: 3 * number for number, hub in enumerate(sorted({hub for pair in bars for hub in pair}))}
    longer = np.zeros((len(bars), 3 * len(row)))
    for number, (one, other) in enumerate(bars):
        along = np.array(frame.position_mm(other)) - np.array(frame.position_mm(one))
        along /= np.linalg.norm(along)
        longer[number, row[one]:row[one] + 3], longer[number, row[other]:row[other] + 3] = -along, along
    kept = {row[hub] + axis for hub in still if hub in row for axis in range(3)} | kept_upright(frame, row, carried)
    free = sorted(set(range(3 * len(row))) - kept)
    return not free or bool(np.linalg.matrix_rank(longer[:, free], tol=1e-5) == len(free))


def kept_upright(frame, row, carried):
    """Carriers bear upward; the first both ways sideways too, the one farthest from it across: no drift, no turning."""
    carried = [hub for hub in carried if hub in row]
    if not carried:
        return set()
    at = [np.array(frame.position_mm(hub))[:2] for hub in carried]
    far = int(np.argmax([np.linalg.norm(place - at[0]) for place in at]))
    away = at[far] - at[0]
    axis = 1 if abs(away[0]) >= abs(away[1]) else 0
    return {row[hub] + 2 for hub in carried} | {row[carried[0]], row[carried[0]] + 1, row[carried[far]] + axis}


_ELEMENTS = {}


def elements(kit):
    """Every strut of a kit once: (hubs, stiffness, loads, arms) between its two hubs, the inner points worked out."""
    if kit.design not in _ELEMENTS:
        _ELEMENTS[kit.design] = {strut.name: _element(kit, strut) for strut in kit.frame.struts}
    return _ELEMENTS[kit.design]


class Beams:
    """The stage of these hubs and struts under 1.35 times its weight; `gone` are (strut, end) whose arm is broken."""

    def __init__(self, kit, places, still, *, carried=(), gone=frozenset()):
        self.kit, frame = kit, kit.frame
        inside = {place for place in places if place in frame.hub_index}
        struts = {name: [end.hub for number, end in ((1, frame.strut(name).end_1), (2, frame.strut(name).end_2))
                         if end.hub in inside and (name, number) not in gone]
                  for name in sorted(place for place in places if place in frame.strut_index)}
        hubs = sorted({hub for on in struts.values() for hub in on if len(on) == 2})
        self.row = {hub: 6 * number for number, hub in enumerate(hubs)}
        self.load, self.arms, self.tubes = np.zeros(6 * len(hubs)), [], []
        self.stiffness = LOOSE_NMM_RAD * np.diag(np.tile([0.0, 0, 0, 1, 1, 1], len(hubs)))
        for hub in hubs:
            self.load[self.row[hub] + 2] -= PERMANENT * kit.by_place[hub].mass_kg * G_N_KG
        every = elements(kit)
        for name, on in struts.items():
            if len(on) == 2:
                self._tie(*every[name])
            elif on and on[0] in self.row:
                self._hang(name, on[0])
        self._keep({self.row[hub] + axis for hub in still if hub in self.row for axis in range(3)}, carried)

    def _keep(self, kept, carried):
        """Movements; a carrier bears upward only, and those out of whose hands it would lift do not keep it down."""
        own = kept | kept_upright(self.kit.frame, self.row, carried)
        free = np.setdiff1d(np.arange(len(self.load)), sorted(own)).astype(int)
        self.give = np.zeros_like(self.stiffness)
        self.give[np.ix_(free, free)] = np.linalg.inv(self.stiffness[np.ix_(free, free)])
        self.moved = self.give @ self.load
        bears = self.stiffness @ self.moved - self.load
        pressed = [hub for hub in carried if hub not in self.row or bears[self.row[hub] + 2] > -1e-3]
        if len(pressed) < len(carried):
            self._keep(kept, pressed)

    def _tie(self, hubs, stiffness, load, arms):
        dofs = np.concatenate([np.arange(self.row[hub], self.row[hub] + 6) for hub in hubs])
        self.stiffness[np.ix_(dofs, dofs)] += stiffness
        self.load[dofs] += load
        self.arms += [(dofs, share, own) for share, own in arms]
        self.tubes += [(dofs, *(part[0] * _bears(self.kit)[0] / _euler_n(self.kit, hubs) for part in arms[0]))]

    def _hang(self, strut, hub):
        """Its weight on the one hub that has it; a strut on none, or on a hub that nothing ties, is in hands."""
        along, long_mm = _along(self.kit.frame, strut, hub)
        down = np.array([0.0, 0.0, -PERMANENT * self.kit.by_place[strut].mass_kg * G_N_KG])
        self.load[self.row[hub]:self.row[hub] + 6] += np.r_[down, np.cross(along * long_mm / 2, down)]

    def falls(self):
        """True if it goes farther than a frame that stands."""
        return bool(np.any(np.abs(self.moved.reshape(-1, 6)[:, :3]) > FARTHEST_MM))

    def use(self):
        """The most used arm, by its axial force and both its moments."""
        return max((float(np.abs(share @ self.moved[dofs] + own).sum()) for dofs, share, own in self.arms), default=0.0)

    def tube_use(self):
        """The most pressed strut against Euler's load between its hubs (EN 1993-1-1 style)."""
        return max((float(share @ self.moved[dofs] + own) for dofs, share, own in self.tubes), default=0.0)

    def push_use(self, hub, push_n):
        """The most used arm while this hub is pushed as well, each by the direction that is worst for it."""
        unit = self.give[:, self.row[hub]:self.row[hub] + 3]
        signs = np.array([(1, 1, 1), (1, 1, -1), (1, -1, 1), (1, -1, -1)])
        return max((float(np.max(np.abs(signs @ (share @ self.moved[dofs] + own)) + VARIABLE * push_n * np.linalg.norm(
            signs @ share @ unit[dofs], axis=1))) for dofs, share, own in self.arms), default=0.0)

    def lag_use(self, carrier, lag_mm):
        """The most used arm while one carrier is lower than the others."""
        lower = np.zeros(len(self.load))
        lower[self.row[carrier] + 2] = -lag_mm
        moved = self.moved - self.give @ self.stiffness @ lower + lower
        return max((float(np.abs(share @ moved[dofs] + own).sum()) for dofs, share, own in self.arms), default=0.0)


def end_use(kit, strut, hub, push_n):
    """The arm on which a strut hangs while its free end is pushed square to it, flat to the sheet; its hub stays."""
    along, long_mm = _along(kit.frame, strut, hub)
    weight_nmm = PERMANENT * kit.by_place[strut].mass_kg * G_N_KG * np.linalg.norm(along[:2]) * long_mm / 2
    reach_mm = kit.design.hub.reach_mm
    return (weight_nmm + VARIABLE * push_n * (long_mm - reach_mm)) / max(_bears(kit)[1:])


def _element(kit, strut):
    """Arm, tube, arm in one line."""
    (x, long_mm), reach_mm = _along(kit.frame, strut.name, strut.end_1.hub), kit.design.hub.reach_mm
    hubs = strut.end_1.hub, strut.end_2.hub
    beams = [(0, reach_mm, _flat(kit), _square(x, kit.frame.outward[kit.frame.hub_index[hubs[0]]])),
             (6, long_mm - 2 * reach_mm, _round(kit), _square(x, np.array([x[1], x[2], -x[0]]))),
             (12, reach_mm, _flat(kit), _square(x, kit.frame.outward[kit.frame.hub_index[hubs[1]]]))]
    whole, arms = np.zeros((24, 24)), []
    for start, beam_mm, section, z in beams:
        local = _beam(beam_mm, *section) @ np.kron(np.eye(4), np.array([x, np.cross(z, x), z]))
        turn = np.kron(np.eye(4), np.array([x, np.cross(z, x), z]))
        whole[start:start + 12, start:start + 12] += turn.T @ local
        arms += [(start, local)] if start != 6 else []
    outer, inner, own = np.r_[0:6, 18:24], np.r_[6:18], np.zeros(24)
    weight = np.zeros(12)
    weight[[2, 8]] = -PERMANENT * kit.by_place[strut.name].mass_kg * G_N_KG / 2
    back = np.linalg.inv(whole[np.ix_(inner, inner)])
    points = np.zeros((24, 12))
    points[outer], points[inner], own[inner] = np.eye(12), -back @ whole[np.ix_(inner, outer)], back @ weight
    shares = [(rows @ points[start:start + 12], rows @ own[start:start + 12])
              for start, local in arms for rows in (local[[0, 4, 5]] / _bears(kit)[:, None],
                                                    local[[6, 10, 11]] / _bears(kit)[:, None])]
    return (hubs, whole[np.ix_(outer, outer)] + whole[np.ix_(outer, inner)] @ points[inner], points[inner].T @ weight,
            shares)


def _bears(kit):
    """(force, moment out of the sheet, moment in it) that alone would break an arm [N], [N mm]."""
    hub = kit.design.hub
    thick_mm, wide_mm = hub.ply_mm * hub.plies, hub.arm_depth_mm
    strength_mpa = PLYWOOD[hub.ply_mm][0] * SHORT_DRY / PLYWOOD_FACTOR
    return strength_mpa * np.array([thick_mm * wide_mm, wide_mm * thick_mm**2 / 6, thick_mm * wide_mm**2 / 6])


def _euler_n(kit, hubs):
    """Of the tube alone, hinged at both hubs, with E_05 / γ_M."""
    one, other = (np.array(kit.frame.position_mm(hub)) for hub in hubs)
    return np.pi**2 * E_05_MPA / TIMBER_FACTOR * _round(kit)[3] / float(np.sum((other - one)**2))


def _flat(kit):
    """(E, G, area, inertia out of the sheet, in it, torsion) of a flat arm."""
    hub = kit.design.hub
    thick_mm, wide_mm = hub.ply_mm * hub.plies, hub.arm_depth_mm
    return (PLYWOOD[hub.ply_mm][1], G_PLYWOOD_MPA, thick_mm * wide_mm, wide_mm * thick_mm**3 / 12,
            thick_mm * wide_mm**3 / 12, wide_mm * thick_mm**3 / 3 * (1 - 0.63 * thick_mm / wide_mm))


def _round(kit):
    """The same of a round rod."""
    across_mm = kit.design.strut.outer_mm
    bent = np.pi * across_mm**4 / 64
    return E_MEAN_MPA, G_TIMBER_MPA, np.pi * across_mm**2 / 4, bent, bent, 2 * bent


def _along(frame, strut, hub):
    """(direction, length) from this hub to the other."""
    at = frame.strut(strut)
    one, other = (np.array(frame.position_mm(end.hub)) for end in (at.end_1, at.end_2))
    long_mm = float(np.linalg.norm(other - one))
    return (other - one) / long_mm * (1 if at.end_1.hub == hub else -1), long_mm


def _square(along, near):
    """A direction square to a strut, as near to the given one as can be."""
    z = near - (near @ along) * along
    return z / np.linalg.norm(z)


def _beam(long_mm, young, shear, area, out, flat, torsion):
    """(12, 12) of a beam in its own axes, Euler-Bernoulli; z lies square to the sheet (common practice)."""
    k = np.zeros((12, 12))
    for a, b, stiff in ((0, 6, young * area / long_mm), (3, 9, shear * torsion / long_mm)):
        k[np.ix_([a, b], [a, b])] = stiff * np.array([[1, -1], [-1, 1]])
    for w, r, sign, inertia in ((1, 5, 1.0, flat), (2, 4, -1.0, out)):
        half = young * inertia / long_mm**3 * np.array([
            [12, 6 * long_mm, -12, 6 * long_mm], [6 * long_mm, 4 * long_mm**2, -6 * long_mm, 2 * long_mm**2],
            [-12, -6 * long_mm, 12, -6 * long_mm], [6 * long_mm, 2 * long_mm**2, -6 * long_mm, 4 * long_mm**2]])
        way = np.array([1, sign, 1, sign])
        k[np.ix_([w, r, w + 6, r + 6], [w, r, w + 6, r + 6])] = half * np.outer(way, way)
    return k
