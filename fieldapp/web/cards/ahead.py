"""What goes before a place and what follows from it, as the frame really stands: the lift, the strut, the way out."""

from dataclasses import dataclass

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.hand_lifts import hand_lifts
from fieldapp.reports.raising import places_of
from fieldapp.reports.raising.lifts import lift_lag, next_lift
from fieldapp.reports.raising.pegs import last_standing
from fieldapp.reports.standing.out_of_order import consequence
from fieldapp.reports.verdict import verdict_of
from fieldapp.reports.verdict.everybody import halt
from fieldapp.web.cards.place_view import PlaceView
from fieldapp.web.common.i18n import _
from fieldapp.wording.ahead import after_words, anyway_words, lift_briefly, lift_words, play_words
from fieldapp.wording.lifts import Direction, against, lift_page_lines, lower_briefly
from fieldapp.wording.verdict import hands_lines

LIFT_TOLD_STEPS = 2
"""A lift is told from this many steps before it on, so that everybody is called in time."""


@dataclass(frozen=True, slots=True)
class LiftNow:
    """The next lift, once it is near."""

    due: bool = False
    """True: nothing goes in before it."""
    lines: tuple[str, ...] = ()
    """How many people, at which hubs, how high, how evenly; empty while it is far off."""
    brief: tuple[str, ...] = ()
    """The same for a first screen: when, how many, what speaks against it."""
    opens: frozenset[str] = frozenset()
    """The places of the step that begins with it."""
    breaks: bool = False
    """True if hands do not lift it so evenly that nothing breaks."""
    step: int = 0
    """Its number, for the page of the lift; 0 for none."""
    way: Direction = "up"

    @property
    def page(self) -> str:
        """The page of the lift."""
        return f"/lift/{self.step}/{self.way}" if self.step else ""

    def heading(self, place: str) -> str:
        """What a start page says first where it is due before a place is filled."""
        return _("Do not lift it so") if self.breaks else _("Lift now, before {name} goes in").format(name=place)


def lift_now(site: Setting, state: State) -> LiftNow:
    """Nothing where the way knows no lifts, or while the next one is far off; at the strike what is to be lowered."""
    if not any(step.lift_mm > 0.0 for step in site.plan.steps):
        return LiftNow()
    if state.phase == "striking":
        return _lower_now(site, state)
    order = next_lift(site, state)
    if order is None or order.steps_until > LIFT_TOLD_STEPS:
        return LiftNow()
    if order.steps_until == 0 and not (order.breaks or verdict_of(site, state, order.step).may):
        return LiftNow()        # something comes first, and is the headline
    opens = frozenset(places_of(site.plan.steps[order.step - 1]))
    return LiftNow(order.steps_until == 0, lift_words(order)[:-1], lift_briefly(order), opens, order.breaks, order.step)


def _lower_now(site: Setting, state: State) -> LiftNow:
    """Due once the step that the lift began is out, until anything of the step before comes out; not at a stop."""
    newest = last_standing(site.plan, state)
    found = next((one for one in hand_lifts(site.kit, site.plan) if one.step == newest + 1), None)
    if found is None or not all(map(state.is_fitted, site.plan.steps[newest - 1].places)) or halt(site, state):
        return LiftNow()
    lag = lift_lag(site.kit, site.plan, found.step)
    why, lines = against(found, site.kit.design.crew, lag), lift_page_lines(found, "down", lag)
    return LiftNow(True, (*why, *lines), (*why, lower_briefly(found)), step=found.step, way="down")


def lift_before(site: Setting, state: State, place: str | None) -> tuple[str, ...]:
    """What must be lifted before a place can be filled; empty if nothing must."""
    lift = lift_now(site, state)
    return lift.brief if lift.due and place in lift.opens else ()


def turn_lines(site: Setting, state: State, place: str | None) -> tuple[str, ...]:
    """Empty for no place, for one that is left out, and for a filled one while the frame goes up; the page says itself
    what it waits for.
    """
    if place is None or place not in site.plan.step_of or state.is_fitted(place) != (state.phase == "striking"):
        return ()
    found = verdict_of(site, state, place)
    if state.phase == "striking":
        return hands_lines(found) if found.may else ()
    if found.may:
        return (*hands_lines(found), *play_words(consequence(site, state, place)))
    return after_words(consequence(site, state, place))


def anyway_lines(site: Setting, state: State, place: str | None) -> tuple[str, ...]:
    """What nothing holds if a part goes in though it may not; beside the button for that."""
    if place is None or place not in site.plan.step_of or state.is_fitted(place) or state.phase == "striking":
        return ()
    return () if verdict_of(site, state, place).may else anyway_words(consequence(site, state, place))


@dataclass(frozen=True, slots=True)
class Before:
    """What to know before hands are put on it."""

    first: tuple[str, ...] = ()
    """On the first screen."""
    rest: tuple[str, ...] = ()
    anyway: tuple[str, ...] = ()
    """Beside the button that is not the normal one."""


def before_lines(site: Setting, state: State, place: PlaceView | None, *, kept_out: bool = False) -> Before:
    """What its own place asks for, the lift, and the consequence; of a part kept out only how it would sit."""
    name = place.name if place else None
    turn = () if kept_out else turn_lines(site, state, name)
    own = place.first_lines if place else ()
    anyway = () if kept_out else anyway_lines(site, state, name)
    if anyway:
        return Before((*own, *lift_before(site, state, name)), turn, anyway)
    return Before((*own, *lift_before(site, state, name), *turn[:1]), turn[1:])
