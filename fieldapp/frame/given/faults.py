"""What no frame can have: lines twice, without length, that cross, end in the air, or hang together with nothing."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray

MOST_LINES = 20_000
"""Of a file: our choice, several times what anybody carries (in no formula)."""
ALONG = 0.99
"""Cosine between two lines from one point that may lie on each other [1].
Source: our choice, 8°: only which pairs are looked at. Test: tests/frame/given/test_faults.py"""
MOST_TOLD = 8
"""Of each kind of fault, told one by one (in no formula)."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Welded points and lines, with what the file calls them."""

    points_mm: FloatArray
    lines: IntArray
    names: tuple[str, ...]
    where: tuple[str, ...]
    weld_mm: float


def faults(of: Lines) -> tuple[str, ...]:
    """Each fault as a sentence with its place and what to do; at most `MOST_TOLD` of a kind, then how many more.

    Examples
    --------
    >>> square = np.array([[0.0, 0, 0], [1000.0, 0, 0], [1000.0, 1000, 0], [0.0, 1000, 0]])
    >>> crossed = Lines(square, np.array([[0, 2], [1, 3]]), ("A", "B", "C", "D"), ("line 2", "line 3"), 1.0)
    >>> faults(crossed)[0]
    'line 2 (A to C) crosses line 3 (B to D) where no point is. Put a hub there, or take one of the lines out.'
    """
    if len(of.lines) == 0:
        return ("it has no line. Save lines, polylines or faces.",)
    if len(of.lines) > MOST_LINES:
        return (f"it has {len(of.lines)} lines; allowed are up to {MOST_LINES}. Take out what is no strut.",)
    plain = tuple(_few(_without_length(of))) + tuple(_few(_twice(of)))
    return plain or (*_few(_crossing(of)), *_few(_overlapping(of)), *_few(_dangling(of)), *_few(_islands(of)))


def _few(found: Iterator[str]) -> Iterator[str]:
    every = list(found)
    yield from every[:MOST_TOLD]
    if len(every) > MOST_TOLD:
        yield f"… and {len(every) - MOST_TOLD} more of this kind."


def _line(of: Lines, number: int) -> str:
    a, b = of.lines[number]
    return f"{of.where[number]} ({of.names[a]} to {of.names[b]})"


def _without_length(of: Lines) -> Iterator[str]:
    for number in np.flatnonzero(of.lines[:, 0] == of.lines[:, 1]).tolist():
        yield f"{_line(of, number)} has both ends in one point. Take it out, or move one end."


def _twice(of: Lines) -> Iterator[str]:
    seen: dict[tuple[int, int], int] = {}
    for number, (a, b) in enumerate(of.lines.tolist()):
        before = seen.setdefault((min(a, b), max(a, b)), number)
        if before != number:
            yield f"{_line(of, number)} is drawn a second time, first at {of.where[before]}. Take one of them out."


def _dangling(of: Lines) -> Iterator[str]:
    ends = np.bincount(of.lines.ravel(), minlength=len(of.points_mm))
    for point in np.flatnonzero(ends == 1).tolist():
        number = int(np.flatnonzero((of.lines == point).any(axis=1))[0])
        yield (f"{_line(of, number)} ends in the air at {_at(of, point)}: no other line meets it there. Draw it to a "
               f"hub, weld with a larger drawing.weld_mm, or take it out.")


def _islands(of: Lines) -> Iterator[str]:
    from scipy.sparse import coo_matrix  # only for frames from files
    from scipy.sparse.csgraph import connected_components

    size = len(of.points_mm)
    joined = coo_matrix((np.ones(len(of.lines)), (of.lines[:, 0], of.lines[:, 1])), shape=(size, size))
    count, part = connected_components(joined, directed=False)
    sizes = np.bincount(part)
    main = int(sizes.argmax())
    for number in range(count):
        if number != main:
            point = int(np.flatnonzero(part == number)[0])
            what = "the point" if sizes[number] == 1 else f"{sizes[number]} points round"
            yield (f"{what} {_at(of, point)} hang together with nothing else. Join them by lines, weld with a larger "
                   f"drawing.weld_mm, or take them out.")


def _at(of: Lines, point: int) -> str:
    x, y, z = of.points_mm[point]
    return f"{of.names[point]} ({x:.0f}, {y:.0f}, {z:.0f} mm)"


def _crossing(of: Lines) -> Iterator[str]:
    """Lines that come closer to each other than the weld, and share no point there."""
    first, second = _near_pairs(of, shared=False)
    distance_mm = segment_distances_mm(of.points_mm[of.lines[first]], of.points_mm[of.lines[second]])
    for a, b in zip(first[distance_mm < of.weld_mm].tolist(), second[distance_mm < of.weld_mm].tolist(), strict=True):
        yield (f"{_line(of, a)} crosses {_line(of, b)} where no point is. Put a hub there, or take one of the lines "
               f"out.")


