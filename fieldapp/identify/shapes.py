"""The frames that a heap is held against: all that the frame room builds, and spheres that come as files."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from math import gcd

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame import unit_shape
from fieldapp.frame.cuts import FULL, cuts
from fieldapp.frame.design import FrameSection
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.frame.shape import strut_lengths
from fieldapp.identify.spheres import cut_heights, sphere

HIGHEST = 8
"""Frequencies looked at, classes I; our choice: beyond it a tape no longer parts the lengths (in no formula)."""
HIGHEST_STEPS = 6
"""The same for classes II and III, b + c (in no formula)."""
ALIKE = 1e-6
"""Chord factors nearer than this are one [1]. Source: our choice, far above rounding.
Test: tests/identify/test_rank.py"""


@dataclass(frozen=True, slots=True)
class KnownFrame:
    """One frame of unit radius by its numbers; struts by length, hubs by arms."""

    base: str
    steps: tuple[int, int]
    division: str
    cut: str
    level: bool | None
    """Whether the rim was brought into one plane; None where it is in one anyway, or where there is none."""
    chords: FloatArray
    """(k,) chord factors, ascending."""
    numbers: IntArray
    """(k,) struts of each."""
    arms: tuple[tuple[int, int], ...]
    """Number of arms, and of hubs that have it."""
    span: float
    """Farthest distance between two hubs on the ground, of a whole sphere between any two, in radii."""
    height: float
    """Lowest hub to highest, in radii."""
    nodes: FloatArray
    """(n, 3) on the unit sphere, but for a level rim."""
    struts: IntArray
    """(m, 2)"""

    @property
    def total(self) -> int:
        """Struts in all."""
        return int(self.numbers.sum())

    @property
    def frequency(self) -> int:
        """b + c."""
        return sum(self.steps)

    @property
    def sphere_class(self) -> str:
        """I, II or III."""
        b, c = self.steps
        return "I" if c == 0 else "II" if b == c else "III"

    @property
    def by_formula(self) -> bool:
        """Whether [frame] can ask for it; else it comes as a file."""
        return self.base == "icosahedron" and self.sphere_class == "I"


def known_shapes(pieces: int, *, least: float, most: float, foreign: int = 0) -> Iterator[KnownFrame]:
    """All frames of which `pieces` struts may be what is left, with spares and up to `foreign` others:
    least · total ≤ pieces ≤ most · total + foreign.

    Notes
    -----
    Frames with the same lengths, numbers and arms come once: the first of them, plainest first.
    """
    seen: set[tuple[object, ...]] = set()
    for frequency in range(1, HIGHEST + 1):
        for division in ("equal chords", "equal arcs"):
            yield from _new(_domes(frequency, division, ((pieces - foreign) / most, pieces / least)), seen)
    for base, b, c in _others():
        fits = (one for one in _cut_spheres(base, b, c) if least * one.total <= pieces <= most * one.total + foreign)
        yield from _new(fits, seen)


def _new(found: Iterator[KnownFrame], seen: set[tuple[object, ...]]) -> Iterator[KnownFrame]:
    """Those whose numbers nobody had before."""
    for one in found:
        key = (tuple(one.chords.round(6)), tuple(one.numbers), one.arms, round(one.height, 6))
        if key not in seen:
            seen.add(key)
            yield one


def _domes(frequency: int, division: str, between: tuple[float, float]) -> Iterator[KnownFrame]:
    """Class I of the icosahedron, at every cut whose struts number `between`."""
    for cut in cuts(frequency):
        wavy = _dome(frequency, division, cut, level=False)
        if wavy is None or not between[0] <= wavy.total <= between[1]:
            continue
        yield wavy
        level = _dome(frequency, division, cut, level=True) if wavy.level is False else None
        if level is not None:
            yield level


@cache
def _dome(frequency: int, division: str, cut: str, *, level: bool) -> KnownFrame | None:
    """One of them; None if it cannot be built so."""
    try:
        shape = unit_shape(FrameSection.model_construct(frequency=frequency, subdivision=division, cut=cut,
                                                        level_base=level))
    except DesignError:
        return None
    flat = cut == FULL or (not level and bool(np.ptp(shape.nodes[shape.ground, 2]) < ALIKE))
    ground = np.ones(len(shape.nodes), dtype=bool) if cut == FULL else shape.ground
    return _counted(("icosahedron", (frequency, 0), division, cut, None if flat else level), shape.nodes, shape.struts,
                    ground)


def _others() -> Iterator[tuple[str, int, int]]:
    """Bases and steps of the spheres without a formula in [frame]; of mirror twins the one with b ≥ c."""
    for base in ("icosahedron", "octahedron"):
        for steps in range(1, HIGHEST + 1):
            if base == "octahedron":
                yield base, steps, 0
            for c in range(1, steps // 2 + 1):
                if steps <= HIGHEST_STEPS and (gcd(steps - c, c) == 1 or steps == 2 * c):
                    yield base, steps - c, c


@cache
def _cut_spheres(base: str, b: int, c: int) -> tuple[KnownFrame, ...]:
    """One such sphere at all its level cuts."""
    nodes, struts = sphere(base, b, c)
    found = []
    for share, left, between in cut_heights(nodes, struts):
        cut = FULL if len(left) == len(nodes) else f"{share:.3f}".rstrip("0")
        lowest = left[:, 2].min()
        ground = (left[:, 2] < lowest + ALIKE) | (cut == FULL)
        found.append(_counted((base, (b, c), "equal chords", cut, None), left, between, ground))
    return tuple(found)


def _counted(name: tuple[str, tuple[int, int], str, str, bool | None], nodes: FloatArray, struts: IntArray,
             ground: BoolArray) -> KnownFrame:
    """The numbers of a shape."""
    lengths = np.sort(strut_lengths(nodes, struts))
    starts = np.flatnonzero(np.concatenate(([True], np.diff(lengths) > ALIKE)))
    numbers = np.diff(np.append(starts, len(lengths)))
    arms, hubs = np.unique(np.bincount(struts.ravel(), minlength=len(nodes)), return_counts=True)
    feet = nodes[ground]
    span = float(np.linalg.norm(feet[:, None] - feet[None], axis=2).max())  # (hub, hub, x y z) before the norm
    base, steps, division, cut, level = name
    return KnownFrame(base, steps, division, cut, level, lengths[starts], numbers,
                 tuple(zip(arms.tolist(), hubs.tolist(), strict=True)), span, float(np.ptp(nodes[:, 2])), nodes, struts)
