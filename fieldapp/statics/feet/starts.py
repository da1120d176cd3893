"""Feet under the weight in all the ways that nobody can tell apart: springs, histories, one foot that hangs free.

Friction has no single answer without its history. Three are taken, our choice, and the worst counts:

(a) feet unstressed, the weight laid on in one step, slipping at their cones;
(b) feet that crept until no friction was left, rigid motions taken out;
(c) every foot held sideways, free to lift.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_G_HOLDING
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.feet.contact import FREE, FootStates, Springs, at_rest, settle
from fieldapp.statics.feet.footing import GROUND_STIFFNESSES_N_MM
from fieldapp.statics.feet.reduced import Feet

LAID_ON, CREPT, HELD = "laid on", "crept", "held sideways"
HISTORIES = (LAID_ON, CREPT, HELD)
"""Names of the histories (a), (b), (c) (in no formula)."""
WEIGHT_FACTORS = (GAMMA_G, GAMMA_G_HOLDING)
"""Partial factors of the weight: where it does harm, and where it alone holds [1].
Source: EN 1990 Tables A1.2(A), (B), in Steel Buildings in Europe, part 3, Table 3.1.
Test: tests/statics/feet/test_starts.py"""

HANGS_MM = 10.0
"""How far the ground lies below a foot that hangs free [mm]: more than any weight settles or bends it, less than what a
frame tilts by without harm before the foot touches down.
Source: our choice; one foot low by 1 mm hangs free already. Test: tests/statics/feet/test_starts.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Starts:
    """B ways in which feet may stand under the weight, ready for loads on top."""

    feet: Feet
    springs: Springs
    """As they act from now on: histories (a) and (b) slip at their cones, (c) never."""
    states: FootStates
    weight_factor: FloatArray
    """(B,)"""
    history: tuple[str, ...]
    hanging: IntArray
    """(B,) number of the foot that hangs free; -1: none."""

    @property
    def ways(self) -> "list[FootWay]":
        """B of them, as `all_ways` gives them."""
        return list(zip(self.weight_factor.tolist(), self.springs.ground_n_mm.tolist(), self.history,
                        self.hanging.tolist(), strict=True))

    @property
    def pressing_n(self) -> FloatArray:
        """(B, 3F) forces with which weight and ballast press on the pinned feet, with their factor."""
        weight = self.feet.weight_n + self.feet.ballast_n(self.springs.gap_mm)
        return np.asarray(self.weight_factor[:, None] * weight)

    def taken(self, state: int) -> str:
        """How the feet were taken in a state, in English, for engineers."""
        at = int(self.hanging[state])
        free = f", {self.feet.on.feet[at]} hangs free" if at >= 0 else ""
        return f"feet {self.history[state]}, ground {self.springs.ground_n_mm[state]:g} N/mm, " \
               f"weight × {self.weight_factor[state]:g}{free}"

    def of(self, some: IntArray | BoolArray) -> "Starts":
        """Some of the ways."""
        numbers = np.arange(len(self.history))[some]
        return Starts(self.feet, self.springs.of(numbers), self.states.of(numbers), self.weight_factor[numbers],
                      tuple(self.history[int(i)] for i in numbers), self.hanging[numbers])

    def beside(self, others: "Starts") -> "Starts":
        """These ways, then others of the same feet."""
        mine, more, was, then = self.springs, others.springs, self.states, others.states
        springs = Springs(mine.on, np.append(mine.ground_n_mm, more.ground_n_mm), np.vstack((mine.gap_mm, more.gap_mm)),
                          np.append(mine.sideways_n_mm, more.sideways_n_mm), np.append(mine.rubs, more.rubs))
        states = FootStates(np.concatenate((was.moved_mm, then.moved_mm)), np.concatenate((was.slid_mm, then.slid_mm)),
                            np.append(was.settled, then.settled))
        return Starts(self.feet, springs, states, np.append(self.weight_factor, others.weight_factor),
                      (*self.history, *others.history), np.append(self.hanging, others.hanging))


FootWay = tuple[float, float, str, int]
"""Factor of the weight, spring of the ground [N/mm], history, number of the foot that hangs free or -1."""


def all_ways(feet: Feet) -> list[FootWay]:
    """Factors × springs × histories × (no or one foot hanging free)."""
    hangs = range(-1, feet.count) if feet.count > 1 else (-1,)
    return list(product(WEIGHT_FACTORS, feet.on.stiffnesses_n_mm, HISTORIES, hangs))


def harmful_ways(feet: Feet) -> list[FootWay]:
    """Where to look first for those that ask most of arms and tubes under the weight: with the greater factor; each
    foot hangs where all crept on soft ground, ours and the owner's own where that is softer. That tells which foot it
    is; all its other ways are `ways_of`."""
    soft_n_mm = max(min(feet.on.stiffnesses_n_mm), min(GROUND_STIFFNESSES_N_MM))
    return [way for way in all_ways(feet) if way[0] == GAMMA_G
            and (way[3] < 0 or (way[1] <= soft_n_mm and way[2] == CREPT))]


def ways_of(feet: Feet, hanging: Collection[int]) -> list[FootWay]:
    """All others in which one of these feet hangs, with the greater factor: every history, every spring."""
    first = set(harmful_ways(feet))
    return [way for way in all_ways(feet) if way[0] == GAMMA_G and way[3] in hanging and way not in first]


def starts_of(feet: Feet, ways: Sequence[FootWay] | None = None, *, low_mm: float = HANGS_MM) -> Starts:
    """Feet under the weight in these ways, all of them if none are given; the ground is so low where a foot hangs free.

    Source: (G3). Test: tests/statics/feet/test_starts.py
    """
    ways = all_ways(feet) if ways is None else ways
    factor, ground = (np.array([way[part] for way in ways], dtype=np.float64) for part in (0, 1))
    history, hanging = tuple(way[2] for way in ways), np.array([way[3] for way in ways], dtype=np.int64)
    crept, rubs = (np.array([name == one for name in history], dtype=bool) for one in (CREPT, LAID_ON))
    gap = np.where(hanging[:, None] == np.arange(feet.count), low_mm, 0.0)
    springs = Springs(feet.on, ground, gap, np.where(crept, FREE, 1.0) * ground, rubs)
    start = Starts(feet, springs, at_rest(len(ways), feet.count), factor, history, hanging)
    under = settle(feet.stiffness, start.pressing_n, springs, start.states)
    # (state, foot, axis)
    slid = np.where(crept[:, None, None], under.moved_mm[:, :, :2], under.slid_mm)
    after = springs.rubbing(crept | rubs)
    return Starts(feet, after, FootStates(under.moved_mm, slid, under.settled), factor, history, hanging)
