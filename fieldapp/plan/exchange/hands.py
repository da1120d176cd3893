"""Which hubs are held while a part is out: the fewest with which every state on the way stands and hands bear it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from fieldapp.base.constants import WHOLE_BODY_PUSH_N
from fieldapp.plan.exchange.record import Between, ExchangeCase, HandHold, Hindered
from fieldapp.plan.reach import reach
from fieldapp.plan.stages import StageAnalysis, analysis
from fieldapp.statics.governs import Governs
from fieldapp.statics.solved import Solved

PROP_LEAN = 0.25
"""A prop bears what comes straight down on it, and sideways at most this share of it [1].
Source: our choice: a leg that leans 1 in 4, as a ladder does (HSE), is the most that nobody need foot.
Test: tests/plan/test_exchange.py"""

MOST_PAIRS = 5
"""Of the hubs around a part, the first so many are tried two at a time (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """All states judged with some hubs held."""

    stages: tuple[StageAnalysis, ...]
    holds: tuple[HandHold, ...] = ()
    to_peg: tuple[str, ...] = ()
    hindered: Hindered = ""
    governs: Governs | None = None
    asks: float = 0.0
    at: str = ""


def tried(of: ExchangeCase, place: str, way: Sequence[Between], *, around_it: Sequence[str]) -> Tried:
    """The first set of holds that does; else what is in the way with the last set that was tried."""
    now = analysis(of.broken, way[0].fitted)
    found: Tried | None = None
    for held in dict.fromkeys(_steadied(of, way, place, held) for held in _sets(of, way, now, around_it)):
        found = _with_held(of, way, place, held)
        if not found.hindered:
            break
    return found if found is not None else Tried((now,))


def _sets(of: ExchangeCase, way: Sequence[Between], now: StageAnalysis, free: Sequence[str]
          ) -> Iterator[tuple[str, ...]]:
    """What is held now; what geometry asks for with the part out; then hubs around it: one, two, all."""
    already = tuple(dict.fromkeys((*of.fitted.held, *(() if now.stands else now.holds))))
    out = next(state for state in way if state.renewed)
    asked = analysis(of.sound, replace(out.fitted, held=_inside(already, out))).holds
    more = [(), tuple(asked), *combinations(free, 1), *combinations(free[:MOST_PAIRS], 2), tuple(free)]
    yield from dict.fromkeys(tuple(dict.fromkeys((*already, *held))) for held in more)


def _steadied(of: ExchangeCase, way: Sequence[Between], place: str, held: tuple[str, ...]) -> tuple[str, ...]:
    """The same and whatever geometry asks to be held in any state, though arms alone would keep it: who stands by then
    is told to hold it, so it is named before (P24)."""
    for state in way:
        stage = _stage(of, state, (*held, place))
        held = (*held, *(hub for hub in stage.holds if hub not in held and hub != place))
    return held


def _inside(hubs: Sequence[str], state: Between) -> tuple[str, ...]:
    return tuple(hub for hub in hubs if hub in state.fitted.hubs)


def _with_held(of: ExchangeCase, way: Sequence[Between], place: str, held: tuple[str, ...]) -> Tried:
    """Every state with these hubs held, the one with the part out first, since it asks most."""
    stages: dict[int, StageAnalysis] = {}
    broken_hub = place in of.sound.frame.hub_index and place not in of.fitted.stands_on
    for number in sorted(range(len(way)), key=lambda at: not way[at].renewed or place not in way[at].out):
        stage = _stage(of, way[number], held)
        if not bears(stage) and broken_hub and place not in way[number].out:
            stage = _stage(of, way[number], (*held, place))
        stages[number] = stage
        if not bears(stage):
            return Tried(tuple(stages.values()), hindered="gives way", governs=stage.verdict.governs)
    ordered = tuple(stages[number] for number in range(len(way)))
    return _handled(of, ordered, place)


def _stage(of: ExchangeCase, state: Between, held: Sequence[str]) -> StageAnalysis:
    case = of.sound if state.renewed else of.broken
    case = replace(case, arms_gone=case.arms_gone | set(state.hanging)) if state.hanging else case
    return analysis(case, replace(state.fitted, held=_inside(held, state)))


def bears(stage: StageAnalysis) -> bool:
    """True if a state stands with what is held, nothing of it gives way, and its numbers do not end (P24)."""
    return stage.stands and not stage.breaks and stage.small_rotations


def _handled(of: ExchangeCase, stages: tuple[StageAnalysis, ...], place: str) -> Tried:
    """What hands are asked for in all states; whether they give it."""
    holds = []
    for hub in dict.fromkeys(hub for stage in stages for hub in stage.fitted.held):
        forces = [_force_n(stage, hub) for stage in stages if hub in stage.fitted.held]
        height_mm = of.height_mm(hub)
        most_n = max(float(np.linalg.norm(force)) for force in forces)
        prop = most_n > WHOLE_BODY_PUSH_N or not reach(height_mm, of.sound.design.crew).reachable
        if prop and not all(map(_prop_bears, forces)):
            return Tried(stages, hindered="hands", asks=most_n, at=hub)
        holds.append(HandHold(hub, height_mm, most_n, prop))
    pegs = sorted({limit.at or limit.governs.hub for stage in stages for limit in stage.asks_for_pegs
                   if limit.governs} - {""})
    return Tried(stages, tuple(one for one in holds if one.hub != place), tuple(pegs))


def _force_n(stage: StageAnalysis, hub: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """(3,) what hands or prop give at a held hub under the weight as it is [N]."""
    answer = stage.solved
    if not isinstance(answer, Solved):
        return np.full(3, math.inf)
    forces = answer.ready.reactions(answer.weight.displacements, answer.weight.load.hubs_n)[0]
    return np.asarray(forces[stage.case.model.hub_index[hub], :3])


def _prop_bears(force_n: np.ndarray[tuple[int], np.dtype[np.float64]]) -> bool:
    """True of a force that goes straight down into a prop, or nearly."""
    return float(np.hypot(force_n[0], force_n[1])) <= PROP_LEAN * float(force_n[2]) + 1e-6
