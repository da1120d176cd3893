"""All that a page says of one place: words first, then neighbours and order. Plain records for the templates."""

from dataclasses import dataclass

from fieldapp.base.errors import RaisebookError
from fieldapp.frame.frame import Frame, HubPlace, StrutPlace
from fieldapp.log.state import State
from fieldapp.plan.closing import closing_briefly
from fieldapp.plan.footing import can_hold
from fieldapp.plan.plan import Plan
from fieldapp.reports.raising import places_of, progress
from fieldapp.reports.raising.pegs import pegs_first
from fieldapp.reports.standing import standing
from fieldapp.statics.governs import Limit
from fieldapp.web.cards.status import Status, place_status
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.common.i18n import _, in_words
from fieldapp.wording.pegs import counts_once_held, pegs_before_place
from fieldapp.wording.place import (
    arm_says,
    end_goes,
    end_says,
    facing_words,
    hub_where,
    level_words,
    limit_words,
    order_words,
    pushing_words,
    sentence,
)
from fieldapp.wording.seat import seat_lines
from fieldapp.wording.whereabouts import whereabouts


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A place that this one meets."""

    name: str
    says: str
    status: Status


@dataclass(frozen=True, slots=True)
class RingLine:
    """How far one ring is."""

    number: int
    words: str
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class PlaceView:
    """One place in words."""

    name: str
    kind: str
    """"hub" or "strut"."""
    headline: str
    """Where it goes: the answer."""
    where: str
    more: tuple[str, ...]
    """Which end, face and direction."""
    order: tuple[str, ...]
    limits: tuple[str, ...]
    """Computed limits; shown with the caution."""
    status: Status
    neighbours: tuple[Neighbour, ...]
    meant: str | None
    """ID of the part that sits here or is meant for it."""
    ring: int
    where_now: str = ""
    """Where it is, by neighbours that stand."""
    named: tuple[str, ...] = ()
    """Those neighbours, for the picture."""
    first_lines: tuple[str, ...] = ()
    """What to mind before it goes in: which end is in the hand, how to turn a hub from elsewhere, how far to spread."""
    seat: tuple[str, ...] = ()
    """A hub from another place: how it must be turned here; its own arrow does not say it."""

    @property
    def title(self) -> str:
        """What a list says of it: where a strut's end goes, on top of what a hub sits."""
        return self.headline if self.kind == "strut" else self.where

    @property
    def other_end(self) -> str:
        """Where the other end of a strut goes; empty for a hub."""
        return self.more[0] if self.kind == "strut" else ""


def place_view(at: SiteMoment, name: str, end: int | None = None) -> PlaceView:
    """The words for a place; `end` is the strut end that the scanned label said."""
    if name in at.frame.hub_index:
        return _hub_view(at, at.frame.hub(name))
    return _strut_view(at, at.frame.strut(name), end)


def _hub_view(at: SiteMoment, hub: HubPlace) -> PlaceView:
    frame, state = at.frame, at.state
    found = whereabouts(frame, hub.name, state.is_fitted)
    held = state.fitted.get(hub.name) or state.allocation.get(hub.name)
    seat = seat_lines(at.kit, state.part(held) if held else None, hub.name)
    return PlaceView(
        name=hub.name, kind="hub", headline=_hub_headline(state, hub), where=hub_where(frame, hub),
        more=facing_words(frame, seat) if seat else _hub_facing(frame, hub), seat=seat,
        order=_order(at, hub.name), limits=limits_told(at, hub.name),
        status=place_status(at, hub.name), neighbours=_hub_neighbours(at, hub),
        meant=_meant(state, hub.name), ring=hub.level, where_now=sentence(found.words), named=found.named,
        first_lines=seat[:1])


def limits_told(at: SiteMoment, place: str) -> tuple[str, ...]:
    """The limits of a place; a peg counts once it is logged, so that those of a plan are told not to count before."""
    words, feet = limit_words(at.plan, place, limits_here(at)), pegs_first(at.plan, at.state, place)
    early = bool(words and feet) and can_hold(at.kit.design.ground)
    return (counts_once_held(feet), *words) if early else words


