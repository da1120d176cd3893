"""The step card: what to fetch, where it goes, in which order, what to hold before, and the press when it is done."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.said import listed
from fieldapp.kit.kit import Part
from fieldapp.kit.numbering import short_name
from fieldapp.log.codes import carried
from fieldapp.log.duties import in_hand
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.closing import closing_briefly, closing_words, is_too_far
from fieldapp.plan.plan import Plan, Step
from fieldapp.reports.parts import may_go_in
from fieldapp.reports.verdict import Verdict, verdict_of
from fieldapp.web.cards.part_view import bands, what_words
from fieldapp.web.cards.place_view import limits_told
from fieldapp.web.cards.status import Status, part_status, status_of
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.wording.ahead import lift_briefly, lift_words
from fieldapp.wording.facing import facing
from fieldapp.wording.lifts import MOST_HUBS
from fieldapp.wording.place import end_goes, order_words, pushing_words, sentence
from fieldapp.wording.standing import one_hold
from fieldapp.wording.strike import strike_briefly, strike_lines
from fieldapp.wording.whereabouts import whereabouts

MOST_IN_TITLE = 4
MOST_TICKS = 4
"""Ticks that find room on a first screen; of more the list is folded."""


@dataclass(frozen=True, slots=True)
class CardPart:
    """One part of the step."""

    place: str
    part: str
    """Its printed ID; empty if no part is meant for the place."""
    short: str
    letter: str
    bands: int
    what: str
    goes: tuple[str, ...]
    """How it goes in: which end where, onto which hub first, how far to spread."""
    scanned: bool
    """True if this phone read its label for this step."""
    done: bool
    """True if it is in already; at the strike, if it is out."""
    trouble: Status | None = None
    """Why it may not be used."""
    unread: bool = False
    """True if it sits on trust: nobody read its label."""


@dataclass(frozen=True, slots=True)
class StepCard:
    """One step, for whoever does it."""

    name: str
    """Its first place, by which it is known."""
    title: str
    """"H23 with S030 and S031"."""
    where: str
    named: tuple[str, ...]
    """Neighbours that the picture names."""
    status: Status
    first: tuple[str, ...]
    """What must be pegged, lifted or held before."""
    parts: tuple[CardPart, ...]
    order: tuple[str, ...]
    limits: tuple[str, ...]
    coming_down: bool
    detail: str = ""
    """What belongs to the status and must be known at once: how much a peg must hold."""
    lift: int = 0
    """Number of the step whose lift comes first, or whose lowering follows, for its page; 0 for none."""
    taken_by: tuple[str, ...] = ()
    """Others who have it in hand."""
    mine: bool = False
    halted: bool = False
    """True while building is stopped, or a part in the frame is exchanged."""

    def in_order(self, heads: tuple[str, ...]) -> tuple[str, ...]:
        """What hands must do: of what stands, then of the step; a lift comes before all else."""
        return (*self.first, *heads) if self.lift else (*heads, *self.first)

    @property
    def open_parts(self) -> tuple[CardPart, ...]:
        """Those still to be fitted, or taken out."""
        return tuple(one for one in self.parts if not one.done)

    @property
    def open_places(self) -> frozenset[str]:
        """Their places."""
        return frozenset(one.place for one in self.open_parts)

    @property
    def ticks(self) -> str:
        """In so few words what is ticked, where a list of it finds no room; else empty."""
        struts = sum(one.place.startswith("S") for one in self.open_parts)
        hubs = [one.short for one in self.open_parts if not one.place.startswith("S")]
        if len(self.open_parts) <= MOST_TICKS:
            return ""
        words = ngettext("{n} strut", "{n} struts", struts).format(n=struts)
        return f"☑ {listed([*hubs, words])}"

    @property
    def press(self) -> str:
        """What the press says; what is not so is unticked before."""
        return _("All ticked is out") if self.coming_down else _("All ticked is in")

    @property
    def unread(self) -> int:
        """At the strike: how many of its labels nobody read when it went in."""
        return sum(one.unread for one in self.open_parts)

    @property
    def goes_on(self) -> bool:
        """True if the press is the thing to do now."""
        ready = not self.taken_by and not self.halted
        return ready and self.status.shape == "now" and not any(one.trouble for one in self.open_parts)

    @property
    def offers_anyway(self) -> bool:
        """True if it is not its turn: what was done all the same can be written down, out of the finger's way."""
        return not self.goes_on and not self.is_done

    @property
    def duty(self) -> str:
        """What the small press does: take the step, or leave it."""
        return "leave" if self.mine else "take"

    @property
    def is_done(self) -> bool:
        """True if nothing of it is left to do."""
        return not self.open_parts


@dataclass(frozen=True, slots=True)
class CardReader:
    """The phone that looks at a card."""

    holder: str
    """Tells phones apart: as `Entry.holder` of what it would write."""
    now: datetime
    scanned: frozenset[str] = frozenset()
    """IDs whose labels it read lately."""


