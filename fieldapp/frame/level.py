"""Level base: the rim hubs brought into one plane with the fewest added strut lengths.

The rim of a cut is rarely level. The plane goes through one kind of rim hub, which stays; every other
rim hub is moved so that as many of its struts as possible keep their length. A hub on a vertical
mirror plane can keep one length, any other hub two. Which plane and which struts is found by trying.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.shape import Shape, strut_lengths

SAME = 1e-7
"""Lengths and heights closer than this share of the radius count as one."""

MOST_MOVEMENT = 0.4
"""No rim hub moves farther than this share of the shortest strut, or the lowest triangles go flat. Our judgement."""

_SECTOR_RAD = 2 * np.pi / 5
"""A vertex-up icosahedral cap repeats every fifth of a turn and mirrors inside it."""


def level_rim(shape: Shape) -> Shape:
    """The shape with all ground hubs in one horizontal plane; unchanged if they are already.

    Parameters
    ----------
    shape : Shape
        A cut unit sphere in its first position (a mirror plane along x), ground hubs = rim.

    Raises
    ------
    DesignError
        If no way keeps every hub within `MOST_MOVEMENT` of where it was: the rim is too wavy.

    Notes
    -----
    Chosen in this order: fewest added lengths, fewest lengths in all, least movement, order of the
    rules (base struts kept, struts above kept, straight down, along the meridian on the sphere).

    Examples
    --------
    >>> from fieldapp.frame.cuts import cut_sphere
    >>> from fieldapp.frame.dome import subdivided_sphere
    >>> cap = level_rim(cut_sphere(subdivided_sphere(3, "equal chords"), 5))
    >>> float(np.ptp(cap.nodes[cap.ground, 2])) < 1e-12, len(distinct(strut_lengths(cap.nodes, cap.struts)))
    (True, 4)
    """
    if np.ptp(shape.nodes[shape.ground, 2]) < SAME:
        return shape
    lengths = strut_lengths(shape.nodes, shape.struts)
    tries = [(_cost(distinct(lengths), shape, moved), moved) for moved in _Rim.of(shape).tries()]
    sound = [(cost, moved) for cost, moved in tries if cost[2] <= MOST_MOVEMENT * lengths.min()]
    if not sound:
        raise DesignError(_too_wavy(shape))
    return shape.with_nodes(min(sound, key=lambda one: one[0])[1])


def _too_wavy(shape: Shape) -> str:
    """What to say of a rim that cannot be levelled."""
    wave = np.ptp(shape.nodes[shape.ground, 2]) / 2 * 100
    return (f"frame.level_base is true, but the rim of this cut goes up and down by {wave:.1f} % of the diameter, too "
            f"much for the lowest struts; choose a cut nearer to the middle of the sphere, or level_base = false")


def distinct(lengths: FloatArray) -> FloatArray:
    """The different lengths, sorted, rounding aside.

    Examples
    --------
    >>> distinct(np.array([0.4, 0.3, 0.4 + 1e-12])).tolist()
    [0.3, 0.4]
    """
    ordered = np.sort(lengths)
    return ordered[np.concatenate(([True], np.diff(ordered) > SAME))]


def added_lengths(before: FloatArray, after: FloatArray) -> int:
    """How many of the lengths `after` are none of those `before`.

    Examples
    --------
    >>> added_lengths(np.array([0.3, 0.4]), np.array([0.3, 0.35, 0.41]))
    2
    """
    return int((np.abs(after[:, None] - before[None, :]).min(axis=1) > SAME).sum())


def _cost(before: FloatArray, shape: Shape, moved: FloatArray) -> tuple[int, int, float]:
    """Added lengths, lengths in all, farthest movement (rounded, so that ties are ties)."""
    after = distinct(strut_lengths(moved, shape.struts))
    farthest = float(np.linalg.norm(moved - shape.nodes, axis=1).max())
    return added_lengths(before, after), len(after), round(farthest, 9)


@dataclass(frozen=True, slots=True)
class _Rim:
    """The rim hubs of one half sector stand for all: from one mirror plane (0°) to the next (36°)."""

    nodes: FloatArray
    hubs: IntArray
    """(r,) rim hubs."""
    kind: IntArray
    """(r,) which of the chain's hubs each rim hub is an image of."""
    chain: IntArray
    """(c,) the rim hubs of the half sector, by azimuth."""
    above: list[IntArray]
    """Per chain hub: the hubs of the row above that it is tied to."""

    @classmethod
    def of(cls, shape: Shape) -> "_Rim":
        hubs = np.flatnonzero(shape.ground)
        folded = _folded_rad(_azimuth_rad(shape.nodes[hubs]))
        order = np.unique(folded.round(7))
        kind = np.abs(folded[:, None] - order[None, :]).argmin(axis=1)
        azimuth = np.mod(_azimuth_rad(shape.nodes[hubs]) + SAME, 2 * np.pi) - SAME
        chain = np.array([hubs[np.flatnonzero((kind == k) & (azimuth < _SECTOR_RAD / 2 + SAME))[0]]
                          for k in range(len(order))])
        return cls(shape.nodes, hubs, kind, chain, [_hubs_above(shape, hub) for hub in chain])

    def tries(self) -> Iterator[FloatArray]:
        """All hubs as every rule, in its order, and every plane through a rim hub would place them."""
        for rule in _RULES:
            for height in distinct(self.nodes[self.chain, 2]):
                placed = rule(self, float(height))
                if placed is not None:
                    yield self._spread(placed)

    def _spread(self, placed: FloatArray) -> FloatArray:
        """All hubs, the rim ones put where their chain hub went, turned and mirrored to their own azimuth."""
        azimuth = _azimuth_rad(self.nodes[self.hubs])
        axis = np.round(azimuth / _SECTOR_RAD) * _SECTOR_RAD
        own = _azimuth_rad(placed)[self.kind]
        target = axis + np.where(azimuth < axis - SAME, -own, own)
        radius = np.hypot(placed[:, 0], placed[:, 1])[self.kind]
        nodes = self.nodes.copy()
        nodes[self.hubs] = np.column_stack((radius * np.cos(target), radius * np.sin(target), placed[self.kind, 2]))
        return nodes

    def is_on_mirror(self, k: int) -> bool:
        """Whether chain hub k lies on a vertical mirror plane."""
        folded = _folded_rad(_azimuth_rad(self.nodes[self.chain[[k]]]))[0]
        return bool(folded < SAME or folded > _SECTOR_RAD / 2 - SAME)

    def walk(self, height: float) -> tuple[list[int], list[int]]:
        """Chain hubs that are at `height`, and the others in order of their distance along the chain."""
        fixed = [k for k, hub in enumerate(self.chain) if abs(self.nodes[hub, 2] - height) < SAME]
        loose = [k for k in range(len(self.chain)) if k not in fixed]
        return fixed, sorted(loose, key=lambda k: min(abs(k - f) for f in fixed))


