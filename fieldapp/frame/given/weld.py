"""Points that lie closer than the tolerance are one hub: the middle of them; every such set is told."""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import FloatArray, IntArray

SHARE_OF_SHORTEST = 1 / 3
"""Of the shortest line, that the tolerance may reach: with more, two ends of one line could become one [1].
Source: our choice; two balls of half a third round two ends stay a third apart. Test: tests/frame/given/test_weld.py"""
AT_ALL_MM = 1e-6
"""Points closer than this are the same point and no merge to speak of [mm].
Source: our choice, rounding of a file's digits. Test: tests/frame/given/test_weld.py"""


@dataclass(frozen=True, slots=True)
class Welded:
    """Points without doubles."""

    points_mm: FloatArray
    """(n, 3) [mm]."""
    index: IntArray
    """(p,) the new point of each old one."""
    names: tuple[str, ...]
    """(n,) the first name of each."""
    merged: tuple[str, ...]
    """One sentence a set that was spread."""


def welded(points_mm: FloatArray, names: tuple[str, ...], tolerance_mm: float, shortest_mm: float) -> Welded:
    """Points closer than the tolerance, directly or by others between them, brought together in their middle.

    Parameters
    ----------
    points_mm : (p, 3) array
    names : tuple of str
    tolerance_mm, shortest_mm : float
        Of the weld, and the length of the shortest line [mm].

    Raises
    ------
    DesignError
        If the tolerance is above a third of the shortest line, or a chain of points spreads further than it.

    Examples
    --------
    >>> found = welded(np.array([[0.0, 0, 0], [0.4, 0, 0], [900.0, 0, 0]]), ("A", "B", "C"), 1.0, 900.0)
    >>> found.points_mm.tolist(), found.index.tolist(), found.merged
    ([[0.2, 0.0, 0.0], [900.0, 0.0, 0.0]], [0, 0, 1], ('points A, B lie within 0.40 mm and count as one',))
    """
    from scipy.sparse import coo_matrix  # both slow to bring in, and only for frames from files
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    if tolerance_mm > SHARE_OF_SHORTEST * shortest_mm:
        raise DesignError(f"drawing.weld_mm is {tolerance_mm:g}, but the shortest line measures {shortest_mm:.1f} mm; "
                          f"allowed is at most a third of that, {SHARE_OF_SHORTEST * shortest_mm:.1f}. Weld less, or "
                          f"take the short line out of the file.")
    pairs = cKDTree(points_mm).query_pairs(tolerance_mm, output_type="ndarray")
    near = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points_mm),) * 2)
    count, raw = connected_components(near, directed=False)
    _, first, index = np.unique(raw, return_index=True, return_inverse=True)
    order = np.argsort(np.argsort(first))                # in the order in which they stand in the file
    index, first = order[index], np.sort(first)
    sums: FloatArray = np.column_stack([np.bincount(index, points_mm[:, axis]) for axis in range(3)]).astype(float)
    middle = sums / np.bincount(index)[:, None]
    merged = tuple(_sentence(points_mm, names, index, number, tolerance_mm)
                   for number in _spread(points_mm, middle, index, count))
    return Welded(middle, index, tuple(names[i] for i in first), merged)


def _spread(points_mm: FloatArray, middle_mm: FloatArray, index: IntArray, count: int) -> list[int]:
    """Sets whose points were not the same to begin with."""
    off_mm = np.zeros(count)
    np.maximum.at(off_mm, index, np.linalg.norm(points_mm - middle_mm[index], axis=1))
    return np.flatnonzero(off_mm > AT_ALL_MM).tolist()


def _sentence(points_mm: FloatArray, names: tuple[str, ...], index: IntArray, number: int, tolerance_mm: float) -> str:
    members = np.flatnonzero(index == number)
    of = points_mm[members]
    widest_mm = float(np.max(np.linalg.norm(of[:, None] - of[None], axis=2)))  # (point, other point, axis) within
    listed = ", ".join(dict.fromkeys(names[i] for i in members[:6])) + (" …" if len(members) > 6 else "")
    if widest_mm > 2 * tolerance_mm:
        raise DesignError(f"the points {listed} lie in a chain that is {widest_mm:.2f} mm long, each within "
                          f"drawing.weld_mm ({tolerance_mm:g}) of the next: nobody can tell which are one hub. Weld "
                          f"less, or draw them where they belong.")
    return f"points {listed} lie within {widest_mm:.2f} mm and count as one"
