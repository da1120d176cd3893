"""The order inside a level: few hubs held at once, for as short a time as possible.

Objective, the lower the better, compared from left to right: hubs held at once at most; held hubs
times minutes; minutes in all; struts that close. The plain clockwise order is always among the
candidates, so that the order chosen is never worse by it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.errors import PlanError
from fieldapp.frame.design import CrewSection
from fieldapp.frame.frame import Frame
from fieldapp.plan.assemble import Erection, neighbours
from fieldapp.plan.motions import FREE, Motions, directions, smallest_holds
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.supports import STILL
from fieldapp.plan.teams import team_count, timetable
from fieldapp.plan.ways import from_ground

ALL_STARTS_UP_TO = 30
"""Levels up to this many hubs are tried from every hub [1]. Source: our choice. Test: tests/plan/test_ways.py"""
FEW_STARTS = 4
"""Larger levels only from the hubs with most struts to the level below; a level repeats itself round the frame [1].
Source: our choice. Test: tests/plan/test_ways.py"""

Score = tuple[int, float, float, int]


@dataclass(frozen=True, slots=True)
class _Trial:
    score: Score
    level: list[str]
    assembly: Erection
    motions: Motions


def plan_score(plan: Plan, crew: CrewSection) -> Score:
    """The objective for a whole plan with its holds: (held at most, held hubs × minutes, minutes, closing struts)."""
    return _score(plan.steps, [step.holds for step in plan.steps], crew)


def best_levels(frame: Frame, order: Sequence[Sequence[str]], missing: Sequence[str],
               crew: CrewSection) -> list[list[str]]:
    """`order` from the ground up with each level put into its best order, level after level.

    Parameters
    ----------
    frame : Frame
    order : sequence of sequence of str
        Levels from the ground up, clockwise.
    missing : sequence of str
        Places left out.
    crew : CrewSection
        People and pace, for the minutes.

    Returns
    -------
    list of list of str
        The same hubs level by level.
    """
    reached = _Trial((0, 0.0, 0.0, 0), [], Erection(frame, frozenset(missing)), Motions())
    found: list[list[str]] = []
    for level in order:
        reached = _best_trial(reached, level, crew)
        found.append(reached.level)
    return found


def _best_trial(base: _Trial, level: Sequence[str], crew: CrewSection) -> _Trial:
    """The best of the candidates for one level; the plain order goes first and wins ties."""
    best: _Trial | None = None
    for candidate in _candidates(base.assembly, level):
        trial = _trial(base, candidate, crew, most=best.score[0] if best else len(base.assembly.frame.hubs))
        if trial and (best is None or trial.score < best.score):
            best = trial
    if best is None:
        raise PlanError(f"the level with {level[0]} cannot be built on what stands: no order ties every hub to one "
                        f"that stands; leave out less")
    return best


def _candidates(assembly: Erection, level: Sequence[str]) -> Iterator[list[str]]:
    """Plain clockwise first; then from each start clockwise, anticlockwise and both ways; then most ties first."""
    yield list(level)
    ties = {name: sum(far in assembly.piece_of for far in neighbours(assembly.frame, name)) for name in level}
    starts = sorted(range(len(level)), key=lambda i: (-ties[level[i]], i))
    for start in starts if len(level) <= ALL_STARTS_UP_TO else starts[:FEW_STARTS]:
        turned = [*level[start:], *level[:start]]
        back = [turned[0], *turned[:0:-1]]
        yield turned
        yield back
        yield list(dict.fromkeys(name for pair in zip(turned, back, strict=True) for name in pair))
    yield _most_ties_first(assembly.frame, level, ties)


def _most_ties_first(frame: Frame, level: Sequence[str], ties: dict[str, int]) -> list[str]:
    """Always the hub with most struts to lean on; among equals the first clockwise."""
    waiting, ties, found = list(level), dict(ties), []
    while waiting:
        name = max(waiting, key=lambda hub: ties[hub])
        waiting.remove(name)
        found.append(name)
        for far in neighbours(frame, name):
            if far in ties:
                ties[far] += 1
    return found


def _trial(base: _Trial, level: list[str], crew: CrewSection, *, most: int) -> _Trial | None:
    """One order of a level; None if it holds more than `most` hubs at once, or a hub would hang in the air."""
    assembly, motions = base.assembly.copy(), base.motions
    resting = next((step.stands_on for step in reversed(base.assembly.steps)), ())
    holds: list[tuple[str, ...]] = []
    for placement in from_ground(assembly.frame, level, resting=resting):
        try:
            step = assembly.add(placement)
        except PlanError:
            return None
        support = STILL if step.hub in step.stands_on else FREE
        motions = motions.with_hub(step.hub, directions(assembly.frame, step), support)
        holds.append(smallest_holds(motions, prefer=holds[-1] if holds else ()))
        if len(holds[-1]) > most:
            return None
    return _Trial(_score(assembly.steps[-len(level):], holds, crew), level, assembly, motions)


def _score(steps: Sequence[Step], holds: Sequence[Sequence[str]], crew: CrewSection) -> Score:
    at_most = max((len(held) for held in holds), default=0)
    table = timetable(steps, teams=team_count(crew, at_most), minutes_per_step=crew.minutes_per_step, holds=holds)
    closers = sum(insertion.closes for step in steps for insertion in step.struts)
    return at_most, round(table.hold_minutes, 6), round(table.total_min, 6), closers
