"""The rim of a cut, and where one of its hubs may come to lie in a given plane.

Points are tuples here: these are few and small sums, done many times over.
"""

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.shape import Shape

SAME = 1e-7
"""Lengths, heights and angles closer than this share of the radius count as one [1].
Source: our choice, far above rounding, far below a sawn length. Test: tests/frame/test_level.py"""

SECTOR_RAD = 2 * math.pi / 5
"""A vertex-up icosahedral cap repeats every fifth of a turn and mirrors inside it [rad].
Source: symmetry of the icosahedron (F1). Test: tests/frame/test_properties.py"""

SpherePoint = tuple[float, float, float]
Tie = tuple[SpherePoint, float]
"""A point that stays where it is, and the distance from it that a rim hub shall keep."""

_SPHERE: Tie = ((0.0, 0.0, 0.0), 1.0)
"""Staying on the sphere is a tie to its centre, (x, y, z) and distance in radii [1].
Source: definition (F6). Test: tests/frame/test_level.py"""


@dataclass(frozen=True, slots=True)
class Rim:
    """The rim hubs of one half sector stand for all: the chain, from one mirror plane (0°) to the next (36°)."""

    shape: Shape
    hubs: IntArray
    """(r,) rim hubs."""
    kind: IntArray
    """(r,) which of the chain's hubs each rim hub is an image of."""
    points: tuple[SpherePoint, ...]
    """Per chain hub: where it is on the sphere."""
    above: tuple[tuple[SpherePoint, ...], ...]
    """Per chain hub: the hubs of the row above that it is tied to."""

    @classmethod
    def of(cls, shape: Shape) -> "Rim":
        """The rim of a cut in its first position (a mirror plane along x)."""
        hubs = np.flatnonzero(shape.ground)
        azimuth = _azimuth_rad(shape.nodes[hubs])
        turned = np.mod(azimuth, SECTOR_RAD)
        folded = np.minimum(turned, SECTOR_RAD - turned)
        kind = np.abs(folded[:, None] - np.unique(folded.round(7))[None, :]).argmin(axis=1)
        in_half = (azimuth > -SAME) & (azimuth < SECTOR_RAD / 2 + SAME)
        chain = [int(hubs[np.flatnonzero((kind == k) & in_half)[0]]) for k in range(kind.max() + 1)]
        return cls(shape, hubs, kind, tuple(_points(shape.nodes[chain])),
                   tuple(tuple(_points(shape.nodes[_hubs_above(shape, hub)])) for hub in chain))

    def spread(self, placed: dict[int, SpherePoint]) -> FloatArray:
        """(n, 3) all hubs, the rim ones turned and mirrored from where their chain hubs were placed."""
        at = np.array([placed[k] for k in range(len(self.points))])
        azimuth = _azimuth_rad(self.shape.nodes[self.hubs])
        axis = np.round(azimuth / SECTOR_RAD) * SECTOR_RAD
        own = _azimuth_rad(at)[self.kind]
        target = axis + np.where(azimuth < axis - SAME, -own, own)
        radius = np.hypot(at[:, 0], at[:, 1])[self.kind]
        nodes = self.shape.nodes.copy()
        nodes[self.hubs] = np.column_stack((radius * np.cos(target), radius * np.sin(target), at[self.kind, 2]))
        return nodes

    def mirror_rad(self, k: int) -> float | None:
        """Azimuth of the vertical mirror plane through chain hub k, if there is one [rad]."""
        azimuth = math.atan2(self.points[k][1], self.points[k][0])
        return next((plane for plane in (0.0, SECTOR_RAD / 2) if abs(azimuth - plane) < SAME), None)

    def neighbours(self, k: int, placed: dict[int, SpherePoint], here: SpherePoint) -> list[SpherePoint]:
        """Rim neighbours of chain hub k, now at `here`, that are placed; at a chain's end its own image is one."""
        found = [placed[d] for d in (k - 1, k + 1) if d in placed]
        if self.mirror_rad(k) is None:
            ends = ((0, 0.0), (len(self.points) - 1, SECTOR_RAD / 2))
            found += [_image(here, plane) for end, plane in ends if end == k]
        return found

    def spots(self, k: int, placed: dict[int, SpherePoint], height: float) -> list[SpherePoint]:
        """Where chain hub k may lie in the plane: as many ties kept as it can, or straight above or below."""
        here = self.points[k]
        base = [(placed[d], math.dist(here, self.points[d])) for d in (k - 1, k + 1) if d in placed]
        ties = [*base, *((hub, math.dist(here, hub)) for hub in self.above[k]), _SPHERE]
        plane = self.mirror_rad(k)
        if plane is not None:
            found = [_on_ray(plane, tie, height, here) for tie in ties]
        else:
            found = [_crossing(one, other, height, here) for one, other in combinations(ties, 2)]
        return [spot for spot in found if spot is not None] + [(here[0], here[1], height)]

    def slides(self, k: int, placed: dict[int, SpherePoint], height: float) -> list[SpherePoint]:
        """Where chain hub k lies in the plane if it is moved along its meridian on the sphere."""
        x, y, z = self.points[k]
        wider = math.sqrt((1 - height**2) / (1 - z**2))
        return [(x * wider, y * wider, height)]


