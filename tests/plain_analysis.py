"""A plain analysis of hubs as ball joints and struts as bars: textbook formulas, nothing of the project's statics.

It reads coordinates, lengths and masses, and knows no rule of the verdict. Joints of its own are hinges: what it finds
rigid stands by geometry alone, with the hubs held that people are told to hold.
"""

import numpy as np

G_N_KG = 9.81
E_MEAN_MPA, E_05_MPA = 11000.0, 7400.0
"""Of timber C24 along the grain. Source: EN 338 table 1 (from memory)."""
PERMANENT, MATERIAL = 1.35, 1.3
"""Partial factors of permanent loads (EN 1990 table A1.2(B)) and of solid timber (EN 1995-1-1 table 2.3): from
memory."""


def judged(kit, hubs, struts, still, carried=()):
    """(rigid, use): whether geometry keeps every hub that is tied, and the most used bar against Euler's load.

    `still` hubs stand on the ground or are held; `carried` ones are borne upward only, two of them also kept sideways.
    """
    frame = kit.frame
    bars = [(name, *(frame.hub_index[end.hub] for end in (frame.strut(name).end_1, frame.strut(name).end_2)))
            for name in struts if {frame.strut(name).end_1.hub, frame.strut(name).end_2.hub} <= set(hubs)]
    tied = sorted({hub for _name, one, other in bars for hub in (one, other)})
    row = {hub: 3 * number for number, hub in enumerate(tied)}
    stiffness, load = np.zeros((3 * len(tied), 3 * len(tied))), np.zeros(3 * len(tied))
    for _name, one, other in bars:
        along, length_mm = _along(frame, one, other)
        block = E_MEAN_MPA * _area_mm2(kit) / length_mm * np.outer(along, along)
        for a, b, sign in ((one, one, 1), (other, other, 1), (one, other, -1), (other, one, -1)):
            stiffness[row[a]:row[a] + 3, row[b]:row[b] + 3] += sign * block
    for place in (*hubs, *struts):
        ends = [place] if place in frame.hub_index else [frame.strut(place).end_1.hub, frame.strut(place).end_2.hub]
        on = [frame.hub_index[end] for end in ends if frame.hub_index[end] in row]
        for hub in on:
            load[row[hub] + 2] -= PERMANENT * kit.by_place[place].mass_kg * G_N_KG / len(on)
    kept = {row[frame.hub_index[hub]] + axis for hub in still if frame.hub_index[hub] in row for axis in range(3)}
    kept |= {row[frame.hub_index[hub]] + 2 for hub in carried}
    if carried:
        kept |= _kept_sideways(frame, row, carried)
    free = np.array([dof for dof in range(len(load)) if dof not in kept], dtype=int)
    if not len(free):
        return True, 0.0
    inside = stiffness[np.ix_(free, free)]
    least, most = np.linalg.eigvalsh(inside)[[0, -1]]
    if least < 1e-7 * most:
        return False, np.inf
    moved = np.zeros(len(load))
    moved[free] = np.linalg.solve(inside, load[free])
    return True, max(_use(kit, moved, row, one, other) for _name, one, other in bars)


def _along(frame, one, other):
    between = frame.nodes_mm[other] - frame.nodes_mm[one]
    length_mm = float(np.linalg.norm(between))
    return between / length_mm, length_mm


def _use(kit, moved, row, one, other):
    """Compression against Euler's load with E_05 / γ_M (EN 1993-1-1 style); tension bears far more."""
    along, length_mm = _along(kit.frame, one, other)
    longer_mm = along @ (moved[row[other]:row[other] + 3] - moved[row[one]:row[one] + 3])
    force_n = -E_MEAN_MPA * _area_mm2(kit) / length_mm * longer_mm
    euler_n = np.pi**2 * E_05_MPA / MATERIAL * np.pi * kit.design.strut.outer_mm**4 / 64 / length_mm**2
    return max(force_n, 0.0) / euler_n


def _area_mm2(kit):
    return np.pi * kit.design.strut.outer_mm**2 / 4


def _kept_sideways(frame, row, carried):
    """The first carrier both ways, the one farthest from it across: no drift, no turning, nothing else."""
    at = [frame.nodes_mm[frame.hub_index[hub]][:2] for hub in carried]
    far = int(np.argmax([np.linalg.norm(place - at[0]) for place in at]))
    away = at[far] - at[0]
    axis = 1 if abs(away[0]) >= abs(away[1]) else 0
    first, last = row[frame.hub_index[carried[0]]], row[frame.hub_index[carried[far]]]
    return {first, first + 1, last + axis}