def _azimuth_rad(points: FloatArray) -> FloatArray:
    """Mathematical azimuth, −π to π [rad]."""
    return np.asarray(np.arctan2(points[:, 1], points[:, 0]))


def _folded_rad(azimuth_rad: FloatArray) -> FloatArray:
    """Angle to the nearest mirror plane of the kind at 0°, 0 to π/5 [rad]."""
    turned = np.mod(azimuth_rad, _SECTOR_RAD)
    return np.minimum(turned, _SECTOR_RAD - turned)


def _hubs_above(shape: Shape, hub: int) -> IntArray:
    """The hubs of the row above that a rim hub is tied to."""
    struts = shape.struts[(shape.struts == hub).any(axis=1)]
    others = struts.sum(axis=1) - hub
    return np.asarray(others[~shape.ground[others]])


_Rule = Callable[[_Rim, float], FloatArray | None]
_Tie = tuple[FloatArray, float]
"""A hub that stays where it is, and the length that a strut to it shall keep."""


def _keeping(*, base_first: bool, near_first: bool) -> _Rule:
    """The rule that keeps base struts or struts above, and of those the nearer or the farther to the placed hub."""

    def rule(rim: _Rim, height: float) -> FloatArray | None:
        placed = rim.nodes[rim.chain].copy()
        done, loose = rim.walk(height)
        for k in loose:
            base, above = _ties(rim, k, placed, done)
            neighbour = placed[_nearest(k, done)]
            above.sort(key=lambda tie: _gap(tie[0], neighbour), reverse=not near_first)
            place = _settled(rim, k, base + above if base_first else above + base, height)
            if place is None:
                return None
            placed[k] = place
            done = [*done, k]
        return placed

    return rule


