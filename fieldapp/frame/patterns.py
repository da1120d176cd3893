"""Arm patterns of hubs: when two are the same, and when one is the other's mirror image.

A pattern is a (k, 2) array, one row per arm clockwise seen from outside: the angle to the next arm and
the arm's own dip, both in degrees. It has no beginning: turned readings are the same pattern.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fieldapp.frame.arms import ArmTable
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray

EXACT_DEG = 1e-5
"""Patterns that differ by less are equal but for rounding [deg].
Source: our choice, far above rounding. Test: tests/frame/test_properties.py"""


@dataclass(frozen=True, slots=True)
class PatternKind:
    """Hubs with exactly one pattern or its exact mirror image."""

    pattern: FloatArray
    hubs: IntArray
    """Hub indices with the pattern as it is."""
    mirrored_hubs: IntArray
    """Hub indices with its mirror image; empty if the two are the same."""


def hub_patterns(arms: ArmTable, hub_count: int) -> list[FloatArray]:
    """The pattern of every hub, starting at its arm 1.

    Examples
    --------
    >>> from fieldapp.frame.arms import ArmTable
    >>> two = np.array([0, 0])
    >>> arms = ArmTable(two, two + [1, 2], two, two + 1, np.array([10.0, 100.0]), np.array([5.0, 6.0]))
    >>> hub_patterns(arms, 1)[0].tolist()
    [[90.0, 5.0], [270.0, 6.0]]
    """
    starts = np.searchsorted(arms.hub, np.arange(hub_count + 1))
    return [pattern_of(arms.azimuth_deg[a:b], arms.dip_deg[a:b]) for a, b in pairwise(starts)]


def pattern_of(azimuth_deg: FloatArray, dip_deg: FloatArray) -> FloatArray:
    """Gaps and dips of one hub from its arms in order."""
    gaps = np.diff(azimuth_deg, append=azimuth_deg[0] + 360.0)
    return np.column_stack((gaps, dip_deg))


def mirrored(pattern: FloatArray) -> FloatArray:
    """The pattern as a mirror shows it: arms in the other order, each gap now after its other arm.

    Examples
    --------
    >>> mirrored(np.array([[90.0, 1.0], [120.0, 2.0], [150.0, 3.0]])).tolist()
    [[120.0, 3.0], [90.0, 2.0], [150.0, 1.0]]
    """
    back = pattern[::-1]
    return np.column_stack((np.roll(back[:, 0], -1), back[:, 1]))


def turns(pattern: FloatArray) -> FloatArray:
    """(k, k, 2) the pattern read from each of its arms."""
    arms = np.arange(len(pattern))
    return np.asarray(pattern[(arms[:, None] + arms[None, :]) % len(pattern)])  # (arm read first, arm, gap or dip)


def by_size(pattern: FloatArray) -> FloatArray:
    """(2 k,) gaps from the smallest, then dips from the smallest: the same for the mirror image and for all turns.

    Of two patterns that match within a tolerance no two of these differ by more: what is far apart need not be tried.

    Examples
    --------
    >>> by_size(np.array([[150.0, 3.0], [120.0, 2.0], [90.0, 4.0]])).tolist()
    [90.0, 120.0, 150.0, 2.0, 3.0, 4.0]
    """
    return np.sort(pattern, axis=0).T.ravel()


def matches(first: FloatArray, second: FloatArray, tolerance_deg: float) -> bool:
    """Whether one pattern laid on the other in some turned position fits, every gap and dip within tolerance.

    Examples
    --------
    >>> one = np.array([[90.0, 1.0], [120.0, 2.0], [150.0, 3.0]])
    >>> matches(one, np.roll(one, 1, axis=0), 0.01), matches(one, mirrored(one), 0.01)
    (True, False)
    """
    if len(first) != len(second):
        return False
    return bool((np.abs(turns(first) - second).max(axis=(1, 2)) <= tolerance_deg).any())


def is_handed(pattern: FloatArray, tolerance_deg: float) -> bool:
    """Whether the pattern differs from its mirror image."""
    return not matches(pattern, mirrored(pattern), tolerance_deg)


def symmetry(pattern: FloatArray, tolerance_deg: float) -> int:
    """In how many turned positions the pattern fits on itself; 1 if only as it is.

    Examples
    --------
    >>> symmetry(np.array([[72.0, 9.0]] * 5), 0.05), symmetry(np.array([[90.0, 1.0], [270.0, 1.0]]), 0.05)
    (5, 1)
    """
    count = len(pattern)
    fits = np.abs(turns(pattern) - pattern).max(axis=(1, 2)) <= tolerance_deg
    return max(n for n in range(1, count + 1) if count % n == 0 and fits[:: count // n].all())


def first_reading(pattern: FloatArray) -> FloatArray:
    """The pattern read from the arm that gives the largest list: all gaps, then all dips.

    Examples
    --------
    >>> first_reading(np.array([[90.0, 1.0], [120.0, 2.0], [150.0, 3.0]])).tolist()
    [[150.0, 3.0], [90.0, 1.0], [120.0, 2.0]]
    """
    best, *rest = turns(pattern)
    for reading in rest:
        if _is_larger(reading, best):
            best = reading
    return np.asarray(best)


def is_right_handed(pattern: FloatArray) -> bool:
    """Whether the largest list read clockwise is larger than the largest list read anticlockwise.

    In words: start at the widest gap between arms; if the wider of its two neighbours comes next going
    clockwise (seen from outside), the hub is right, else left; equal gaps are passed over, dips decide last.

    Source: (F5). Test: tests/frame/test_build.py, tests/frame/test_properties.py

    Examples
    --------
    >>> is_right_handed(np.array([[150.0, 3.0], [120.0, 2.0], [90.0, 1.0]]))
    True
    """
    return _is_larger(first_reading(pattern), first_reading(mirrored(pattern)))


def _is_larger(first: FloatArray, second: FloatArray) -> bool:
    """Dictionary order of two readings, rounding aside."""
    difference = (first - second).T.ravel()
    telling = difference[np.abs(difference) > EXACT_DEG]
    return bool(len(telling) and telling[0] > 0)


def kinds(patterns: list[FloatArray]) -> list[PatternKind]:
    """The exactly different patterns, in the order of the first hub that shows each."""
    counts = np.array([len(pattern) for pattern in patterns])
    found = [kind for count in np.unique(counts) for kind in _kinds_of(patterns, np.flatnonzero(counts == count))]
    return sorted(found, key=lambda kind: int(kind.hubs[0]))


def _kinds_of(patterns: list[FloatArray], hubs: IntArray) -> list[PatternKind]:
    """The kinds among hubs with equally many arms."""
    table = np.array([patterns[hub] for hub in hubs])
    sizes = np.sort(table, axis=1).reshape(len(hubs), -1)          # (hub, gap and dip of each size), see `by_size`
    left = np.arange(len(hubs))
    found = []
    while len(left):
        first = table[left[0]]
        near = left[np.abs(sizes[left] - sizes[left[0]]).max(axis=1) < EXACT_DEG]
        same, mirror = _equal_to(table[near], first), _equal_to(table[near], mirrored(first))
        found.append(PatternKind(first, hubs[near[same]], hubs[near[mirror & ~same]]))
        left = np.setdiff1d(left, near[same | mirror], assume_unique=True)
    return found


def _equal_to(table: FloatArray, pattern: FloatArray) -> BoolArray:
    """Mask of the patterns in a (h, k, 2) table that equal one pattern in some turned position."""
    # (hub, arm read first, arm, gap or dip), then (hub, arm read first)
    differences = np.abs(table[:, None] - turns(pattern)[None]).max(axis=(2, 3))
    return np.asarray((differences < EXACT_DEG).any(axis=1))
