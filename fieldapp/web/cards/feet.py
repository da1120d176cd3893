"""Feet on a page: which to peg now, what a foot asks for, whether it is held, and the buttons for it."""

from dataclasses import dataclass

from fieldapp.frame.ground import GroundSection
from fieldapp.log.rules import Setting
from fieldapp.log.rules.terms import when_and_who
from fieldapp.log.state import State
from fieldapp.reports.raising.pegs import may_be_let_go, peg_turn, to_leave_in, unpegged
from fieldapp.web.common.context import SiteMoment, site
from fieldapp.web.common.i18n import _, in_words
from fieldapp.wording.pegs import (
    PEG_CAUTION,
    each_must,
    leave_in,
    left_unpegged,
    let_go,
    peg_heading,
    pegs_of_foot,
    too_little,
)


@dataclass(frozen=True, slots=True)
class PegButton:
    """One way to say that feet are held."""

    how: str
    words: str


@dataclass(frozen=True, slots=True)
class FeetNow:
    """What to do at the feet: to hold them, or to let them go."""

    heading: str = ""
    lines: tuple[str, ...] = ()
    caution: str = ""
    """What to mind before anything is driven into the ground; empty where nothing is."""
    hold: tuple[str, ...] = ()
    """Feet that a press logs as held …"""
    buttons: tuple[PegButton, ...] = ()
    """… by one of these."""
    free: tuple[str, ...] = ()
    """Feet that a press logs as let go."""
    late: bool = False
    """True if they should have been held before."""

    @property
    def speaks(self) -> bool:
        """True if there is anything to say."""
        return bool(self.heading or self.lines)


def feet_now(setting: Setting, state: State) -> FeetNow:
    """The pegging that is due, with one press for all of it; at the strike what stays in and what may go."""
    ground = setting.kit.design.ground
    if state.phase == "striking":
        return _at_the_strike(setting, state)
    turn = peg_turn(setting.plan, state)
    if not turn.feet:
        return FeetNow()
    lines = (each_must(ground, turn.feet), *too_little(ground, turn.feet))
    return FeetNow(peg_heading(ground, turn.feet), lines, _caution(ground), turn.hubs, _buttons(ground), late=turn.late)


def _at_the_strike(setting: Setting, state: State) -> FeetNow:
    stay, free = to_leave_in(setting.plan, state), may_be_let_go(setting.plan, state)
    open_feet = unpegged(setting.plan, state)
    return FeetNow(lines=(*leave_in(stay), *((left_unpegged(open_feet),) if open_feet else ()),
                          *((let_go(free),) if free else ())), free=free)


def foot_now(at: SiteMoment, hub: str) -> FeetNow:
    """One foot: held since when and by whom, or what it asks for; nothing for a hub that no plan has held."""
    plan, state, ground = at.plan, at.state, at.kit.design.ground
    entry = state.index.get(state.held_feet.get(hub, ""))
    if entry is not None:
        said = in_words(when_and_who(entry, site().clock()))
        stay = leave_in([foot for foot in to_leave_in(plan, state) if foot.hub == hub])
        return FeetNow(lines=(_("Pegged or weighed down ({said}).").format(said=said), *stay), free=(hub,))
    words = pegs_of_foot(plan, ground, hub)
    if not words:
        return FeetNow()
    hold = (hub,) if state.is_fitted(hub) and state.phase != "striking" else ()
    feet = [foot for pegging in plan.peggings for foot in pegging.feet if foot.hub == hub]
    return FeetNow(lines=(*words, *too_little(ground, feet)), hold=hold, buttons=_buttons(ground) if hold else (),
                   caution=_caution(ground))


def _caution(ground: GroundSection) -> str:
    return "" if ground.held_by == "ballast" else _(PEG_CAUTION)


def _buttons(ground: GroundSection) -> tuple[PegButton, ...]:
    words = {"pegs": _("Pegged"), "ballast": _("Weighed down"), "screwed anchors": _("Anchored")}
    if ground.held_by == "nothing":
        return tuple(PegButton(how, words[how]) for how in ("pegs", "ballast"))
    return (PegButton(ground.held_by, words[ground.held_by]),)
