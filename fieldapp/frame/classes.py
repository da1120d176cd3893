"""Classes: which struts and which hubs are interchangeable within the design's tolerance."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from fieldapp.frame import patterns
from fieldapp.frame.arms import ArmTable
from fieldapp.frame.frame import FloatArray, HubClass, IntArray, StrutClass

_ROUNDING_MM = 1e-5
"""Lengths that differ by less are equal but for rounding [mm].
Source: our choice, far above rounding, far below what a saw can tell. Test: tests/frame/test_build.py"""


_FAR_DEG = 1e6
"""Further than any angle is from any other (in no formula)."""


def class_letters(index: int) -> str:
    """A, B … Z, AA, AB … for 0, 1 … 25, 26, 27 …

    Examples
    --------
    >>> [class_letters(i) for i in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    before, letter = divmod(index, 26)
    return (class_letters(before - 1) if before else "") + chr(ord("A") + letter)


StrutKind = tuple[str, str]
"""Section of a strut in the design, and what its file calls its class; "" where nothing is said."""
ALIKE: StrutKind = ("", "")


def strut_classes(lengths_mm: FloatArray, tolerance_mm: float, kinds: Sequence[StrutKind] = ()
                  ) -> tuple[tuple[StrutClass, ...], IntArray]:
    """Struts sorted into classes by length, shortest first, no class wider than the tolerance or of two kinds.

    Source: (F5). Test: tests/frame/test_properties.py

    Parameters
    ----------
    lengths_mm : (m,) array
        Centre lengths. [mm]
    tolerance_mm : float
        Greatest difference inside a class. [mm]
    kinds : (m,) sequence, optional
        Section and class by the file, where struts are not all alike.

    Returns
    -------
    classes : tuple of StrutClass
        Each with the mean length of its struts.
    index : (m,) int array
        The class of every strut.

    Examples
    --------
    >>> classes, index = strut_classes(np.array([900.0, 800.0, 900.4]), 0.5)
    >>> [(c.letter, c.centre_length_mm, c.count, c.bands) for c in classes], index.tolist()
    ([('A', 800.0, 1, 1), ('B', 900.2, 2, 2)], [1, 0, 1])
    """
    index, of = np.empty(len(lengths_mm), dtype=np.int64), list[StrutKind]()
    shortest: dict[StrutKind, tuple[float, int]] = {}
    for strut in np.argsort(lengths_mm, kind="stable").tolist():
        kind = kinds[strut] if kinds else ALIKE
        begins, number = shortest.get(kind, (-np.inf, -1))
        if lengths_mm[strut] - begins > tolerance_mm + _ROUNDING_MM:
            number = len(of)
            shortest[kind] = float(lengths_mm[strut]), number
            of.append(kind)
        index[strut] = number
    counts = np.bincount(index)
    means = (np.bincount(index, weights=lengths_mm) / counts).round(6)
    classes = (StrutClass(class_letters(i), float(means[i]), int(counts[i]), i + 1, *of[i])
               for i in range(len(counts)))
    return tuple(classes), index


@dataclass(slots=True)
class _Group:
    """Kinds of hub that are the same within tolerance, seen in the first kind's own hand."""

    handed: bool
    patterns: list[FloatArray] = field(default_factory=list)
    hubs: list[int] = field(default_factory=list)
    mirrored_hubs: list[int] = field(default_factory=list)

    def fits(self, pattern: FloatArray, tolerance_deg: float) -> bool:
        """Whether a pattern is within tolerance of every one here."""
        return all(patterns.matches(own, pattern, tolerance_deg) for own in self.patterns)

    def take(self, pattern: FloatArray, hubs: IntArray, mirrored_hubs: IntArray) -> None:
        """Adds a pattern that fits, with the hubs that show it as it is and mirrored."""
        self.patterns.append(pattern)
        self.hubs.extend(hubs.tolist())
        self.mirrored_hubs.extend(mirrored_hubs.tolist())


def hub_classes(arms: ArmTable, hub_count: int, tolerance_deg: float) -> tuple[tuple[HubClass, ...], list[str]]:
    """Hubs sorted into classes of congruent arm patterns.

    Source: (F5). Test: tests/frame/test_build.py, tests/frame/test_properties.py

    Parameters
    ----------
    arms : ArmTable
        All arms in order.
    hub_count : int
        Number of hubs.
    tolerance_deg : float
        Greatest difference of any gap or dip inside a class. [deg]

    Returns
    -------
    classes : tuple of HubClass
        By number. A class is numbered by its first hub place (or its mirror class's, if that comes first).
    names : list of str
        The class of every hub.

    Notes
    -----
    A pattern that differs from its mirror image makes two classes with one number, `5L` and `5R`: see
    `patterns.is_right_handed` for which is which.
    """
    groups = _groups(patterns.kinds(patterns.hub_patterns(arms, hub_count)), tolerance_deg)
    names = [""] * hub_count
    classes: list[HubClass] = []
    for number, group in enumerate(groups, start=1):
        made = _named(group, str(number), tolerance_deg)
        for hub_class, hubs in made:
            classes.append(hub_class)
            for hub in hubs:
                names[hub] = hub_class.name
    return tuple(classes), names


def _groups(kinds: list[patterns.PatternKind], tolerance_deg: float) -> list[_Group]:
    """Kinds brought together where every two are within tolerance of each other."""
    groups: list[_Group] = []
    sizes = _sizes(kinds)
    firsts = np.full_like(sizes, np.inf)
    for kind, size in zip(kinds, sizes, strict=True):
        handed = patterns.is_handed(kind.pattern, tolerance_deg)
        near = np.abs(firsts[:len(groups)] - size).max(axis=1, initial=0.0) <= tolerance_deg + patterns.EXACT_DEG
        if not any(_joined(groups[i], kind, handed, tolerance_deg) for i in np.flatnonzero(near)):
            group = _Group(handed)
            firsts[len(groups)] = size
            groups.append(group)
            _add(group, kind, turned_over=False)
    return groups


def _sizes(kinds: list[patterns.PatternKind]) -> FloatArray:
    """(kind, 2 × most arms) gaps and dips of each by size; kinds with fewer arms lie far from those with more."""
    rows = [patterns.by_size(kind.pattern) for kind in kinds]
    table = np.full((len(rows), max(map(len, rows), default=0)), _FAR_DEG)
    for row, sizes in zip(table, rows, strict=True):
        row[:len(sizes)] = sizes
    return table


def _joined(group: _Group, kind: patterns.PatternKind, handed: bool, tolerance_deg: float) -> bool:
    """Puts the kind into the group if it belongs there; whether it does."""
    if group.handed != handed:
        return False
    as_is = group.fits(kind.pattern, tolerance_deg)
    turned_over = group.fits(patterns.mirrored(kind.pattern), tolerance_deg)
    if (as_is or turned_over) if handed else (as_is and turned_over):
        _add(group, kind, turned_over=not as_is)
        return True
    return False


def _add(group: _Group, kind: patterns.PatternKind, *, turned_over: bool) -> None:
    """Adds a kind, in its own hand or the other; without hands both make one class."""
    none = kind.hubs[:0]
    if not group.handed:
        group.take(kind.pattern, np.concatenate((kind.hubs, kind.mirrored_hubs)), none)
        if len(kind.mirrored_hubs):
            group.take(patterns.mirrored(kind.pattern), none, none)
    elif turned_over:
        group.take(patterns.mirrored(kind.pattern), kind.mirrored_hubs, kind.hubs)
    else:
        group.take(kind.pattern, kind.hubs, kind.mirrored_hubs)


def _named(group: _Group, number: str, tolerance_deg: float) -> list[tuple[HubClass, list[int]]]:
    """The class of a group, or its two mirror classes (left first), each with its hubs."""
    pattern = group.patterns[0]
    if not group.handed:
        return [(_hub_class(number, None, pattern, len(group.hubs), tolerance_deg), group.hubs)]
    hands = [(pattern, group.hubs), (patterns.mirrored(pattern), group.mirrored_hubs)]
    if patterns.is_right_handed(pattern):
        hands.reverse()
    present = [(f"{number}{hand}", one, hubs) for hand, (one, hubs) in zip("LR", hands, strict=True) if hubs]
    mirror = {name: other for name, _, _ in present for other, _, _ in present if other != name}
    return [(_hub_class(name, mirror.get(name), one, len(hubs), tolerance_deg), hubs) for name, one, hubs in present]


def _hub_class(name: str, mirror: str | None, pattern: FloatArray, count: int, tolerance_deg: float) -> HubClass:
    """The record of one class; the pattern read from its largest gap on."""
    gaps, dips = patterns.first_reading(pattern).T.round(6).tolist()
    return HubClass(name, mirror, tuple(gaps), tuple(dips), patterns.symmetry(pattern, tolerance_deg), count)