def _points(rows: FloatArray) -> list[SpherePoint]:
    """Rows of an array as tuples."""
    return [(float(x), float(y), float(z)) for x, y, z in rows]


def _azimuth_rad(points: FloatArray) -> FloatArray:
    """Mathematical azimuth, −π to π [rad]."""
    return np.asarray(np.arctan2(points[:, 1], points[:, 0]))


def _image(point: SpherePoint, plane_rad: float) -> SpherePoint:
    """The mirror image in the vertical plane at an azimuth."""
    cosine, sine = math.cos(2 * plane_rad), math.sin(2 * plane_rad)
    return point[0] * cosine + point[1] * sine, point[0] * sine - point[1] * cosine, point[2]


def _hubs_above(shape: Shape, hub: int) -> IntArray:
    """The hubs of the row above that a rim hub is tied to."""
    struts = shape.struts[(shape.struts == hub).any(axis=1)]
    others = struts.sum(axis=1) - hub
    return np.asarray(others[~shape.ground[others]])


def _radius_in_plane(tie: Tie, height: float) -> float | None:
    """Radius of the circle that a tie leaves in the plane; None if it does not reach it."""
    square = tie[1] ** 2 - (height - tie[0][2]) ** 2
    return math.sqrt(square) if square > 0 else None


def _on_ray(azimuth_rad: float, tie: Tie, height: float, near: SpherePoint) -> SpherePoint | None:
    """The point nearest to `near` that keeps a tie, in the plane and in a vertical plane through the axis.

    Source: (F6). Test: tests/frame/test_level.py
    """
    radius = _radius_in_plane(tie, height)
    if radius is None:
        return None
    x, y = math.cos(azimuth_rad), math.sin(azimuth_rad)
    along = x * tie[0][0] + y * tie[0][1]
    square = radius**2 - (x * tie[0][1] - y * tie[0][0]) ** 2
    if square < 0:
        return None
    reaches = (along - math.sqrt(square), along + math.sqrt(square))
    return _nearest([(x * r, y * r, height) for r in reaches], near)


def _crossing(first: Tie, second: Tie, height: float, near: SpherePoint) -> SpherePoint | None:
    """The point nearest to `near` that keeps two ties in the plane.

    Source: (F6). Test: tests/frame/test_level.py
    """
    a, b = _radius_in_plane(first, height), _radius_in_plane(second, height)
    dx, dy = second[0][0] - first[0][0], second[0][1] - first[0][1]
    gap = math.hypot(dx, dy)
    if a is None or b is None or gap < SAME:
        return None
    along = (gap**2 + a**2 - b**2) / (2 * gap)
    if along**2 > a**2:
        return None
    x, y = first[0][0] + dx / gap * along, first[0][1] + dy / gap * along
    aside = math.sqrt(a**2 - along**2) / gap
    return _nearest([(x - dy * s, y + dx * s, height) for s in (aside, -aside)], near)


def _nearest(spots: list[SpherePoint], near: SpherePoint) -> SpherePoint:
    """The spot nearest to a point."""
    return min(spots, key=lambda spot: math.dist(spot, near))
