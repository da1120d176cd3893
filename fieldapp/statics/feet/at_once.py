"""Bounds on feet that are found at once, for the card of a moment; careful where following feet in detail takes longer.

Two things are looked at: the frame as a whole on feet that press and rub (collapse), and arms and tubes where the feet
stand in the most harmful of the ways that nobody can tell apart, held there. In between feet let go one by one; so long
as nobody has followed that (`pushes`, `gusts`), half of the load that makes all of them let go is told.
"""

from dataclasses import dataclass, replace

import numpy as np

from fieldapp.statics.feet.collapse import slides_apart
from fieldapp.statics.feet.gusts import BETWEEN_GUSTS, collapse_in_gusts, unit_gusts
from fieldapp.statics.feet.pegs_held import pegs_under_cases, pegs_under_pushes
from fieldapp.statics.feet.pushes import STRONGEST_N, collapse_under_pushes, unit_pushes
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.feet.starts import Starts, harmful_ways, starts_of
from fieldapp.statics.feet.strength import Uses, answers, cases_of, uses_of
from fieldapp.statics.governs import PEG, SLIDES, UNKNOWN, Governs, Limit
from fieldapp.statics.limits import governing_arm, governing_tube
from fieldapp.statics.response import Response, largest_pushes, load_factors, weakest_station
from fieldapp.statics.tube_limits import pushed_tubes, tube_bound
from fieldapp.statics.tubes import TubeCapacity
from fieldapp.statics.wind import WindLimit, pressure_mpa

OF_COLLAPSE = 0.5
"""Part of the load that slides or tips the frame as a whole which is told before feet were followed in detail [1].
Source: our choice: followed in detail the demo's frame bore 0.5 to 0.84 of it (G7).
Test: tests/statics/feet/test_at_once.py"""
OF_STRENGTH = 0.75
"""Part of what arms and tubes bear on feet that keep their places which is told before feet were followed in detail:
until then nobody knows how those that let go, or give with their pegs, load the others [1].
Source: our choice: where an arm ended it in detail, the demo's frame bore 0.79 of it at the least (G7).
Test: tests/statics/feet/test_at_once.py"""
COARSE = 0.02
"""At once the ball of pushes that are borne is found to within this share of itself, from inside [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""
_MOST_HARMFUL = 4
"""Ways of standing in which pushes are looked at: those that use arms and tubes most [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""


@dataclass(frozen=True, slots=True, eq=False)
class FeetStanding:
    """Feet under 1.35 × weight, in the most harmful ways."""

    starts: Starts
    answer: Response
    """One case for each way."""
    uses: Uses
    slides_apart: bool
    """True if without friction, and without what holds its feet, it slides apart or tips under its own weight."""


def standing(feet: Feet, tubes: TubeCapacity) -> FeetStanding:
    """The feet under 1.35 × weight in the most harmful ways, and what arms, tubes and pegs make of it.

    Source: (G3). Test: tests/statics/feet/test_at_once.py
    """
    apart = slides_apart(feet)
    starts = starts_of(feet, harmful_ways(feet)[:1] if apart else harmful_ways(feet))
    pinned = cases_of(feet.of.weight, starts.weight_factor, np.zeros(len(starts.history), dtype=np.int64))
    answer = answers(feet, pinned, starts.states)
    return FeetStanding(starts, answer, uses_of(answer, tubes, starts.springs, starts.states), apart)


_APART = FeetBound(0.0, Governs(SLIDES, taken="no friction"))
"""Of a stage that only friction or pegs keep from sliding apart (in no formula)."""


def weight_at_once(stands: FeetStanding) -> FeetBound:
    """How many times 1.35 × weight arms, tubes and pegs bear on these feet.

    Source: (G3). Test: tests/statics/feet/test_at_once.py
    """
    if stands.slides_apart:
        return _APART
    starts, use = stands.starts, stands.uses.most
    wild = np.flatnonzero(~starts.states.settled)
    if len(wild):
        return FeetBound(0.0, Governs(UNKNOWN, taken=starts.taken(int(wild[0]))), settled=False)
    at = int(use.argmax())
    if use[at] <= 0:
        return FeetBound(np.inf)
    high = starts.states.moved_mm[at, :, 2]
    lifts = tuple(foot for foot, up in zip(starts.feet.on.feet, high, strict=True) if up > 0)
    return FeetBound(1.0 / float(use[at]), stands.uses.governs(starts.feet, at, starts.taken(at)), lifts=lifts)


def push_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: Limit) -> FeetBound:
    """Largest push at a hub, whatever its direction, that is sure to be borne on these feet. [N]

    Source: (G5), (G7). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    stands : FeetStanding
        The feet under the weight.
    tubes : TubeCapacity
        What the tubes can take.
    pinned : Limit
        Of the same push on pinned feet; nothing above is told.
    """
    if stands.slides_apart or not stands.starts.states.settled.all():
        return _APART if stands.slides_apart else FeetBound(0.0, Governs(UNKNOWN), settled=False)
    feet, unit = stands.starts.feet, unit_pushes(stands.starts.feet, pinned.at)
    strength = _strength(stands, tubes, unit, pinned)
    pegs = pegs_under_pushes(feet, unit)
    strength = pegs if pegs.value < strength.value else strength
    if strength.value <= 0:
        return strength
    collapse, _ball = collapse_under_pushes(feet, unit, min(strength.value, STRONGEST_N) / OF_COLLAPSE, close=COARSE)
    half = replace(collapse, value=collapse.value * OF_COLLAPSE)
    return half if half.counts < strength.value else strength


