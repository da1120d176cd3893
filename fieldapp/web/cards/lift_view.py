"""The call that everybody hears before a piece is lifted: from two steps before it, and where its first part goes."""

from dataclasses import dataclass

from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.reports.raising.lifts import next_lift
from fieldapp.reports.raising.progress import places_of
from fieldapp.wording.lifts import lift_words

LIFT_TOLD_STEPS = 2
"""A lift is told from this many steps before it on, so that everybody is called in time."""


@dataclass(frozen=True, slots=True)
class LiftNow:
    """The next lift, once it is near."""

    due: bool = False
    """True: nothing goes in before it."""
    lines: tuple[str, ...] = ()
    """How many people, at which hubs, how high, how evenly; empty while it is far off."""
    opens: frozenset[str] = frozenset()
    """The places of the step that begins with it."""


def lift_now(site: Site, state: State) -> LiftNow:
    """Nothing where the way knows no lifts, at the strike, or while the next one is far off."""
    if state.phase == "striking" or not any(step.lift_mm > 0.0 for step in site.plan.steps):
        return LiftNow()
    order = next_lift(site, state)
    if order is None or order.steps_until > LIFT_TOLD_STEPS:
        return LiftNow()
    opens = frozenset(places_of(site.plan.steps[order.step - 1]))
    return LiftNow(order.steps_until == 0, lift_words(order)[:-1], opens)


def lift_before(site: Site, state: State, place: str | None) -> tuple[str, ...]:
    """What must be lifted before a place can be filled; empty if nothing must."""
    lift = lift_now(site, state)
    return lift.lines if lift.due and place in lift.opens else ()
