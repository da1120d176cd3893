"""The course of an exchange: ticks in order, with how each strut comes off and goes on again."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fieldapp.kit.hub_sizes import insertion_depth_mm
from fieldapp.plan.assemble import FIXING_STRUTS_ABOVE, FIXING_STRUTS_GROUND, other_hub
from fieldapp.plan.case import Case
from fieldapp.plan.exchange.hands import Tried, bears, tried
from fieldapp.plan.exchange.record import Between, ExchangeCase, ExchangeOrder, ExchangeTick
from fieldapp.plan.exchange.states import around, comes_off, states
from fieldapp.plan.reach import reach
from fieldapp.plan.spreading import spread_limit
from fieldapp.plan.stages import StageAnalysis, analysis
from fieldapp.plan.teams import TEAM_PEOPLE
from fieldapp.statics.untested import is_untested


def exchange(of: ExchangeCase, place: str) -> ExchangeOrder:
    """How a part in the standing frame is exchanged, or why it cannot be.

    Source: (P24). Test: tests/plan/test_exchange.py

    Parameters
    ----------
    of : ExchangeCase
        With the broken part in its place.
    place : str
        A hub or strut place that is filled.

    Returns
    -------
    ExchangeOrder
        Safe only if every state on the way stands, nothing of it gives way under 1.35 × weight, feet that would lift
        or slide are named to be held first, hands or props give what they are asked for, the crew is large enough and
        reaches every hub at which it works.
    """
    too_high = _out_of_reach(of, place)
    if too_high is not None:
        return too_high
    found = [_worked_out(of, place, loosened) for loosened in _loosened(of, place)[:1]]
    for loosened in _loosened(of, place)[1:]:
        found += [] if found[-1].safe else [_worked_out(of, place, loosened)]
    return found[-1]


def _loosened(of: ExchangeCase, place: str) -> tuple[str, ...]:
    """The ends of a strut, one of which must be loosened; else nothing need be, or it is the hub itself."""
    if place in of.sound.frame.hub_index or not _both_in(of, place):
        return ("",)
    out = analysis(of.sound, states(of, place)[1].fitted)
    needed_mm = insertion_depth_mm(of.sound.design)
    if needed_mm <= 0.0 or _spread_limit_mm(out, place) >= needed_mm:
        return ("",)
    return around(of.sound.frame, of.fitted, place)[::-1]


def _worked_out(of: ExchangeCase, place: str, loosened: str) -> ExchangeOrder:
    """With this hub loosened, if one is named."""
    way = states(of, place, loosened=loosened)
    found = tried(of, place, way, around_it=_hands_at(of, place, loosened))
    order = ExchangeOrder(place, holds=found.holds, loosened=loosened, peg_first=_to_peg(of, found),
                          people=len(found.holds) + TEAM_PEOPLE + len(of.fitted.carried_at), between=way,
                          carried_at=of.fitted.carried_at, hindered=found.hindered,
                          governs=found.governs, asks=found.asks, at=found.at)
    if order.safe and order.people > of.sound.design.crew.people:
        return replace(order, hindered="people")
    return replace(order, ticks=tuple(_ticks(of, place, found, loosened=loosened, way=way))) if order.safe else order


def _hands_at(of: ExchangeCase, place: str, loosened: str) -> tuple[str, ...]:
    """Hubs above the ground at which hands could help: around the part, and around the hub that is loosened for it."""
    near = [hub for at in (place, loosened) if at for hub in around(of.sound.frame, of.fitted, at)]
    return tuple(hub for hub in dict.fromkeys(near) if hub not in of.fitted.stands_on and hub != loosened)


def _to_peg(of: ExchangeCase, found: Tried) -> tuple[str, ...]:
    """Feet to hold for it that nothing keeps yet."""
    return tuple(hub for hub in found.to_peg if hub not in of.fitted.pegged)


def _out_of_reach(of: ExchangeCase, place: str) -> ExchangeOrder | None:
    """Why nobody can work there; None if everybody can, as at a strut in hand that no hub has."""
    case, off = of.sound, comes_off(of.sound.frame, of.fitted, place)
    hubs = {end.hub for strut in off or (place,) if strut in case.frame.strut_index
            for end in (case.frame.strut(strut).end_1, case.frame.strut(strut).end_2)} | {place}
    worked_at = [hub for hub in hubs if hub in case.frame.hub_index and hub in of.fitted.hubs]
    height_mm, hub = max(((of.height_mm(hub), hub) for hub in worked_at), default=(0.0, ""))
    if reach(height_mm, case.design.crew).reachable:
        return None
    return ExchangeOrder(place, between=states(of, place), hindered="reach", asks=height_mm, at=hub)


def _ticks(of: ExchangeCase, place: str, found: Tried, *, loosened: str, way: Sequence[Between]
           ) -> Iterator[ExchangeTick]:
    """Out in order, then in again the other way round; each strut with the hub at which it comes off first."""
    frame, off = of.sound.frame, comes_off(of.sound.frame, of.fitted, place)
    if place in frame.strut_index:
        struts = {place: _strut_tick(of.sound, found.stages[1], place, at_hub=loosened,
                                     closes=_both_in(of, place) and not loosened)}
    else:
        free = FIXING_STRUTS_GROUND if frame.hub(place).on_ground else FIXING_STRUTS_ABOVE
        struts = {strut: _strut_tick(of.sound, found.stages[_back_in(way, off, at)], strut, at_hub=place,
                                     closes=len(off) - at > free and _both_in(of, strut))
                  for at, strut in enumerate(off)}
    yield from (struts[strut] for strut in off)
    yield struts[place] if place in struts else ExchangeTick(place, "out")
    yield replace(struts[place], goes="in") if place in struts else ExchangeTick(place, "in")
    yield from (replace(struts[strut], goes="in") for strut in reversed(off))


def _back_in(way: Sequence[Between], off: Sequence[str], at: int) -> int:
    """Number of the state in which a hub's struts up to this one are off and the other hub is in; if none is, the hub
    out with all of them."""
    wanted = off[:at + 1]
    return next((number for number, state in enumerate(way) if state.renewed and state.out == tuple(wanted)),
                next(number for number, state in enumerate(way) if state.renewed))


def _both_in(of: ExchangeCase, strut: str) -> bool:
    place = of.sound.frame.strut(strut)
    return {place.end_1.hub, place.end_2.hub} <= set(of.fitted.hubs)


def _strut_tick(case: Case, stage: StageAnalysis, strut: str, *, closes: bool, at_hub: str = "") -> ExchangeTick:
    """How a strut comes off and goes on while all those before it are off: `stage` is the frame without it."""
    ends = [hub for hub in (at_hub,) if hub] or [end.hub for end in (case.frame.strut(strut).end_1,
                                                                     case.frame.strut(strut).end_2)]
    first = next((hub for hub in ends if _bears_hanging(stage, strut, off_at=hub)), "")
    needed_mm = insertion_depth_mm(case.design) if closes else 0.0
    limit_mm = _spread_limit_mm(stage, strut) if needed_mm else math.inf
    return ExchangeTick(strut, "out", first, needed_mm, limit_mm)


def _spread_limit_mm(stage: StageAnalysis, strut: str) -> float:
    """How far its hubs may be eased apart; whoever holds one of them lets it go along, so that hands resist nothing."""
    place = stage.case.frame.strut(strut)
    held = tuple(hub for hub in stage.fitted.held if hub not in (place.end_1.hub, place.end_2.hub))
    let = analysis(stage.case, replace(stage.fitted, held=held)) if held != stage.fitted.held else stage
    if is_untested(stage.case.design):
        return 0.0
    return spread_limit(let.loaded, strut).value if let.stands and let.loaded else math.inf


def _bears_hanging(stage: StageAnalysis, strut: str, *, off_at: str) -> bool:
    """Whether the frame bears the strut on its other end alone for a moment."""
    place = stage.case.frame.strut(strut)
    if other_hub(place, off_at) not in stage.fitted.hubs:
        return False
    end = 1 if place.end_1.hub == off_at else 2
    hanging = replace(stage.case, arms_gone=stage.case.arms_gone | {(strut, end)})
    return bears(analysis(hanging, stage.fitted.with_struts((*stage.fitted.struts, strut))))
