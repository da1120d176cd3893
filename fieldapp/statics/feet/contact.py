"""Contact: feet that press and rub on springs of ground, and are held by springs of pegs. A batch of states at once.

Every foot's forces follow from its movement alone (G2), so that friction and lift-off are never violated; what is
iterated is equilibrium of the frame, by Newton's method with step halving. What does not settle is said not to.
"""

from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.feet.footing import Footing

SETTLED = 1e-10
"""Largest miss of equilibrium at a foot ÷ the largest force there, for a state to count as settled [1].
Source: our choice. Test: tests/statics/feet/test_starts.py"""
MOST_ROUNDS = 20
"""Rounds of Newton's method after which a state counts as not settled [1].
Source: our choice. Test: tests/statics/feet/test_starts.py"""
FREE = 1e-6
"""Sideways spring of a foot that is free to slide ÷ that of the ground: takes rigid motions out, bears nothing [1].
Source: our choice (G3). Test: tests/statics/feet/test_starts.py"""
STIFFER = (np.geomspace(0.3, 0.005, 40), np.full(40, 0.05), np.geomspace(3.0, 0.005, 160))
"""Stiffness that slipping feet get, ÷ the ground's, in the rounds that tame a guess, one try after the other [1].
Source: our choice: of seventy states that Newton's method alone did not settle, one was left. Test:
tests/statics/feet/test_starts.py"""
_HALVES = 0.5 ** np.arange(7)
"""Parts of a Newton step that are tried where the whole step leads away [1]. Source: our choice. Test:
tests/statics/feet/test_starts.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Springs:
    """What F feet stand on in B states."""

    on: Footing
    ground_n_mm: FloatArray
    """(B,) each way."""
    gap_mm: FloatArray
    """(B, F) how far the ground lies below the foot; infinite: it hangs free."""
    sideways_n_mm: FloatArray
    """(B,) of a foot that does not slip."""
    rubs: BoolArray
    """(B,) True: slips at its cone, and bears nothing off the ground. False: keeps its sideways spring."""

    def of(self, states: IntArray | BoolArray) -> "Springs":
        """The springs of some of the states."""
        return Springs(self.on, self.ground_n_mm[states], self.gap_mm[states], self.sideways_n_mm[states],
                       self.rubs[states])

    def rubbing(self, rubs: BoolArray) -> "Springs":
        """The same ground; these states slip at their cones, the others never."""
        return replace(self, sideways_n_mm=self.ground_n_mm, rubs=rubs)


@dataclass(frozen=True, slots=True, eq=False)
class FootStates:
    """Where F feet are in B states."""

    moved_mm: FloatArray
    """(B, F, 3) from where they were pinned."""
    slid_mm: FloatArray
    """(B, F, 2) how far each foot has slid over the ground."""
    settled: BoolArray
    """(B,) True if forces and movements agree."""

    def of(self, states: IntArray | BoolArray) -> "FootStates":
        """Some of the states."""
        return FootStates(self.moved_mm[states], self.slid_mm[states], self.settled[states])


def at_rest(states: int, feet: int) -> FootStates:
    """Feet where they were pinned, nothing slid."""
    # (state, foot, axis), (state, foot, axis)
    return FootStates(np.zeros((states, feet, 3)), np.zeros((states, feet, 2)), np.ones(states, dtype=bool))


@dataclass(frozen=True, slots=True, eq=False)
class _Pushed:
    """What ground and pegs do to the feet, and how that changes."""

    ground_n: FloatArray
    """(B, F, 3)"""
    peg_n: FloatArray
    """(B, F, 3)"""
    trial_n: FloatArray
    """(B, F) sideways force if nothing slipped."""
    most_n: FloatArray
    """(B, F) sideways force that friction bears."""
    along: FloatArray
    """(B, F, 2) unit vector of the movement that friction resists."""


def ground_forces(springs: Springs, states: FootStates) -> tuple[FloatArray, FloatArray]:
    """(B, F, 3) forces of the ground on the feet and (B, F, 3) forces of the pegs [N].

    Source: (G2). Test: tests/statics/feet/test_starts.py
    """
    pushed = _pushed(springs, states.moved_mm, states.slid_mm)
    return pushed.ground_n, pushed.peg_n


def _pushed(springs: Springs, moved: FloatArray, slid: FloatArray) -> _Pushed:
    on = springs.on
    press = np.maximum(-springs.ground_n_mm[:, None] * (moved[:, :, 2] + springs.gap_mm), 0.0)
    apart = moved[:, :, :2] - slid
    square = np.square(apart)
    size = np.sqrt(square[:, :, 0] + square[:, :, 1])   # two terms: a sum along so short an axis costs far more
    # (state, foot, axis)
    along = apart / np.maximum(size, 1e-300)[:, :, None]
    trial = springs.sideways_n_mm[:, None] * size
    most = np.where(springs.rubs[:, None], np.minimum(on.friction * press, on.most_sideways_n), np.inf)
    borne = np.minimum(trial, most)
    ground, peg = np.empty_like(moved), np.empty_like(moved)
    peg[:, :, :2] = -on.peg_stiffness_n_mm * (on.peg_side_n > 0)[:, None] * moved[:, :, :2]
    peg[:, :, 2] = -on.peg_stiffness_n_mm * (on.peg_up_n > 0) * np.maximum(moved[:, :, 2], 0.0)
    ground[:, :, :2], ground[:, :, 2] = -borne[:, :, None] * along, press  # (state, foot, axis)
    return _Pushed(ground, peg, trial, most, along)


def settle(stiffness: FloatArray, pressing_n: FloatArray, springs: Springs, start: FootStates, *,
           tries: int = len(STIFFER)) -> FootStates:
    """Bring feet and frame into equilibrium, from where they are, with friction as they move.

    Source: (G2). Test: tests/statics/feet/test_starts.py, tests/reference/test_pynite_feet.py

    Parameters
    ----------
    stiffness : (3F, 3F) array
        Of the frame at its feet. [N/mm]
    pressing_n : (B, 3F) array
        Forces with which the loads press on the pinned feet. [N]
    springs : Springs
        What the feet stand on.
    start : FootStates
        Where they are, and how far they have slid.
    tries : int
        How often a guess is tamed where Newton's method alone does not settle.

    Returns
    -------
    FootStates
        A state that was not settled before stays so; one that does not settle keeps its start.
    """
    moved, settled = _rounds(stiffness, pressing_n, springs, start, start.moved_mm)
    for stiffer in STIFFER[:tries]:
        wild = np.flatnonzero(start.settled & ~settled)
        if not len(wild):
            break
        some, first = springs.of(wild), start.of(wild)
        tamed = _tamed(stiffness, pressing_n[wild], some, (first, stiffer))
        moved[wild], settled[wild] = _rounds(stiffness, pressing_n[wild], some, first, tamed)
    moved[~settled] = start.moved_mm[~settled]
    return FootStates(moved, _slid(springs, moved, start.slid_mm), settled & start.settled)


def _rounds(stiffness: FloatArray, pressing_n: FloatArray, springs: Springs, start: FootStates, guess: FloatArray
            ) -> tuple[FloatArray, BoolArray]:
    """(B, F, 3) movements by Newton's method from a guess, and which of them settled."""
    moved, settled = guess.copy(), np.zeros(len(pressing_n), dtype=bool)
    enough = SETTLED * np.maximum(np.abs(pressing_n).max(axis=1, initial=0.0), _LEAST_N)
    left = np.flatnonzero(start.settled)
    problem = _Equilibrium(stiffness, pressing_n, springs, start.slid_mm).of(left)
    at = moved[left]
    pushed, missing = problem.looked(at)
    for _ in range(MOST_ROUNDS):
        done = np.abs(missing).max(axis=1, initial=0.0) <= enough[left]
        if done.any():
            settled[left[done]], moved[left[done]] = True, at[done]
            left, problem, at = left[~done], problem.of(~done), at[~done]
            pushed, missing = _only(pushed, ~done), missing[~done]
        if not len(left):
            break
        at, pushed, missing = _stepped(problem, at, _newton(stiffness, problem.springs, at, pushed, missing), missing)
    moved[left] = at
    return moved, settled


