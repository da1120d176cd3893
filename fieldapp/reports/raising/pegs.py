"""Which feet must be pegged now, or should be already, and which may be let go at the strike: by the log."""

from collections.abc import Iterable
from dataclasses import dataclass

from fieldapp.log.state import State
from fieldapp.plan.pegs import HeldFoot
from fieldapp.plan.plan import Plan


@dataclass(frozen=True, slots=True)
class PegTurn:
    """Feet to peg before the raise goes on."""

    feet: tuple[HeldFoot, ...] = ()
    before: int = 0
    """Number of the step that waits for them; one more than there are: everything is in."""
    late: bool = False
    """True if a part is in that should have waited: peg before anything else is done."""

    @property
    def hubs(self) -> tuple[str, ...]:
        """Their places."""
        return tuple(foot.hub for foot in self.feet)


def pegs_first(plan: Plan, state: State, place: str) -> tuple[HeldFoot, ...]:
    """Feet that stand, are not logged as held, and must be before `place` is filled; none if the plan leaves it out."""
    if place not in plan.step_of:
        return ()
    return _open(state, plan.held_before(plan.step_for(place).number))


def peg_turn(plan: Plan, state: State) -> PegTurn:
    """What to peg now: before the first open step, or because a part went in all the same. Not at the strike."""
    if state.phase == "striking":
        return PegTurn()
    newest = last_standing(plan, state)
    first_open = next((step.number for step in plan.steps if any(
        not state.is_fitted(place) for place in step.places)), len(plan.steps) + 1)
    feet = _open(state, plan.held_before(max(first_open, newest)))
    before = min((pegging.before for pegging in plan.peggings if _open(state, pegging.feet)), default=0)
    return PegTurn(feet, before, late=bool(unpegged(plan, state))) if feet else PegTurn()


def unpegged(plan: Plan, state: State) -> tuple[HeldFoot, ...]:
    """Feet that are not logged as held although what stands needs them to be.

    While it goes up: once a part of a step that should have waited is in. At the strike: until the step that first
    needed it is out again.
    """
    newest = last_standing(plan, state)
    if state.phase == "striking":
        return tuple(foot for foot in _open(state, plan.held_before(newest)) if foot.needed_from <= newest)
    return _open(state, plan.held_before(newest))


def to_leave_in(plan: Plan, state: State) -> tuple[HeldFoot, ...]:
    """Feet whose pegs must stay for what stands now; nobody knows better of one that the plan does not name."""
    newest = last_standing(plan, state)
    return tuple(foot for foot in _held(plan, state) if foot.needed_from <= newest)


def may_be_let_go(plan: Plan, state: State) -> tuple[str, ...]:
    """Feet that are held and that nothing which stands needs any more."""
    stay = {foot.hub for foot in to_leave_in(plan, state)}
    return tuple(sorted(hub for hub in state.held_feet if hub not in stay))


def last_standing(plan: Plan, state: State) -> int:
    """Number of the last step of which anything is in; 0 if nothing is."""
    return max((step.number for step in plan.steps if any(map(state.is_fitted, step.places))), default=0)


def _open(state: State, feet: Iterable[HeldFoot]) -> tuple[HeldFoot, ...]:
    """Those that stand and are not logged as held."""
    return tuple(foot for foot in feet if state.is_fitted(foot.hub) and foot.hub not in state.held_feet)


def _held(plan: Plan, state: State) -> tuple[HeldFoot, ...]:
    return tuple(foot for pegging in plan.peggings for foot in pegging.feet if foot.hub in state.held_feet)