def _strength(stands: FeetStanding, tubes: TubeCapacity, unit: Response, pinned: Limit) -> FeetBound:
    """The least over arms and tubes where the feet stand most harmfully and stay; never above pinned feet."""
    least = FeetBound(pinned.value, pinned.governs)
    for at in np.argsort(-stands.uses.most, kind="stable")[:_MOST_HARMFUL]:
        there = cases_of(stands.answer, np.ones(1), np.array([at]))
        taken, stage = stands.starts.taken(int(at)), stands.answer.stage
        parts = unit.components.reshape(1, 3, -1, 3)  # (hub, axis, station, component)
        arm, station = largest_pushes(there.components[0], parts)
        push, strut = pushed_tubes(there, unit, tubes, np.minimum(arm, STRONGEST_N))
        governs = governing_tube(stage, int(strut[0])) or governing_arm(stage, int(station[0]))
        if push[0] < least.value and governs is not None:
            least = FeetBound(float(push[0]), replace(governs, taken=taken))
    return replace(least, value=least.value * OF_STRENGTH)


def _held_share(stands: FeetStanding, growing: Response) -> tuple[float, Governs | None]:
    """How much of the first load case to use up a peg is borne; 1 and None if none does."""
    factors, foot = pegs_under_cases(stands.starts.feet, growing, 1.0)
    at = int(factors.argmin())
    if factors[at] >= 1.0:
        return 1.0, None
    return float(factors[at]), Governs(PEG, hub=stands.starts.feet.on.feet[int(foot[at])])


def _grown(stands: FeetStanding, tubes: TubeCapacity, growing: Response) -> tuple[float, Governs | None]:
    """How much of all load cases arms and tubes bear where the feet stand most harmfully and stay; at most 1."""
    share, governs = 1.0, None
    for at in np.argsort(-stands.uses.most, kind="stable")[:_MOST_HARMFUL]:
        there = cases_of(stands.answer, np.ones(1), np.array([at]))
        arm = load_factors(there.components[0], growing.components)
        tube = tube_bound(there, growing, tubes, min(share, float(arm.min(initial=np.inf))))
        found = governing_tube(there.stage, tube.strut)
        if found is None and tube.factor < share:
            step = growing.components[int(arm.argmin())]
            found = governing_arm(there.stage, weakest_station(there.components[0], step))
        if found is not None:
            share, governs = tube.factor, replace(found, taken=stands.starts.taken(int(at)))
    return share, governs


def gust_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: WindLimit) -> FeetBound:
    """Largest gust at the frame that is sure to be borne on these feet, from any direction. [m/s]

    Source: (G7), (G8). Test: tests/statics/feet/test_at_once.py
    """
    if stands.slides_apart or not stands.starts.states.settled.all():
        return _APART if stands.slides_apart else FeetBound(0.0, Governs(UNKNOWN), settled=False)
    feet, gust = stands.starts.feet, unit_gusts(stands.starts.feet)
    pressure = gust * pressure_mpa(pinned.value)
    bent, by = _grown(stands, tubes, pressure)
    parts = (bent * OF_STRENGTH, by or pinned.governs)
    share, governs = min(_held_share(stands, pressure), parts, key=lambda found: found[0])
    strength = FeetBound(pinned.value * float(np.sqrt(share * BETWEEN_GUSTS)), governs)
    whole = collapse_in_gusts(feet, gust, pinned)
    half = replace(whole, value=whole.value * float(np.sqrt(OF_COLLAPSE)))
    return half if half.counts < strength.value else strength