@dataclass(frozen=True, slots=True, eq=False)
class _Equilibrium:
    """What B states are to be in equilibrium with."""

    stiffness: FloatArray
    """(3F, 3F)"""
    pressing_n: FloatArray
    """(B, 3F)"""
    springs: Springs
    slid: FloatArray
    """(B, F, 2)"""

    def of(self, states: IntArray | BoolArray) -> "_Equilibrium":
        """Some of the states."""
        return _Equilibrium(self.stiffness, self.pressing_n[states], self.springs.of(states), self.slid[states])

    def looked(self, moved: FloatArray) -> tuple[_Pushed, FloatArray]:
        """What ground and pegs do there, and (B, 3F) what equilibrium lacks."""
        pushed = _pushed(self.springs, moved, self.slid)
        return pushed, _missing(self.stiffness, self.pressing_n, pushed, moved)


def _tamed(stiffness: FloatArray, pressing_n: FloatArray, springs: Springs, tame: tuple[FootStates, FloatArray]
           ) -> FloatArray:
    """(B, F, 3) a better guess where Newton's method jumps about: slipping feet get some stiffness, round by round.

    Source: (G2). Test: tests/statics/feet/test_starts.py
    """
    start, stiffer = tame
    moved = start.moved_mm.copy()
    for part in stiffer:
        pushed = _pushed(springs, moved, start.slid_mm)
        missing = _missing(stiffness, pressing_n, pushed, moved)
        moved += _newton(stiffness, springs, moved, pushed, missing, stiffer=float(part))
    return moved


_LEAST_N = 1e-3
"""Forces below this count as none [N]. Source: our choice, a tenth of a gram. Test:
tests/statics/feet/test_starts.py"""


