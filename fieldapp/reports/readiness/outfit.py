"""A plan outfitted with the parts that are left: who sits where, and what every stage then bears."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.kit.allocate import NEARLY_FREE, Allocation, Group, Move, allocate, allocation_of, fewest_exchanges
from fieldapp.kit.interchange import Turn
from fieldapp.kit.kit import Part
from fieldapp.kit.match_lengths import Gaps, Matched, match_lengths
from fieldapp.log.state import State
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.lack_of_fit import closings, locked_rows
from fieldapp.plan.plan import Plan
from fieldapp.reports.parts.own_numbers import Strength
from fieldapp.reports.readiness.seats import Seats
from fieldapp.reports.standing.demand import Demand, demand

EASY_UTILISATION = 0.5
"""Struts are matched for smaller gaps even if that locks in more, as long as no use passes this [1].
Source: our choice. Test: tests/reports/readiness/test_readiness.py"""


MoveReason = Literal["fills", "eases", "matches"]


@dataclass(frozen=True, slots=True)
class Sticker:
    """What is stuck on a part that goes to another place than before."""

    part: str
    place: str
    before: str | None
    """Place it was meant for; None: it comes from the stores."""
    instead_of: str | None
    """Part that was meant for the place."""
    turn: Turn | None
    """Hubs: which of its arms comes where, if not by their numbers."""
    why: MoveReason = "fills"
    """The place had no part that may be used; or a weaker part comes to bear less; or lengths match better."""

    @property
    def words(self) -> str:
        """For a person: "OH-H64-9 to H03 instead of OH-H03-2, its arm 1 at arm 2"."""
        instead = f" instead of {self.instead_of}" if self.instead_of else ""
        turned = f", its arm 1 at arm {self.turn.place_arm(1)}" if self.turn is not None else ""
        return f"{self.part} to {self.place}{instead}{turned}"


@dataclass(frozen=True, slots=True, eq=False)
class Outfit:
    """Parts at the places of a plan. Places for which no part is left are judged as if a sound one were made."""

    plan: Plan
    allocation: Allocation
    turns: Mapping[str, Turn]
    """Hub place → how the part must be turned, where that is not as its numbers say or an arm is weak."""
    gap_before_mm: float
    """Root mean square of the closing gaps before struts were matched by length; 0 if none was measured."""
    gap_mm: float
    """… and after."""
    asked: Demand
    """Of sound parts as long as designed."""
    by_load: Allocation
    """Before struts were matched by length."""
    plain: Allocation
    """With the fewest exchanges, for comparison …"""
    best: Allocation
    """… and the optimum, whatever exchanges it takes; lengths not matched in either."""
    demand: Demand
    """With what is left of each part and the measured lengths."""

    @property
    def stickers(self) -> tuple[Sticker, ...]:
        """The "new place" stickers, by place. Logged as exchanges in this order they give this allocation."""
        turned = {place: turn for place, turn in self.turns.items() if not turn.keeps_numbers}
        filled = {move.place for move in self.plain.moves}
        eased = {(move.place, move.part) for move in self.by_load.moves}

        def why(move: Move) -> MoveReason:
            return "fills" if move.place in filled else "eases" if (move.place, move.part) in eased else "matches"

        return tuple(Sticker(move.part, move.place, move.before, move.instead_of, turned.get(move.place), why(move))
                     for move in self.allocation.moves)

    @property
    def worst_use(self) -> float:
        """Largest share of what gives way first at any stage, arms and tubes or whatever it is."""
        bears = self.demand.least_borne.bears.value
        return 1.0 / bears if bears > 0 else np.inf

    @property
    def fits(self) -> bool:
        """True if every place has a part and no stage asks more of it than it can take."""
        return not self.allocation.empty and self.worst_use <= 1.0


def outfit(case: Case, plan: Plan, state: State, *, parts: Iterable[Part], strengths: Mapping[str, Strength],
           asked: Demand | None = None) -> Outfit:
    """Give out the parts, match lengths, judge every stage.

    Parameters
    ----------
    case : Case
        Of sound parts.
    plan : Plan
        With holds.
    state : State
        Says what is meant for which place now.
    parts : iterable of Part
        Those that may be used.
    strengths : mapping
        Part → what it can take; parts that are not in it are sound.
    asked : Demand, optional
        `demand(case, plan)`, if it is known already.

    Returns
    -------
    Outfit
    """
    asked = demand(case, plan) if asked is None else asked
    seats, known = Seats(case.kit, asked, strengths, state.fitted), {part.id: part for part in parts}
    groups = seats.groups(known.values(), plan.step_of)
    meant = {place: part for place, part in state.allocation.items() if place in plan.step_of}

    by_load, plain = allocate(groups, meant), fewest_exchanges(groups, meant)
    best = allocate(groups, meant, NEARLY_FREE)

    def judged(given: Allocation, gaps_mm: tuple[float, float]) -> Outfit:
        turns = _turns(seats, known, given)
        real = _judged(case, plan, seats, given=given, turns=turns)
        return Outfit(plan, given, turns, *gaps_mm, asked, by_load, plain, best, real)

    if not any(strength.off_mm for strength in strengths.values()):
        return judged(by_load, (0.0, 0.0))
    matched = _matched(case, plan, strengths, start=by_load.part_at, groups=groups, meant=meant)
    unmatched = judged(by_load, (matched.gap_before_mm, matched.gap_before_mm))
    closer = judged(allocation_of(matched.part_at, groups, meant), (matched.gap_before_mm, matched.gap_mm))
    return closer if closer.worst_use <= max(unmatched.worst_use, EASY_UTILISATION) else unmatched


def _matched(case: Case, plan: Plan, strengths: Mapping[str, Strength], *, start: Mapping[str, str],
             groups: tuple[Group, ...], meant: Mapping[str, str]) -> Matched:
    """Struts exchanged by length for small gaps and little strain, no ratio above the worst at the start."""
    off_mm = {part: strength.off_mm for part, strength in strengths.items() if strength.off_mm}
    per_mm = np.array([level.per_mm for level in closings(case, plan)]).reshape(-1, len(case.frame.struts))
    gaps = Gaps(case.model.strut_names, per_mm, off_mm, locked_rows(case, plan))
    struts = [group for group in groups if group.name.startswith("strut")]
    worst = allocation_of(start, struts, meant).worst
    return match_lengths(start, struts, gaps, meant=meant, worst=worst)


def _turns(seats: Seats, parts: Mapping[str, Part], given: Allocation) -> dict[str, Turn]:
    """How to turn hubs that do not sit as their own numbers say."""
    found = {}
    for place, part_id in sorted(given.part_at.items()):
        part = parts[part_id]
        if part.kind == "hub" and (part.made_for != place or not seats.strength(part).is_plain):
            turn, _ = seats.seated(part, place)
            if turn is not None:
                found[place] = turn
    return found


def _judged(case: Case, plan: Plan, seats: Seats, *, given: Allocation, turns: Mapping[str, Turn]) -> Demand:
    """All stages with reduced arms and tubes and with lengths that do not fit; as asked if all are sound."""
    strengths = seats.strengths
    weak = {place: strengths[part] for place, part in given.part_at.items()
            if part in strengths and (strengths[part].weakest < 1.0 or strengths[part].off_mm)}
    if not weak:
        return seats.demand
    factors = dict(_arm_factors(case, weak, turns))
    real = case_of(case.kit, factors) if factors else case
    return demand(real, plan, off_mm=_by_strut(case, {p: s.off_mm for p, s in weak.items()}, 0.0),
                  tube_left=_by_strut(case, {p: max(s.weakest, 1e-6) for p, s in weak.items()}, 1.0),
                  handled=seats.demand.handled)


def _arm_factors(case: Case, weak: Mapping[str, Strength],
                 turns: Mapping[str, Turn]) -> Iterable[tuple[tuple[str, int], float]]:
    """(strut, end) → what is left of the arm there, by the part that the arm belongs to."""
    of_strut = case.design.hub.held_by.member.arm_of == "strut"
    for place, strength in weak.items():
        if place in case.frame.strut_index:
            if of_strut:
                yield from (((place, end), strength.at(end)) for end in (1, 2) if strength.at(end) < 1.0)
            continue
        turn = turns.get(place)
        own = {at: arm for arm, at in turn.arms} if turn is not None else {}
        for arm in case.frame.hub(place).arms if not of_strut else ():
            left = strength.at(own.get(arm.number, arm.number))
            if left < 1.0:
                yield (arm.strut, arm.end), left


def _by_strut(case: Case, values: Mapping[str, float], other: float) -> FloatArray:
    """(m,) a value at each strut place."""
    return np.array([values.get(strut.name, other) for strut in case.frame.struts])