def _overlapping(of: Lines) -> Iterator[str]:
    """Lines from one point of which one runs along the other."""
    first, second = _near_pairs(of, shared=True)
    for a, b in zip(first.tolist(), second.tolist(), strict=True):
        common = int(np.intersect1d(of.lines[a], of.lines[b])[0])
        for one, other in ((a, b), (b, a)):
            far = int(of.lines[one][of.lines[one] != common][0])
            start, end = of.points_mm[of.lines[other]]
            if _to_segment(of.points_mm[[far]], start[None], (end - start)[None])[0] < of.weld_mm:
                yield (f"{_line(of, other)} runs over the point {_at(of, far)} of {_line(of, one)}. Draw it from "
                       f"point to point, or take it out.")


def _near_pairs(of: Lines, *, shared: bool) -> tuple[IntArray, IntArray]:
    """Pairs of lines, with or without a common point, whose middles are near enough for them to meet."""
    from scipy.spatial import cKDTree  # only for frames from files

    ends = of.points_mm[of.lines]  # (line, end, axis)
    half_mm = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1) / 2
    pairs = cKDTree(ends.mean(axis=1)).query_pairs(2 * float(half_mm.max()) + of.weld_mm, output_type="ndarray")
    first, second = pairs[:, 0], pairs[:, 1]
    apart = np.linalg.norm(ends[first].mean(axis=1) - ends[second].mean(axis=1), axis=1)
    # (pair, end of the first, end of the second)
    common = (of.lines[first][:, :, None] == of.lines[second][:, None, :]).any(axis=(1, 2))
    near = (apart <= half_mm[first] + half_mm[second] + of.weld_mm) & (common == shared)
    if shared:                          # only those that leave the common point the same way can lie on each other
        near[near] = _same_way(of, first[near], second[near])
    order = np.lexsort((second[near], first[near]))
    return first[near][order], second[near][order]


def segment_distances_mm(first: FloatArray, second: FloatArray) -> FloatArray:
    """Shortest distance between the two segments of each pair.

    Parameters
    ----------
    first, second : (n, 2, 3) arrays
        Pair, end, axis [mm].

    Notes
    -----
    (F8): the nearest points of the two lines, each then kept within its segment, and of these the nearest to each
    other; the nearest pair of two segments has at least one end of one of them, or both inner points.

    Source: (F8). Test: tests/frame/given/test_faults.py
    """
    p, u = first[:, 0], first[:, 1] - first[:, 0]
    q, v = second[:, 0], second[:, 1] - second[:, 0]
    inner = _inner_distances(p, u, q, v)
    ends = [_to_segment(point, start, along) for point, start, along in
            ((first[:, 0], q, v), (first[:, 1], q, v), (second[:, 0], p, u), (second[:, 1], p, u))]
    return np.asarray(np.min([inner, *ends], axis=0))


def _inner_distances(p: FloatArray, u: FloatArray, q: FloatArray, v: FloatArray) -> FloatArray:
    """Distance of the two lines where both nearest points lie within their segments; else without end."""
    w = p - q
    a, b, c = (u * u).sum(axis=1), (u * v).sum(axis=1), (v * v).sum(axis=1)
    d, e = (u * w).sum(axis=1), (v * w).sum(axis=1)
    across = a * c - b * b
    safe = np.where(across > 1e-12 * a * c, across, np.inf)
    s, t = (b * e - c * d) / safe, (a * e - b * d) / safe
    inside = np.isfinite(safe) & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    return np.where(inside, np.linalg.norm(w + s[:, None] * u - t[:, None] * v, axis=1), np.inf)


def _to_segment(point: FloatArray, start: FloatArray, along: FloatArray) -> FloatArray:
    share = np.clip(((point - start) * along).sum(axis=1) / (along * along).sum(axis=1), 0.0, 1.0)
    return np.asarray(np.linalg.norm(point - start - share[:, None] * along, axis=1))


def _same_way(of: Lines, first: IntArray, second: IntArray) -> FloatArray:
    """Which pairs of lines leave their common point within some degrees of each other."""
    ends = of.points_mm[of.lines]  # (line, end, axis)
    along = (ends[:, 1] - ends[:, 0]) / np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)[:, None]
    turned = np.where(of.lines[first][:, 0] == of.lines[second][:, 0], 1.0, -1.0)
    turned = np.where(of.lines[first][:, 1] == of.lines[second][:, 1], 1.0, turned)
    return np.asarray((along[first] * along[second]).sum(axis=1) * turned > ALONG)