def _only(pushed: _Pushed, states: BoolArray) -> _Pushed:
    return _Pushed(pushed.ground_n[states], pushed.peg_n[states], pushed.trial_n[states], pushed.most_n[states],
                   pushed.along[states])


def _missing(stiffness: FloatArray, pressing_n: FloatArray, pushed: _Pushed, moved: FloatArray) -> FloatArray:
    """(B, 3F) what equilibrium lacks: S u − r − p."""
    held = (pushed.ground_n + pushed.peg_n).reshape(len(moved), -1)
    return np.asarray(moved.reshape(len(moved), -1) @ stiffness - held - pressing_n)


def _newton(stiffness: FloatArray, springs: Springs, moved: FloatArray, pushed: _Pushed, missing: FloatArray, *,
            stiffer: float = 0.0) -> FloatArray:
    """(B, F, 3) one step of Newton's method; with some stiffness for slipping feet if that is asked for."""
    states, feet = moved.shape[:2]
    blocks = _tangents(springs, moved, pushed)
    if stiffer:
        more = stiffer * springs.ground_n_mm[:, None] * (pushed.trial_n > pushed.most_n)
        blocks[:, :, 0, 0] += more
        blocks[:, :, 1, 1] += more
    matrix = np.broadcast_to(stiffness, (states, *stiffness.shape)).copy()
    # (state, foot, axis, foot, axis), then a view of (state, foot, axis, axis)
    own = np.einsum("sfafb->sfab", matrix.reshape(states, feet, 3, feet, 3))
    own += blocks
    # (state, foot, axis)
    return np.asarray(np.linalg.solve(matrix, -missing[:, :, None])[:, :, 0].reshape(moved.shape))


def _tangents(springs: Springs, moved: FloatArray, pushed: _Pushed) -> FloatArray:
    """(B, F, 3, 3) how the forces on each foot fall as it moves.

    Source: (G2). Test: tests/statics/feet/test_starts.py
    """
    on, along = springs.on, pushed.along
    ground = springs.ground_n_mm[:, None]
    touching = moved[:, :, 2] + springs.gap_mm <= 0
    slips = pushed.trial_n > pushed.most_n
    share = np.where(slips, pushed.most_n / np.maximum(pushed.trial_n, 1e-300), 1.0)
    slid = slips[:, :, None] * along
    turn = np.eye(2) - slid[:, :, :, None] * along[:, :, None, :]  # (state, foot, 2, 2)
    grows = slips & touching & (on.friction * pushed.ground_n[:, :, 2] < on.most_sideways_n)
    blocks = np.zeros((*moved.shape, 3))  # (state, foot, axis, axis)
    blocks[:, :, :2, :2] = (share * springs.sideways_n_mm[:, None])[:, :, None, None] * turn
    # (state, foot, axis)
    blocks[:, :, :2, 2] = -np.where(grows, on.friction * ground, 0.0)[:, :, None] * along
    blocks[:, :, 2, 2] = np.where(touching, ground, 0.0)
    blocks[:, :, 2, 2] += on.peg_stiffness_n_mm * (on.peg_up_n > 0) * (moved[:, :, 2] > 0)
    own = np.einsum("sfaa->sfa", blocks)  # (state, foot, axis), a view
    own[:, :, :2] += (on.peg_stiffness_n_mm * (on.peg_side_n > 0))[:, None]
    own += (FREE / 10 * ground)[:, :, None]  # (state, foot, axis)
    return blocks


def _stepped(problem: _Equilibrium, at: FloatArray, step: FloatArray, missing: FloatArray
             ) -> tuple[FloatArray, _Pushed, FloatArray]:
    """After the step, or after the part of it that leaves least missing where the whole of it leads away."""
    there = at + step
    pushed, left = problem.looked(there)
    away = np.flatnonzero(np.linalg.norm(left, axis=1) > np.linalg.norm(missing, axis=1))
    if not len(away):
        return there, pushed, left
    tried = at[away] + _HALVES[:, None, None, None] * step[away]  # (part, state, foot, axis)
    # (part and state, foot, axis)
    lacks = problem.of(np.tile(away, len(_HALVES))).looked(tried.reshape(-1, *at.shape[1:]))[1]
    sizes = np.linalg.norm(lacks, axis=1).reshape(len(_HALVES), len(away))
    there[away] = tried[sizes.argmin(axis=0), np.arange(len(away))]
    return there, *problem.looked(there)


def _slid(springs: Springs, moved: FloatArray, before: FloatArray) -> FloatArray:
    """How far each foot has slid once its friction is used up: it slips until the spring bears what the cone allows.

    A foot whose friction is not used up has not slid any farther, not even by rounding.
    """
    pushed = _pushed(springs, moved, before)
    # (state, foot, axis)
    spring = pushed.ground_n[:, :, :2] / springs.sideways_n_mm[:, None, None]
    slips = (springs.rubs[:, None] & (pushed.trial_n > pushed.most_n))[:, :, None]
    # (state, foot, axis)
    return np.where(slips, moved[:, :, :2] + spring, before)
