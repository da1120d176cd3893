"""The lifts of a way of raising, each with its lowering: who, how heavy, how high, and whether hands do it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fieldapp.base.said import Number, Said, say
from fieldapp.frame.design import CrewSection
from fieldapp.kit.kit import Kit
from fieldapp.plan.lifting import lifters_for_mass
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.reach import grip_reach_mm

AT_ONE_HUB = 2
"""So many people find room at one hub [1]. Source: our choice. Test: tests/plan/test_hand_lifts.py"""
PROP_STEP_MM = 300.0
"""A piece is lifted by so much at a time, and set down on props in between [mm].
Source: our choice: less than from elbow to shoulder, so that nobody changes grip in the air.
Test: tests/plan/test_hand_lifts.py"""
CLEAR_BEYOND_MM = 2000.0
"""Nobody stands nearer to a piece in the air than its highest hub is high, and so much more [mm].
Source: our choice: as far as it could fall over. Test: tests/plan/test_hand_lifts.py"""


@dataclass(frozen=True, slots=True)
class HandLift:
    """One lift; read backwards it is the lowering. Words: `wording.lifts`."""

    step: int
    """Number of the step that begins with it going up, and ends with it coming down."""
    piece: str
    hubs: tuple[str, ...]
    """Where it is carried."""
    rests_on: tuple[str, ...]
    """Hubs on which it rests below, on the ground or on props; none if it is carried there too."""
    carried_below: tuple[str, ...]
    """Hubs at which it is carried below, if it does not rest."""
    held: tuple[str, ...]
    """Hubs of the piece that are held besides, before it or after it: whoever holds them goes along."""
    until: int
    """Number of the step that is in when whoever carries it above lets go, or that begins with the next lift."""
    lifted_again: bool
    """True if that step does."""
    heights_mm: Mapping[str, float]
    """Height of every hub of the piece once it is up [mm]."""
    lift_mm: float
    """How far it goes [mm]."""
    mass_kg: float
    people: int

    @property
    def high_mm(self) -> float:
        """Height of the highest carried hub once it is up [mm]."""
        return max(self.heights_mm[hub] for hub in self.hubs)

    @property
    def low_mm(self) -> float:
        """Height of the same hub before [mm]."""
        return self.high_mm - self.lift_mm

    @property
    def top_mm(self) -> float:
        """Height of the highest hub of the piece once it is up [mm]."""
        return max(self.heights_mm.values())

    @property
    def rises_mm(self) -> tuple[float, ...]:
        """How far it has gone up at each state in between [mm]: there it is set down on props."""
        count = math.ceil(self.lift_mm / PROP_STEP_MM - 1e-9)
        return tuple(self.lift_mm * number / count for number in range(1, count))

    def below_mm(self, hub: str) -> float:
        """Height of a hub of the piece before it goes up [mm]."""
        return self.heights_mm[hub] - self.lift_mm

    def props_mm(self, hub: str) -> tuple[float, ...]:
        """Heights of the props under a carried hub for the states in between, going up [mm].

        Each hub has its own: where they are not level, props of one height would rack the piece.
        """
        return tuple(self.below_mm(hub) + rise_mm for rise_mm in self.rises_mm)

    @property
    def clear_mm(self) -> float:
        """How far from the piece everybody else stays [mm]."""
        return self.top_mm + CLEAR_BEYOND_MM


def hand_lifts(kit: Kit, plan: Plan) -> tuple[HandLift, ...]:
    """Every lift of a plan, in its order; read backwards they are the lowerings of the strike.

    Source: (P13). Test: tests/plan/test_hand_lifts.py
    """
    return tuple(_lift(kit, plan, step) for step in plan.steps if step.lift_mm > 0.0)


def _lift(kit: Kit, plan: Plan, step: Step) -> HandLift:
    before = plan.steps[:step.number - 1]
    piece = _piece(before, step)
    mass_kg = sum(kit.by_place[place].mass_kg for place in piece)
    lowered_mm = 0.0 if step.joins else float(kit.frame.position_mm(step.hub)[2]) - step.height_mm
    carried_at = step.carried_at or (step.hub,)        # a rim of one hub is carried at it and set down at once
    heights = {hub: float(kit.frame.position_mm(hub)[2]) for hub in dict.fromkeys((*piece, *carried_at))
               if hub in kit.frame.hub_index}
    last = before[-1]
    rests = tuple(hub for hub in last.stands_on if hub in heights)
    held = tuple(hub for hub in dict.fromkeys((*last.holds, *step.holds)) if hub in piece and hub not in carried_at)
    until = next((one for one in plan.steps[step.number:] if one.carried_at != step.carried_at), step)
    return HandLift(
        step.number, step.piece, carried_at, rests_on=rests, carried_below=last.carried_at, held=held,
        until=until.number, lifted_again=until is not step and until.lift_mm > 0.0,
        heights_mm={hub: height_mm - lowered_mm for hub, height_mm in heights.items()}, lift_mm=step.lift_mm,
        mass_kg=mass_kg, people=max(len(carried_at), lifters_for_mass(mass_kg)))


def _piece(before: Sequence[Step], step: Step) -> tuple[str, ...]:
    """What is in the piece by then: hubs, and the struts that came with them."""
    own = [done for done in before if done.piece == step.piece]
    return tuple(dict.fromkeys(place for done in own for place in done.places))


def not_by_hand(lift: HandLift, crew: CrewSection) -> Said | None:
    """Why hands do not do it, and by which rule; None if they do.

    Source: (P13): DIN 33402-2:2005; HSE L23, INDG143. Test: tests/plan/test_hand_lifts.py

    Notes
    -----
    Whoever carries stands on the ground: nobody carries from a ladder, and a platform does not walk along.
    """
    if lift.high_mm > grip_reach_mm(crew):
        return say("too high to lift by hand: it ends at {high} m, hands reach {reach} m from the ground (DIN "
                   "33402-2); a higher platform and another way, or lifting gear with somebody who knows it",
                   high=Number(math.ceil(lift.high_mm / 10.0) / 100.0, 2),
                   reach=Number(math.floor(grip_reach_mm(crew) / 10.0) / 100.0, 2))
    most = AT_ONE_HUB * len(lift.hubs)
    if lift.people > most:
        return say("too heavy to lift by hand: {mass} kg asks for {needed} people at 7 kg each above the shoulder (HSE "
                   "L23, INDG143), and {hubs} hubs have room for {most}", mass=math.ceil(lift.mass_kg),
                   needed=lift.people, hubs=len(lift.hubs), most=most)
    return None


def first_not_by_hand(kit: Kit, plan: Plan) -> Said | None:
    """The first lift of a plan that hands do not do; None if they do all of them."""
    said = (not_by_hand(lift, kit.design.crew) for lift in hand_lifts(kit, plan))
    return next((words for words in said if words is not None), None)
