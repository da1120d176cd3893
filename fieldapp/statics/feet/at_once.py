"""Bounds on feet that are found at once, for every limit that is told: careful where following feet takes long.

Two things are looked at: the frame as a whole on feet that press and rub (collapse), and arms and tubes where the feet
stand in the most harmful of the ways that nobody can tell apart, held there. In between feet let go one by one, and how
that goes cannot always be followed: a part of either is told (G7).
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fieldapp.statics.feet.gusts import BETWEEN_GUSTS, collapse_in_gusts, front_collapse_m_s, unit_gusts
from fieldapp.statics.feet.pegs_held import pegs_under_cases, pegs_under_pushes
from fieldapp.statics.feet.pushes import STRONGEST_N, collapse_under_pushes, unit_pushes
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.feet.strength import cases_of
from fieldapp.statics.feet.under_weight import APART, FeetStanding
from fieldapp.statics.governs import PEG, UNKNOWN, Governs, Limit
from fieldapp.statics.limits import governing_arm, governing_tube
from fieldapp.statics.response import Response, largest_pushes, load_factors, weakest_station
from fieldapp.statics.tube_limits import pushed_tubes, tube_bound
from fieldapp.statics.tubes import TubeCapacity
from fieldapp.statics.wind import STRONGEST_M_S, WindLimit, pressure_mpa, speed_m_s

OF_COLLAPSE = 0.5
"""Part of the load that slides or tips the frame as a whole which is told [1].
Source: our choice: followed in detail the demo's frame bore 0.5 to 0.84 of it in wind, loose and pegged (G7).
Test: tests/statics/feet/test_at_once.py, tests/bench/bench_followed.py"""
OF_STRENGTH = 0.75
"""Part of what arms and tubes bear on feet that keep their places which is told: nobody knows how those that let go, or
give with their pegs, load the others [1].
Source: our choice: where an arm ended it in detail, the demo's frame bore 0.79 of it at the least (G7).
Test: tests/statics/feet/test_at_once.py, tests/bench/bench_followed.py"""
LOOSE_COLLAPSE, LOOSE_STRENGTH = 0.25, 0.5
"""The same two of a push on feet that no peg holds: they lift and snap one after the other, and there nobody can follow
them any more [1].
Source: our choice: in detail 0.27 and 0.55 at the least, the demo's frame on a friction of 0.4 (G7).
Test: tests/statics/feet/test_at_once.py, tests/bench/bench_followed.py"""
COARSE = 0.02
"""At once the ball of pushes that are borne is found to within this share of itself, from inside [1].
Source: our choice. Test: tests/statics/feet/test_at_once.py"""
def push_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: Limit) -> FeetBound:
    """Largest push at a hub, whatever its direction, that is sure to be borne on these feet. [N]

    Source: (G5), (G7). Test: tests/statics/feet/test_at_once.py
    """
    return pushes_at_once(stands, tubes, [pinned], unit_pushes(stands.starts.feet, pinned.at))[0]


def pushes_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: Sequence[Limit], unit: Response
                   ) -> tuple[FeetBound, ...]:
    """The same at h places.

    Source: (G5), (G7). Test: tests/statics/feet/test_at_once.py, tests/statics/feet/test_low.py

    Parameters
    ----------
    stands : FeetStanding
        The feet under the weight.
    tubes : TubeCapacity
        What the tubes can take.
    pinned : sequence of Limit
        h limits of the same pushes on pinned feet; nothing above is told, of arms and tubes `of_strength` of it.
    unit : Response
        3 h cases: 1 N along x, y, z at each place, with the factor of pushes.
    """
    if stands.slides_apart or not stands.starts.states.settled.all():
        return (APART if stands.slides_apart else FeetBound(0.0, Governs(UNKNOWN), settled=False),) * len(pinned)
    borne = strengths_at_once(stands, tubes, pinned, unit)
    return tuple(least_at_once(stands.starts.feet, three_of(unit, at), strength) for at, strength in enumerate(borne))


def three_of(unit: Response, at: int) -> Response:
    """The cases of one place."""
    some = slice(3 * at, 3 * at + 3)
    return Response(unit.stage, unit.displacements[some], unit.arms[some], unit.load.cases(some))


def least_at_once(feet: Feet, unit: Response, strength: FeetBound) -> FeetBound:
    """The least of strength, pegs and part of the collapse, at one place."""
    pegs = pegs_under_pushes(feet, unit)
    strength = pegs if pegs.value < strength.value else strength
    if strength.value <= 0:
        return strength
    share = OF_COLLAPSE if feet.on.is_pegged else LOOSE_COLLAPSE
    collapse, _ball = collapse_under_pushes(feet, unit, min(strength.value, STRONGEST_N) / share, close=COARSE)
    part = replace(collapse, value=collapse.value * share)
    return part if part.counts < strength.value else strength


def strengths_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: Sequence[Limit], unit: Response
                      ) -> list[FeetBound]:
    """The least over arms and tubes where the feet stand most harmfully and stay; never above pinned feet."""
    least = [FeetBound(limit.value, limit.governs) for limit in pinned]
    stage = stands.answer.stage
    parts = unit.components.reshape(len(pinned), 3, 4 * len(stage.struts), 3)  # (hub, axis, station, component)
    for way in stands.worst_ways:
        there = cases_of(stands.answer, np.ones(1), np.array([way]))
        arm, station = largest_pushes(there.components[0], parts)
        most = np.minimum(np.minimum(arm, STRONGEST_N), [max(bound.value, 0.0) for bound in least])
        push, strut = pushed_tubes(there, unit, tubes, most)
        for at in np.flatnonzero(push < [bound.value for bound in least]):
            governs = governing_tube(stage, int(strut[at])) or governing_arm(stage, int(station[at]))
            if governs is not None:
                least[at] = FeetBound(float(push[at]), replace(governs, taken=stands.starts.taken(way)))
    return [replace(bound, value=bound.value * of_strength(stands)) for bound in least]


def of_strength(stands: FeetStanding) -> float:
    """Part of what arms and tubes bear of a push, feet keeping their places, which is told.

    Source: (G7): our choice. Test: tests/statics/feet/test_at_once.py
    """
    return OF_STRENGTH if stands.starts.feet.on.is_pegged else LOOSE_STRENGTH


def held_share(stands: FeetStanding, growing: Response) -> tuple[float, Governs | None]:
    """How much of the first load case to use up a peg is borne; 1 and None if none does.

    Source: (G9). Test: tests/statics/feet/test_at_once.py
    """
    share, at, foot = _peg_share(stands, growing)
    return share, Governs(PEG, hub=foot) if at >= 0 else None


def _peg_share(stands: FeetStanding, growing: Response) -> tuple[float, int, str]:
    """How much of the first load case to use up a peg is borne, its number and the foot; 1 and -1 if none does."""
    factors, foot = pegs_under_cases(stands.starts.feet, growing, 1.0)
    at = int(np.round(factors, 9).argmin())  # of equal ones the first, whatever rounding says
    if factors[at] >= 1.0:
        return 1.0, -1, ""
    return float(factors[at]), at, stands.starts.feet.on.feet[int(foot[at])]


def grown_on_feet(stands: FeetStanding, tubes: TubeCapacity, growing: Response) -> tuple[float, Governs | None]:
    """How much of all load cases arms and tubes bear where the feet stand most harmfully and stay; at most 1.

    Source: (S11), (S16). Test: tests/statics/feet/test_at_once.py
    """
    share, governs = 1.0, None
    for at in stands.worst_ways:
        there = cases_of(stands.answer, np.ones(1), np.array([at]))
        arm = load_factors(there.components[0], growing.components)
        tube = tube_bound(there, growing, tubes, min(share, float(arm.min(initial=np.inf))))
        found = governing_tube(there.stage, tube.strut)
        if found is None and tube.factor < share:
            step = growing.components[int(arm.argmin())]
            found = governing_arm(there.stage, weakest_station(there.components[0], step))
        if found is not None:
            share, governs = tube.factor, replace(found, taken=stands.starts.taken(at))
    return share, governs


def gust_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: WindLimit) -> FeetBound:
    """Largest gust at the frame that is sure to be borne on these feet, from any direction. [m/s]

    Source: (G7), (G8). Test: tests/statics/feet/test_at_once.py
    """
    if stands.slides_apart or not stands.starts.states.settled.all():
        return APART if stands.slides_apart else FeetBound(0.0, Governs(UNKNOWN), settled=False)
    feet, gust = stands.starts.feet, unit_gusts(stands.starts.feet)
    pressure = gust * pressure_mpa(pinned.value)
    bent, by = grown_on_feet(stands, tubes, pressure)
    parts = (bent * OF_STRENGTH, by or pinned.governs)
    share, governs = min(held_share(stands, pressure), parts, key=lambda found: found[0])
    strength = FeetBound(pinned.value * float(np.sqrt(share * BETWEEN_GUSTS)), governs)
    if strength.value <= 0:
        return strength
    whole = collapse_in_gusts(feet, gust, strength.value / float(np.sqrt(OF_COLLAPSE * BETWEEN_GUSTS)))
    half = replace(whole, value=whole.value * float(np.sqrt(OF_COLLAPSE)))
    return half if half.counts < strength.value else strength


def gust_by_feet(stands: FeetStanding, tubes: TubeCapacity) -> FeetBound | None:
    """The same where pegs or collapse end it before arms and tubes can; None where they may not. [m/s]

    On pinned feet the stage must bear `pinned_gust_m_s` of it: nobody has looked at that.

    Source: (G7), (G8). Test: tests/statics/feet/test_at_once.py
    """
    if stands.slides_apart or not stands.starts.states.settled.all():
        return None
    feet, gust = stands.starts.feet, unit_gusts(stands.starts.feet)
    farthest = float(load_factors(feet.of.design_components, gust.components).min(initial=np.inf))
    speed = speed_m_s(min(farthest, pressure_mpa(STRONGEST_M_S)))
    share, at, foot = _peg_share(stands, gust * pressure_mpa(speed))
    told = FeetBound(np.inf)
    if at >= 0:
        told = FeetBound(speed * float(np.sqrt(share * BETWEEN_GUSTS)), Governs(PEG, hub=foot),
                         from_deg=at * 360.0 / len(gust.arms))
        speed = min(speed, told.value / float(np.sqrt(OF_COLLAPSE * BETWEEN_GUSTS)))
    speed = min(speed, _BEYOND * front_collapse_m_s(feet, gust, speed))
    whole = collapse_in_gusts(feet, gust, speed)
    half = replace(whole, value=whole.value * float(np.sqrt(OF_COLLAPSE)))
    told = half if half.counts < told.value else told
    if not (told.settled and 0 < told.value < np.inf):
        return None
    bent, by = grown_on_feet(stands, tubes, gust * pressure_mpa(pinned_gust_m_s(told)))
    return told if by is None and bent >= 1.0 else None


_BEYOND = 1.5
"""Gusts are looked at as far as this many times the one from the front that tips or slides the frame [1]: cone programs
are exact to a part of what they are asked for. Source: our choice. Test: tests/statics/feet/test_at_once.py"""


def pinned_gust_m_s(told: FeetBound) -> float:
    """The gust that pinned feet must bear for this to be told.

    Source: (G7). Test: tests/statics/feet/test_at_once.py
    """
    return told.value / float(np.sqrt(OF_STRENGTH * BETWEEN_GUSTS))