def limits_here(at: SiteMoment) -> tuple[Limit, ...]:
    """Of what stands now; none where nothing stands or the statics have no answer."""
    try:
        return standing(at.setting, at.state).limits if at.state.fitted else ()
    except RaisebookError:
        return ()


def _hub_headline(state: State, hub: HubPlace) -> str:
    words = _("Sits at {place}") if state.is_fitted(hub.name) else _("Goes to {place}")
    return words.format(place=hub.name)


def _strut_view(at: SiteMoment, strut: StrutPlace, end: int | None) -> PlaceView:
    frame, plan, state = at.frame, at.plan, at.state
    first = end or 1
    other = 3 - first
    lower, how = frame.hub(strut.end(first).hub), at.kit.design.hub.held_by.assembly
    found, headline = whereabouts(frame, strut.name, state.is_fitted), end_goes(
        frame, strut, first, how, in_hand=end is not None)
    return PlaceView(
        name=strut.name, kind="strut", headline=headline,
        where=hub_where(frame, lower), more=(end_goes(frame, strut, other, how), *pushing_words(plan, strut.name, how)),
        order=_order(at, strut.name), limits=limits_told(at, strut.name),
        status=place_status(at, strut.name), neighbours=_strut_neighbours(at, strut),
        meant=_meant(state, strut.name), ring=frame.level_of(strut.name), where_now=sentence(found.words),
        named=found.named, first_lines=_strut_first(plan, state, strut.name, headline if end is not None else ""))


def _strut_first(plan: Plan, state: State, strut: str, in_hand: str) -> tuple[str, ...]:
    """The end in the hand, and the spreading; nothing of a strut that sits."""
    if state.is_fitted(strut) or strut not in plan.step_of:
        return ()
    return (*filter(None, (in_hand,)), *map(in_words, closing_briefly(plan.step_for(strut), (strut,))))


def _order(at: SiteMoment, place: str) -> tuple[str, ...]:
    """Its step, and what must be pegged before that."""
    return (*order_words(at.plan, place, holds=False), *pegs_before_place(at.plan, at.kit.design.ground, place))


def _meant(state: State, place: str) -> str | None:
    return state.fitted.get(place) or state.allocation.get(place)


def _hub_facing(frame: Frame, hub: HubPlace) -> tuple[str, ...]:
    upright = hub.arms[0].azimuth_deg < 0.5
    up = _("Arm 1 points straight up.") if upright else _("Arm 1 is the first clockwise of straight up.")
    return (*facing_words(frame, ()), up)


def _hub_neighbours(at: SiteMoment, hub: HubPlace) -> tuple[Neighbour, ...]:
    return tuple(Neighbour(arm.strut, arm_says(at.frame, arm), place_status(at, arm.strut))
                 for arm in hub.arms)


def _strut_neighbours(at: SiteMoment, strut: StrutPlace) -> tuple[Neighbour, ...]:
    return tuple(Neighbour(strut.end(end).hub, end_says(at.frame, strut, end),
                           place_status(at, strut.end(end).hub)) for end in (1, 2))


def dial_arms(frame: Frame, place: str) -> tuple[tuple[str, int | None], ...]:
    """(hub, arm in question) of the dials that belong to a place: a hub's own, or those of both ends of a strut."""
    if place in frame.hub_index:
        return ((place, None),)
    strut = frame.strut(place)
    return tuple((end.hub, end.arm) for end in (strut.end_1, strut.end_2))


def ring_lines(at: SiteMoment) -> tuple[RingLine, ...]:
    """Progress ring by ring, in words."""
    return tuple(RingLine(ring.level, level_words(at.frame, ring.level), ring.fitted, ring.needed)
                 for ring in progress(at.plan, at.state).levels)


def places_at_level(plan: Plan, ring: int) -> tuple[str, ...]:
    """The places of a ring in the order of the plan."""
    return tuple(name for step in plan.steps if step.level == ring for name in places_of(step))