def _nearest(k: int, done: list[int]) -> int:
    """The placed chain hub nearest to k."""
    return min(done, key=lambda d: abs(d - k))


def _gap(first: FloatArray, second: FloatArray) -> float:
    """Distance between two points."""
    return float(np.linalg.norm(first - second))


def _ties(rim: _Rim, k: int, placed: FloatArray, done: list[int]) -> tuple[list[_Tie], list[_Tie]]:
    """Ties of chain hub k to its placed rim neighbours and to the hubs above, with their lengths so far."""
    here = rim.nodes[rim.chain[k]]
    base = [(placed[d], _gap(rim.nodes[rim.chain[d]], here)) for d in (k - 1, k + 1) if d in done]
    above = [(rim.nodes[hub], _gap(rim.nodes[hub], here)) for hub in rim.above[k]]
    return base, above


def _settled(rim: _Rim, k: int, ties: list[_Tie], height: float) -> FloatArray | None:
    """Where chain hub k comes to lie in the plane with its first ties kept; None if they cannot reach it."""
    here = rim.nodes[rim.chain[k]]
    if rim.is_on_mirror(k):
        spots = _on_ray(here[:2] / np.linalg.norm(here[:2]), ties[0], height)
    else:
        spots = _crossings(ties[0], ties[1], height) if len(ties) > 1 else []
    if not spots:
        return None
    best = min(spots, key=lambda spot: _gap(spot, here[:2]))
    return np.array([*best, height])


def _radius_in_plane(tie: _Tie, height: float) -> float:
    """Radius of the circle that a tie leaves in the plane; negative if it does not reach it."""
    square = tie[1] ** 2 - (height - tie[0][2]) ** 2
    return float(np.sqrt(square)) if square > 0 else -1.0


def _on_ray(direction: FloatArray, tie: _Tie, height: float) -> list[FloatArray]:
    """Points (2,) of a horizontal line through the axis at the tie's length from its hub."""
    radius = _radius_in_plane(tie, height)
    along = float(direction @ tie[0][:2])
    square = radius**2 - (float(tie[0][:2] @ tie[0][:2]) - along**2)
    if radius < 0 or square < 0:
        return []
    return [direction * (along + side * np.sqrt(square)) for side in (-1.0, 1.0)]


def _crossings(first: _Tie, second: _Tie, height: float) -> list[FloatArray]:
    """Points (2,) of the plane at the lengths of both ties."""
    a, b = _radius_in_plane(first, height), _radius_in_plane(second, height)
    between = second[0][:2] - first[0][:2]
    gap = float(np.linalg.norm(between))
    if a < 0 or b < 0 or gap < SAME:
        return []
    along = (gap**2 + a**2 - b**2) / (2 * gap)
    square = a**2 - along**2
    if square < 0:
        return []
    foot = first[0][:2] + between / gap * along
    aside = np.array([-between[1], between[0]]) / gap * np.sqrt(square)
    return [foot - aside, foot + aside]


def _along_meridian(rim: _Rim, height: float) -> FloatArray | None:
    """Every hub slid on the sphere to the plane; always possible."""
    placed = rim.nodes[rim.chain].copy()
    scale = np.sqrt(1 - height**2) / np.hypot(placed[:, 0], placed[:, 1])
    placed[:, :2] *= scale[:, None]
    placed[:, 2] = height
    return placed


def _straight_down(rim: _Rim, height: float) -> FloatArray | None:
    """Every hub moved vertically to the plane."""
    placed = rim.nodes[rim.chain].copy()
    placed[:, 2] = height
    return placed


_RULES: tuple[_Rule, ...] = (
    _keeping(base_first=True, near_first=True),
    _keeping(base_first=True, near_first=False),
    _keeping(base_first=False, near_first=True),
    _straight_down,
    _along_meridian,
)