def step_card(at: SiteMoment, setting: Setting, step: Step, asking: CardReader) -> StepCard:
    """The card of a step for one phone."""
    state, first_place = at.state, step.places[0]
    down = state.phase == "striking"
    found = whereabouts(at.frame, first_place, lambda place: state.is_fitted(place) and place not in step.places)
    duties = [duty for duty in in_hand(state, asking.now, "step") if duty.at == first_place]
    verdict = verdict_of(setting, state, step.number)
    return StepCard(
        name=first_place, title=title(step), where=sentence((down and found.below) or found.words), named=found.named,
        status=status_of(at, verdict),
        first=tuple(_before(at, verdict, step)), detail=_detail(at, verdict, pegs=True),
        lift=step.number if verdict.lift or (down and verdict.may and step.lift_mm) else 0,
        parts=tuple(_part(at, place, asking.scanned, down=down) for place in _order(step, verdict)),
        order=(*filter(None, (_detail(at, verdict, pegs=False),)), *_in_full(at, verdict, step),
               *order_words(at.plan, first_place, holds=False)),
        limits=limits_told(at, step.hub), coming_down=down,
        taken_by=tuple(in_words(duty.who) for duty in duties if duty.holder != asking.holder),
        mine=any(duty.holder == asking.holder for duty in duties),
        halted=state.stop is not None or state.exchanging is not None)


@dataclass(frozen=True, slots=True)
class StepLink:
    """From a part or a place to the card of its step."""

    name: str = ""
    """Its first place; empty where there is nothing to do of it."""
    mine: bool = False
    """True if this phone has it in hand."""


def step_link(plan: Plan, state: State, place: str | None, asking: CardReader) -> StepLink:
    """The step of a place, while something of it is still to be done."""
    if place not in plan.step_of:
        return StepLink()
    step = plan.step_for(str(place))
    if all(state.is_fitted(name) != (state.phase == "striking") for name in step.places):
        return StepLink()
    mine = any(duty.at == step.places[0] and duty.holder == asking.holder
               for duty in in_hand(state, asking.now, "step"))
    return StepLink(step.places[0], mine)


def _detail(at: SiteMoment, found: Verdict, *, pegs: bool) -> str:
    """What belongs to the status: of pegs it is for the first screen, why it would not stand is for the fold."""
    is_peg = bool(found.first) and found.first[0].need == "peg"
    return status_of(at, found).detail if is_peg == pegs else ""


def title(step: Step) -> str:
    """"H23 with S030 and S031"; of a step that ties a piece on, its struts."""
    struts = [item.strut for item in step.struts]
    if step.joins:
        return listed(struts, most=MOST_IN_TITLE)
    return _("{hub} with {struts}").format(hub=step.hub, struts=listed(struts, most=MOST_IN_TITLE)) \
        if struts else step.hub


def _order(step: Step, found: Verdict) -> tuple[str, ...]:
    """What is still to be done in the order in which hands work, then the rest."""
    return (*found.places, *(place for place in step.places if place not in found.places))


def _part(at: SiteMoment, place: str, scanned: frozenset[str], *, down: bool) -> CardPart:
    state = at.state
    held = state.fitted.get(place) or (None if down else state.allocation.get(place))
    done = state.is_fitted(place) != down
    if held is None:
        return CardPart(place, "", place, "", 0, "", (), scanned=False, done=done,
                        trouble=None if down else Status("stop", _("No part is meant for it")))
    part = state.part(held)
    kept_out = not down and not done and not may_go_in(state, held)
    name = short_name(held, at.kit.design.frame.prefix)
    return CardPart(place, held, name, part.part_class if part.kind == "strut" else "",
                    bands(at.kit, part), _what(at, part), _goes(at, place), scanned=held in scanned, done=done,
                    trouble=part_status(at, part, place=place) if kept_out else None,
                    unread=down and state.parts[held].not_scanned)


def _what(at: SiteMoment, part: Part) -> str:
    """What it is, and what it carried before."""
    return " · ".join(filter(None, (what_words(at.kit, part), carried(at.state, part.id))))


def _goes(at: SiteMoment, place: str) -> tuple[str, ...]:
    """Both ends of a strut, onto which hub first, and by how much to spread the hubs if both stand."""
    if place in at.frame.hub_index:
        return (_(facing(at.frame).face),)
    how, strut = at.kit.design.hub.held_by.assembly, at.frame.strut(place)
    return (*(end_goes(at.frame, strut, end, how) for end in (1, 2)), *pushing_words(at.plan, place, how))


def _before(at: SiteMoment, found: Verdict, step: Step) -> Iterator[str]:
    """What is pegged, lifted, held and spread before hands let go of it."""
    hands = found.hands
    if at.state.phase == "striking":
        yield from strike_briefly(at.kit, at.plan, step, found) if found.may else ()
        return
    if found.lift is not None:
        yield from lift_briefly(found.lift)
    if hands.carry:
        yield _("First carry the piece at {hubs}, one person at each.").format(
            hubs=listed(hands.carry, most=MOST_HUBS))
    if hands.before:
        yield _("First hold {hubs}.").format(hubs=listed([hold.hub for hold in hands.before], most=MOST_IN_TITLE))
    if hands.after:
        yield _("Have somebody ready to hold {hubs}.").format(
            hubs=listed([hold.hub for hold in hands.after], most=MOST_IN_TITLE))
    if found.act == "in":
        yield from map(in_words, closing_briefly(step, found.places))


def _in_full(at: SiteMoment, found: Verdict, step: Step) -> Iterator[str]:
    """What the first screen says in short: the lift, how far which hubs bear to be spread, from where who holds; at the
    strike in the words of start page and paper."""
    hands = found.hands
    if at.state.phase == "striking" and found.may:
        yield from strike_lines(at.kit, at.plan, step, found)
    if found.lift is not None:
        yield lift_words(found.lift)[0]
    if found.act == "in":
        for one in step.struts:
            if one.closes and one.strut in found.places and is_too_far(one):
                yield from map(in_words, closing_words(step, one.strut))
    yield from (one_hold(hold) for hold in (*hands.before, *hands.after, *hands.keep))
