"""Level base: the rim hubs brought into one plane with the fewest added strut lengths.

The rim of a cut is rarely level. The plane goes through one kind of rim hub, which stays; the others are
placed one after the other from there, each in every way that keeps as many ties as it can: a hub on a
vertical mirror plane one, any other hub two, of its struts' lengths and its place on the sphere. Of all
that comes of it, the frame with the fewest added lengths is taken in which every arm still dips inward well
enough: keeping lengths alone would fold the rim out and in like a paper frill from frequency 4 on.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import FloatArray
from fieldapp.frame.rim import SAME, Rim, SpherePoint
from fieldapp.frame.shape import Shape, strut_lengths

MOST_MOVEMENT = 0.4
"""No rim hub moves farther than this share of the shortest strut, or the lowest triangles go flat [1].
Source: our choice (F6). Test: tests/frame/test_level.py"""

LEAST_DIP = 0.5
"""Every arm at the rim dips at least by this share of what the shortest strut dips on the sphere [1].
Source: our choice (F6). Test: tests/frame/test_level.py"""

_KEPT_ATTEMPTS = 60
"""So many of the best unfinished attempts are followed up [1].
Source: our choice; the lengths that it reaches are held. Test: tests/frame/test_level.py"""


def level_rim(shape: Shape) -> Shape:
    """The shape with all ground hubs in one horizontal plane; unchanged if they are already.

    Source: (F6). Test: tests/frame/test_level.py

    Parameters
    ----------
    shape : Shape
        A cut unit sphere in its first position (a mirror plane along x), ground hubs = rim.

    Raises
    ------
    DesignError
        If no way keeps the arms' dip (`LEAST_DIP`) and the hubs near where they were
        (`MOST_MOVEMENT`): the rim is too wavy.

    Notes
    -----
    Chosen in this order: fewest added lengths, fewest lengths in all, least movement.

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
    rim = Rim.of(shape)
    before = distinct(strut_lengths(shape.nodes, shape.struts))
    heights = distinct(np.array([point[2] for point in rim.points]))
    ends = [rim.spread(attempt.placed) for height in heights for attempt in _attempts(rim, float(height), before)]
    if not ends:
        raise DesignError(_too_wavy(shape))
    return shape.with_nodes(min(ends, key=lambda nodes: _cost(before, shape, nodes)))


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


def _cost(before: FloatArray, shape: Shape, nodes: FloatArray) -> tuple[int, int, float]:
    """Added lengths, lengths in all, farthest movement (rounded, so that ties are ties)."""
    after = distinct(strut_lengths(nodes, shape.struts))
    farthest = float(np.linalg.norm(nodes - shape.nodes, axis=1).max())
    return added_lengths(before, after), len(after), round(farthest, 9)


def _too_wavy(shape: Shape) -> str:
    """What to say of a rim that cannot be levelled."""
    wave = np.ptp(shape.nodes[shape.ground, 2]) / 2 * 100
    return (f"frame.level_base is true, but the rim of this cut goes up and down by {wave:.1f} % of the diameter, too "
            f"much for the lowest struts; choose a cut nearer to the middle of the sphere, or level_base = false")


@dataclass(frozen=True, slots=True)
class _Attempt:
    """Some rim hubs placed; `added` lengths that none of the struts had so far."""

    placed: dict[int, SpherePoint]
    added: tuple[float, ...]
    farthest: float

    def rank(self) -> tuple[int, float]:
        """Fewer added lengths first, then less movement."""
        return len(self.added), round(self.farthest, 9)


def _attempts(rim: Rim, height: float, before: FloatArray) -> list[_Attempt]:
    """The best ways to bring all rim hubs to one height; sliding all along their meridians if nothing else does."""
    known = before.tolist()
    fixed = {k: point for k, point in enumerate(rim.points) if abs(point[2] - height) < SAME}
    loose = sorted((k for k in range(len(rim.points)) if k not in fixed), key=lambda k: min(abs(k - f) for f in fixed))
    for find in (rim.spots, rim.slides):
        attempts = [_Attempt(fixed, (), 0.0)]
        for k in loose:
            longer = [after for attempt in attempts
                      for after in _with_hub(rim, k, attempt, find(k, attempt.placed, height), known)]
            attempts = sorted(longer, key=_Attempt.rank)[:_KEPT_ATTEMPTS]
        if attempts:
            return attempts
    return []


def _with_hub(rim: Rim, k: int, attempt: _Attempt, spots: list[SpherePoint], known: list[float]) -> Iterator[_Attempt]:
    """The attempt with one more hub, placed at every sound spot."""
    for spot in spots:
        others = [*rim.neighbours(k, attempt.placed, spot), *rim.above[k]]
        moved = math.dist(spot, rim.points[k])
        if moved > MOST_MOVEMENT * known[0] or _least_sine_of_dip(spot, others) < LEAST_DIP * known[0] / 2:
            continue
        added = list(attempt.added)
        for other in others:
            length = math.dist(spot, other)
            if all(abs(length - one) > SAME for one in (*known, *added)):
                added.append(length)
        yield _Attempt({**attempt.placed, k: spot}, tuple(added), max(attempt.farthest, moved))


def _least_sine_of_dip(one: SpherePoint, others: list[SpherePoint]) -> float:
    """Sine of the least angle by which struts from one hub dip below the tangent plane, at either end."""
    return min(_sine_of_dip(*pair) for other in others for pair in ((one, other), (other, one)))


def _sine_of_dip(here: SpherePoint, there: SpherePoint) -> float:
    """Sine of the angle by which a strut dips below the tangent plane of the hub `here`."""
    fall = sum(a * (a - b) for a, b in zip(here, there, strict=True))
    return fall / math.hypot(*here) / math.dist(here, there)
