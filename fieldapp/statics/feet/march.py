"""Loads raised in steps on feet that slip and lift, until an arm, a tube or a peg has enough."""

from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.feet.contact import FootStates, settle
from fieldapp.statics.feet.starts import Starts
from fieldapp.statics.feet.strength import answers, cases_of, uses_of
from fieldapp.statics.governs import UNKNOWN, Governs
from fieldapp.statics.response import Response
from fieldapp.statics.tubes import TubeCapacity

FIRST_STEP = 0.25
"""Part of a load that is laid on at a time; halved where something has enough [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""
LAST_STEP = 1 / 32
"""Steps are not halved below this part of the load: limits are this exact, from below [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""

TRIES = 2
"""How often a guess is tamed on the way; where that does not settle the step is changed [1]. Source: our choice. Test:
tests/statics/feet/test_at_once.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Reached:
    """How far B loads came."""

    ends: FloatArray
    """(B,) multiple of its case at which it ends; infinite where it does not, or where another ends before."""
    governs: tuple[Governs | None, ...]
    """What stopped it; `unknown` where it did not settle, None where nothing did or another stopped before."""
    states: FootStates
    """Where the feet are then."""


def march(starts: Starts, tubes: TubeCapacity, growing: Response, cases: IntArray, most: FloatArray) -> Reached:
    """Raise one load case for each start, from its weight to at most `most` times the case.

    Paths that cannot be the first to end any more, in multiples of their case, are left where they are.

    Source: (G6). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    starts : Starts
        B ways in which the feet stand under the weight.
    tubes : TubeCapacity
        What the tubes can take.
    growing : Response
        Load cases on pinned feet, with their factor.
    cases, most : (B,) arrays
        The case of each start, and how many times of it is asked for.
    """
    walk = _Walk(starts, tubes, growing, cases, most)
    walk.stand()
    while walk.attempt():
        pass
    return Reached(np.where(walk.ended, walk.share * most, np.inf), tuple(walk.governs), walk.states)


class _Walk:
    """B paths on their way."""

    def __init__(self, starts: Starts, tubes: TubeCapacity, growing: Response, cases: IntArray, most: FloatArray
                 ) -> None:
        self.starts, self.tubes, self.growing, self.cases, self.most = starts, tubes, growing, cases, most
        self.weight_n = starts.pressing_n
        self.load_n = most[:, None] * starts.feet.pressing_n(growing)[cases]
        self.states = starts.states
        self.share, self.step = np.zeros(len(cases)), np.full(len(cases), FIRST_STEP)
        self.ends_by, self.jumps = np.full(len(cases), np.inf), np.zeros(len(cases), dtype=bool)
        self.governs: list[Governs | None] = [None] * len(cases)

    @property
    def ended(self) -> BoolArray:
        """(B,) True for paths that came to their end."""
        return np.asarray((self.share < 1) & (self.step < LAST_STEP))

    def stand(self) -> None:
        """Stop those that do not bear the weight."""
        self._judge(np.arange(len(self.cases)), self.states, np.zeros(len(self.cases)))

    def attempt(self) -> bool:
        """One step for every path that may still be the first to end; False if there is none."""
        first = self.share * self.most < self.ends_by.min(initial=np.inf)
        open_ = (self.share < 1) & (self.step >= LAST_STEP) & first
        if not open_.any():
            return False
        left = np.flatnonzero(open_)
        aim = np.minimum(self.share[left] + self.step[left], 1.0)
        some = self.starts.of(left)
        pressing = self.weight_n[left] + aim[:, None] * self.load_n[left]
        there = settle(self.starts.feet.stiffness, pressing, some.springs, self.states.of(left), tries=TRIES)
        good = self._judge(left, there, aim)
        self.share[left[good]], self.ends_by[left[good]], self.jumps[left[good]] = aim[good], np.inf, False
        self.states = _with(self.states, left[good], there.of(good))
        return True

    def _judge(self, paths: IntArray, there: FootStates, share: FloatArray) -> BoolArray:
        """Which of the states are borne; the others halve their step and say what gave way."""
        some, feet = self.starts.of(paths), self.starts.feet
        pinned = cases_of(feet.of.weight, some.weight_factor, np.zeros(len(paths), dtype=np.int64)) + \
            cases_of(self.growing, share * self.most[paths], self.cases[paths])
        use = uses_of(answers(feet, pinned, there), self.tubes, some.springs, there)
        good = there.settled & (use.most <= 1.0)
        for at in np.flatnonzero(~good):
            path = int(paths[at])
            taken = some.taken(int(at))
            known = bool(there.settled[at])
            self.governs[path] = use.governs(feet, int(at), taken) if known else Governs(UNKNOWN, taken=taken)
            self.ends_by[path] = share[at] * self.most[path]
            self._shorter(path, jump=not known, aim=float(share[at]))
        return np.asarray(good)

    def _shorter(self, path: int, *, jump: bool, aim: float) -> None:
        """Half a step next; where it did not settle first twice the step: feet that snap come to rest beyond."""
        jump = jump and not self.jumps[path] and 0 < aim < 1
        shorter = self.step[path] / 2 / (2 if self.jumps[path] else 1)
        self.step[path] = 0.0 if aim == 0 else 2 * self.step[path] if jump else shorter
        self.jumps[path] = jump


def _with(states: FootStates, at: IntArray, new: FootStates) -> FootStates:
    """States of which some are new."""
    moved, slid = states.moved_mm.copy(), states.slid_mm.copy()
    moved[at], slid[at] = new.moved_mm, new.slid_mm
    return replace(states, moved_mm=moved, slid_mm=slid)
