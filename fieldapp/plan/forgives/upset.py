"""How a frame that does not bend tips or slides on loose feet under one force: by hand, beside its strength.

It tips about the line between two outer feet; what keeps it is 0.9 × its weight, which acts at its middle, and pegs.
It slides when the force along the ground passes what friction and pegs hold of all feet together: an upper bound.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import GAMMA_G_HOLDING, GAMMA_Q
from fieldapp.frame.frame import FloatArray
from fieldapp.statics.feet.footing import Footing
from fieldapp.statics.governs import SLIDES, TIPS, Governs
from fieldapp.statics.limits import Limit
from fieldapp.statics.loads import Load
from fieldapp.statics.stiffness import Stage


@dataclass(frozen=True, slots=True, eq=False)
class Resting2D:
    """Where a frame presses on the ground and what keeps it there."""

    edges_mm: FloatArray
    """(e, 2) a point of each line about which it may tip."""
    normals: FloatArray
    """(e, 2) unit vectors across those lines, outward."""
    keeps_nmm: FloatArray
    """(e,) moment that keeps it from tipping about each: 0.9 × weight, ballast, pegs."""
    slides_n: float
    """Sideways force that friction and pegs hold: 0.9 × weight."""


def resting(stage: Stage, weight: Load, on: Footing) -> Resting2D | None:
    """The lines about which a stage may tip, and what keeps it; None if its feet lie in one line, which is no stand.

    Source: (P22). Test: tests/plan/test_forgives.py
    """
    from scipy.spatial import ConvexHull  # here: scipy would slow the start of the server

    feet = stage.model.nodes_mm[[stage.model.hub_index[foot] for foot in on.feet], :2]
    if np.linalg.matrix_rank(feet - feet[:1], IN_LINE_MM) < 2:
        return None
    hull = ConvexHull(feet)
    normals, points = hull.equations[:, :2], feet[hull.simplices[:, 0]]
    down = -weight.hubs_n[0, :, 2]
    # moments of a strut's own weight at its hubs shift where it acts: x by M_y / weight, y by −M_x / weight
    shift = np.column_stack((weight.hubs_n[0, :, 4], -weight.hubs_n[0, :, 3]))
    at = (down @ stage.model.nodes_mm[:, :2] + shift.sum(axis=0)) / down.sum()
    inside = (normals * (points - at)).sum(axis=1)
    arms = np.maximum((normals[:, None] * (points[:, None] - feet)).sum(axis=2), 0.0)  # (edge, foot)
    keeps = GAMMA_G_HOLDING * down.sum() * inside + arms @ (on.peg_up_n + GAMMA_G_HOLDING * on.ballast_n)
    pressed = GAMMA_G_HOLDING * (down.sum() / len(feet) + on.ballast_n)
    slides = np.minimum(on.friction * pressed, on.most_sideways_n).sum() + on.peg_side_n.sum()
    return Resting2D(points, normals, np.maximum(keeps, 0.0), float(slides))


IN_LINE_MM = 1.0
"""Feet that are nearer to one line than this span no ground [mm]. Source: our choice.
Test: tests/plan/test_forgives.py"""


def upset_limits(of: Resting2D, kind: str, at: Sequence[str], points_mm: FloatArray, forces_n: FloatArray
                 ) -> tuple[Limit, ...]:
    """How many times each of k forces is borne before the frame tips or slides.

    Source: (P22). Test: tests/plan/test_forgives.py

    Parameters
    ----------
    points_mm, forces_n : (k, 3) arrays
        Where each acts, feet at height 0, and the force for a factor of 1. [mm, N]
    """
    height = points_mm[:, 2:]
    beyond = points_mm[:, :2] @ of.normals.T - (of.normals * of.edges_mm).sum(axis=1)
    turns = -forces_n[:, 2:] * beyond + height * (forces_n[:, :2] @ of.normals.T)
    with np.errstate(divide="ignore"):
        tips = np.where(turns > 0, of.keeps_nmm / (GAMMA_Q * np.where(turns > 0, turns, 1.0)), np.inf).min(axis=1)
        across = np.linalg.norm(forces_n[:, :2], axis=1)
        slides = np.where(across > 0, of.slides_n / (GAMMA_Q * np.where(across > 0, across, 1.0)), np.inf)
    return tuple(Limit(kind, float(min(tip, slide)), place, Governs(TIPS if tip <= slide else SLIDES))
                 for tip, slide, place in zip(tips, slides, at, strict=True))
