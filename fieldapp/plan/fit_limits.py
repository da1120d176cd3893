"""Which tolerances would do: bounds from the worst arms of drawn frames, without drawing them again (P10)."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray

DRAWS = 400
"""Frames drawn for each way of erring [1]. Source: our choice (P8). Test: tests/plan/test_fitup.py"""
RANK = 388
"""Of so many draws the one told, counted from the least: with 95 % confidence not below the 95 % point [1].
Source: (P8): order statistics, binomial distribution. Test: tests/plan/test_fitup.py"""
HALVINGS = 40
"""Of an interval that holds the tolerance sought; a million millionth of it is left (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class OneKind:
    """What drawn frames say where one kind of error changes and the other stays; worst arm of each frame."""

    whole: FloatArray
    """(ways of erring, draws) with both kinds as the design has them."""
    alone: FloatArray
    """The same for one unit of the kind that changes, by itself."""
    without: FloatArray
    """The same without that kind, with what is known and the other kind."""


def told(uses: FloatArray) -> float:
    """What one frame of twenty passes, the worst of all ways of erring, from (…, draws) worst arms.

    Source: (P8). Test: tests/plan/test_fitup.py
    """
    return float(np.sort(uses, axis=-1)[..., RANK - 1].max())


def largest_error(found: OneKind, at: float, acceptable: float) -> float:
    """The largest error of one kind for which the use told stays acceptable; infinite if it does nothing to arms.

    Source: (P10). Test: tests/plan/test_fitup.py

    Parameters
    ----------
    found : OneKind
    at : float
        The error that the design has, in the unit of `found.alone`.
    acceptable : float

    Returns
    -------
    float
        In that unit; 0 if what is known and the other kind are too much already.
    """
    def grown(error: float) -> bool:
        return told(found.whole + (error - at) * found.alone) <= acceptable

    def shrunk(error: float) -> bool:
        return told(found.without + error / at * (found.whole - found.without)) <= acceptable

    if not grown(at):
        return _last(shrunk, 0.0, at) if at and shrunk(0.0) else 0.0
    per_unit = told(found.alone)
    return _last(grown, at, at + 2.0 * acceptable / per_unit) if per_unit > 0.0 else math.inf


def _last(holds: Callable[[float], bool], first: float, beyond: float) -> float:
    """The largest number found, from one that holds up to one that does not."""
    for _ in range(HALVINGS):
        middle = (first + beyond) / 2.0
        first, beyond = (middle, beyond) if holds(middle) else (first, middle)
    return first


def in_proportion(use: float, known: float, acceptable: float) -> float:
    """By what factor both kinds of error may change together, the known part staying; 0 if that alone is too much.

    Source: (P10). Test: tests/plan/test_fitup.py
    """
    if known >= acceptable:
        return 0.0
    if use > acceptable:
        return (acceptable - known) / (use - known)
    return (acceptable + known) / (use + known) if use + known > 0.0 else math.inf
