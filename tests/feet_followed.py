"""Loads followed step by step on feet that lift and slip: what is told at once is held against this. Seconds each."""

from dataclasses import replace

import numpy as np
from scipy.spatial import ConvexHull

from fieldapp.statics.feet.ending import first_to_end
from fieldapp.statics.feet.gusts import BETWEEN_GUSTS, collapse_in_gusts, unit_gusts
from fieldapp.statics.feet.pushes import STRONGEST_N, collapse_under_pushes, unit_pushes
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.starts import starts_of
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response
from fieldapp.statics.wind import pressure_mpa

NEAR_COLLAPSE = 0.95
"""Just below collapse movements grow without bound: nothing is followed beyond this part of it."""
DIRECTIONS = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)])
"""(26, 3) towards faces, edges and corners of a cube."""


def followed_push(feet, tubes, pinned, ways=None):
    """Largest push at a hub in any direction that was borne all the way up, on feet in all ways of standing (G6)."""
    most_n, unit = min(pinned.value, STRONGEST_N), unit_pushes(feet, pinned.at)
    collapse, ball = collapse_under_pushes(feet, unit, most_n)
    least = FeetBound(most_n, pinned.governs) if collapse.value > most_n else collapse
    towards = DIRECTIONS / np.linalg.norm(DIRECTIONS, axis=1, keepdims=True)
    asked = np.minimum(least.value / between(towards), NEAR_COLLAPSE * ball.reach(towards))
    end = first_to_end(starts_of(feet, ways), tubes, along(unit, towards), asked)
    borne = end.bound.value * between(towards)
    return least if end.case < 0 or borne >= least.value else replace(end.bound, value=borne)


def followed_gust(feet, tubes, pinned, ways=None):
    """Largest gust from any direction that was borne all the way up (G6), (G8)."""
    gust = unit_gusts(feet)
    whole = collapse_in_gusts(feet, gust, pinned.value)
    asked = min(1.0, NEAR_COLLAPSE * (whole.value / pinned.value) ** 2)
    growing, most = gust * pressure_mpa(pinned.value), np.full(len(gust.arms), asked)
    end = first_to_end(starts_of(feet, ways), tubes, growing, most)
    if end.case < 0:
        return whole
    speed = pinned.value * float(np.sqrt(end.bound.value * BETWEEN_GUSTS))
    return replace(end.bound, value=speed) if speed < whole.value else whole


def between(directions):
    """Radius of the largest ball in the hull of unit vectors: what lies between them is borne that far (G5)."""
    return -float(ConvexHull(directions).equations[:, -1].max())


def along(unit, directions):
    """Unit pushes along k directions from those along x, y, z."""
    def mixed(parts):
        return np.tensordot(directions, parts, axes=1)

    load = Load(mixed(unit.load.hubs_n), mixed(unit.load.arms), mixed(unit.load.across_n_mm))
    return Response(unit.stage, mixed(unit.displacements), mixed(unit.arms), load)
