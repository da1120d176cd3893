"""Holds: the fewest hubs that somebody must hold so that geometry alone holds the rest."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.mechanisms import Mechanisms, stage_mechanisms
from fieldapp.statics.stiffness import Stage

_INDEPENDENT = 1e-7
"""Entries of the projector onto the mechanisms below which two hubs share none [1].
Source: our choice (S21). Test: tests/statics/test_holds.py"""
_MOST_TRIED = 20_000
"""Most sets of hubs that are tried; `Holds.smallest` tells if that was enough (in no formula)."""


@dataclass(frozen=True, slots=True)
class Holds:
    """A set of hubs whose holding removes every mechanism."""

    hubs: tuple[str, ...]
    smallest: bool
    """True if it is proven that no smaller set does."""


def holds(stage: Stage, found: Mechanisms | None = None) -> Holds:
    """The hubs to hold at a stage, so that its pin-jointed twin is rigid.

    Holding a hub stops its three translations. Mechanisms are first split into groups that share no
    hub; within a group hubs are chosen greedily, redundant ones dropped, and then every smaller set is
    tried as long as there are at most 20 000 of them.

    Source: (S21). Test: tests/statics/test_holds.py

    Returns
    -------
    Holds
        Hub places in frame order. `smallest` is true if each group's set equals the lower bound (a hub
        removes at most three mechanisms) or all smaller sets were tried; otherwise the set is minimal
        in the weaker sense that none of its hubs may be let go.
    """
    found = stage_mechanisms(stage) if found is None else found
    chosen: list[int] = []
    proven = True
    for shapes, hubs in _groups(found):
        some, sure = _smallest_set(shapes, hubs)
        chosen += some
        proven = proven and sure
    return Holds(tuple(stage.model.hub_names[i] for i in sorted(chosen)), proven)


def _groups(found: Mechanisms) -> list[tuple[FloatArray, IntArray]]:
    """Independent groups of mechanisms: (hubs, 3, modes) shapes and their hub numbers.

    Source: (S21). Test: tests/statics/test_holds.py
    """
    hubs = found.moving
    if not len(hubs):
        return []
    shapes = found.shapes[hubs]
    flat = shapes.reshape(3 * len(hubs), -1)
    # (hub, axis, hub, axis), then (hub, hub)
    linked = np.abs(flat @ flat.T).reshape(len(hubs), 3, len(hubs), 3).max(axis=(1, 3)) > _INDEPENDENT
    return [_group(shapes, hubs, np.flatnonzero(mark)) for mark in _components(linked)]


def _components(linked: FloatArray) -> list[FloatArray]:
    """Connected components of a symmetric relation, as flags."""
    left = np.ones(len(linked), dtype=bool)
    found = []
    while left.any():
        mark = np.zeros(len(linked), dtype=bool)
        mark[int(left.argmax())] = True
        while (wider := np.asarray(linked[mark].any(axis=0) | mark)).sum() > mark.sum():
            mark = wider
        left &= ~mark
        found.append(mark)
    return found


def _group(shapes: FloatArray, hubs: IntArray, members: IntArray) -> tuple[FloatArray, IntArray]:
    """Shapes of one group in a basis of its own."""
    part = shapes[members].reshape(3 * len(members), -1)
    left, size, _ = np.linalg.svd(part, full_matrices=False)
    own = left[:, size > 0.5 * _MODE]
    return own.reshape(len(members), 3, -1), hubs[members]  # (hub, axis, mode)


_MODE = 1e-3
"""Singular value above which holding a hub stops a mode of unit size [1].
Source: our choice (S21). Test: tests/statics/test_holds.py"""


def _smallest_set(shapes: FloatArray, hubs: IntArray) -> tuple[list[int], bool]:
    """Hub numbers that stop all modes of a group, and whether that is proven to be the fewest."""
    modes = shapes.shape[2]
    bound = math.ceil(modes / 3)
    best = _without_redundant(shapes, _greedy(shapes))
    tried = 0
    for size in range(bound, len(best)):
        tried += math.comb(len(hubs), size)
        if tried > _MOST_TRIED:
            return [int(hubs[i]) for i in best], False
        for few in itertools.combinations(range(len(hubs)), size):
            if _stops(shapes, few):
                return [int(hubs[i]) for i in few], True
    return [int(hubs[i]) for i in best], True


def _greedy(shapes: FloatArray) -> list[int]:
    """Take the hub that stops most modes that are left, and among equals the one that moves most."""
    rest = shapes
    chosen: list[int] = []
    while rest.shape[2]:
        sizes = np.linalg.svd(rest, compute_uv=False)
        score = (sizes > _MODE).sum(axis=1) + sizes.sum(axis=1) / (10 + sizes.sum())
        at = int(np.round(score, 6).argmax())
        chosen.append(at)
        rest = rest @ _null(rest[at])
    return chosen


def _null(rows: FloatArray) -> FloatArray:
    """(modes, k) combinations of modes that leave these rows at rest."""
    _, sizes, right = np.linalg.svd(rows)
    rank = int((sizes > _MODE).sum())
    return np.asarray(right[rank:].T)


def _without_redundant(shapes: FloatArray, chosen: list[int]) -> list[int]:
    """Let go of every hub that the others make unnecessary."""
    for hub in list(chosen):
        fewer = [other for other in chosen if other != hub]
        if _stops(shapes, fewer):
            chosen = fewer
    return chosen


def _stops(shapes: FloatArray, few: list[int] | tuple[int, ...]) -> bool:
    """True if holding these hubs stops every mode."""
    modes = shapes.shape[2]
    rows = shapes[list(few)].reshape(-1, modes)
    if len(rows) < modes:
        return False
    return bool(np.linalg.svd(rows, compute_uv=False)[-1] > _MODE * _MODE)
