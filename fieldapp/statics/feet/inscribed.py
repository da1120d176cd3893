"""Pushes in any direction that feet bear: the largest ball inside the convex set of borne pushes, found from inside."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.feet.collapse import Borne, CollapseProgram

CLOSE = 0.01
"""The ball is found to within this share of itself, from inside [1]. Source: our choice. Test:
tests/statics/feet/test_collapse.py"""
MOST_LOOKS = 40
"""Directions that are looked at; what is known then is on the careful side [1]. Source: our choice. Test:
tests/statics/feet/test_collapse.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Inscribed:
    """A convex set of pushes from inside: the hull of pushes that are borne."""

    radius: float
    """A push of this size is borne whatever its direction."""
    worst: FloatArray
    """(3,) unit vector of the direction in which it ends first."""
    normals: FloatArray
    """(f, 3) outward unit vectors of the hull's facets; none if not even the weight is borne."""
    distances: FloatArray
    """(f,) of the facets from no push at all."""
    settled: bool

    def reach(self, directions: FloatArray) -> FloatArray:
        """(k,) how large a push along each unit vector, (k, 3), is sure to be borne."""
        along = directions @ self.normals.T
        with np.errstate(divide="ignore"):
            far = np.where(along > _SIDEWAYS, self.distances / np.where(along > _SIDEWAYS, along, 1.0), np.inf)
        return np.asarray(far.min(axis=1, initial=np.inf)) if len(self.normals) else np.zeros(len(directions))


_SIDEWAYS = 1e-9
"""Cosine to a facet's normal below which a direction never meets it [1]. Source: our choice, rounding. Test:
tests/statics/feet/test_collapse.py"""

_FACES = np.concatenate((np.eye(3), -np.eye(3)))
"""(6, 3) faces of a cube: directions looked at first (in no formula)."""
_CORNERS = np.array([(x, y, z) for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
"""(8, 3) its corners: looked at as well where what the faces show lies in a plane (in no formula)."""


def inscribed(program: CollapseProgram, close: float = CLOSE, enough: float = np.inf) -> Inscribed:
    """The largest ball of pushes that are borne, in three dimensions; of `enough` it is not looked at more closely.

    Source: (G5). Test: tests/statics/feet/test_collapse.py

    Notes
    -----
    Borne pushes are a convex set. Whatever lies in the hull of some that are borne is borne too, so the nearest facet
    of the hull is never farther than what is true; looking along its normal finds out by how much it falls short.
    """
    seen = [program.farthest(direction) for direction in _FACES]
    if not all(borne.stands for borne in seen):
        return _none(settled=all(borne.settled for borne in seen))
    hull = _hull(program, seen)
    if hull is None:  # flat: in some direction nothing is borne
        return _none(settled=True)
    settled = True
    for _ in range(MOST_LOOKS):
        at = int(hull.equations[:, 3].argmax())
        normal, near = hull.equations[at, :3], max(-float(hull.equations[at, 3]), 0.0)
        if near >= enough:
            break
        farther = program.farthest(normal)
        settled = farther.settled
        if not farther.stands or float(normal @ farther.loads) - near <= close * near + _NOTHING_N:
            break
        hull.add_points(farther.loads[None])
    return Inscribed(near, normal, hull.equations[:, :3].copy(), np.maximum(-hull.equations[:, 3], 0.0), settled)


def _none(*, settled: bool) -> Inscribed:
    """Not even a small push is borne in every direction."""
    return Inscribed(0.0, np.array([0.0, 0.0, 1.0]), np.zeros((0, 3)), np.zeros(0), settled)


def _hull(program: CollapseProgram, seen: list[Borne]) -> Any:
    """The hull of pushes that are borne; None if they lie in a plane."""
    from scipy.spatial import ConvexHull, QhullError  # here: scipy would slow the start of the server

    for more in ((), _CORNERS):
        seen += [program.farthest(direction) for direction in more]
        try:
            return ConvexHull(np.array([borne.loads for borne in seen]), incremental=True)
        except QhullError:
            continue
    return None


_NOTHING_N = 0.1
"""Pushes this close are one [N]. Source: our choice, ten grams. Test: tests/statics/feet/test_collapse.py"""
