"""Rules for the course of things: raise, strike, way, rounds."""

from dataclasses import asdict

from fieldapp.base.clock import clock_words
from fieldapp.base.errors import RaisebookError
from fieldapp.base.said import Row
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.kit import Kit
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.fields import NoData
from fieldapp.log.kinds import JoinedData, RaiseStartedData, WayData
from fieldapp.log.kinds_round import ListLine, RoundData
from fieldapp.log.rules.terms import Admitted, Asked
from fieldapp.plan.order import breaking
from fieldapp.plan.planner import way_names
from fieldapp.plan.ways import RECOMMENDED, named


def raise_started(asked: Asked, data: RaiseStartedData) -> Admitted | Refusal:
    """One raise at a time, of a kit that is fit, or for whose use somebody answers by name."""
    running = asked.state.running_raise
    if running is not None:
        return refuse("raise_running", "the raise '{name}' is running since {time}.", "End it first.",
                      name=running.name, time=clock_words(running.started, asked.now))
    against = asked.site.unfit(asked.site, asked.state, asked.now) if asked.site.unfit else ()
    if against and not (data.by and data.reason):
        return refuse("not_fit", "the kit is not fit: {reasons}.",
                      "See to that first; or go on with the name of whoever answers for it, and the reason.",
                      reasons=Row(tuple(found.words for found in against), "; "))
    if not against:
        return Admitted(data=RaiseStartedData(name=data.name))
    parts = sorted({part for found in against for part in found.parts if part in asked.state.parts})
    return Admitted(data=RaiseStartedData(name=data.name, by=data.by, reason=data.reason, parts=tuple(parts)))


def strike_started(asked: Asked, data: NoData) -> Admitted | Refusal:
    """Once, only if something stands, and not while a part of it is exchanged: its holds would be forgotten."""
    running = asked.state.exchanging
    if running is not None:
        return refuse("exchange_running", "an exchange at {place} is running.",
                      "Finish it first, or the chief gives it up and says why.", place=running.place)
    if asked.state.phase == "striking":
        return refuse("striking", "the strike has begun already.", "Scan parts as they come out.")
    if not asked.state.fitted:
        return refuse("nothing_stands", "no part is fitted, so there is nothing to strike.",
                      "Scan parts as they go in.")
    return Admitted()


def raise_ended(asked: Asked, data: NoData) -> Admitted | Refusal:
    """Not before every part is out of the frame."""
    if asked.state.running_raise is None:
        return refuse("no_raise", "no raise is running.", "Start one first.")
    still = sorted(asked.state.fitted.values())
    if still:
        named = ", ".join(asked.called(part) for part in still[:5]) + (" …" if len(still) > 5 else "")
        return refuse("still_standing", "the frame still holds {named} ({count} in all).",
                      "Take down or store what is left first.", count=len(still), named=named)
    return Admitted()


def way_chosen(asked: Asked, data: WayData) -> Admitted | Refusal:
    """One of the ways that can be followed with this design, and that breaks nothing."""
    return way_refused(asked.site.kit, data.way) or Admitted(data=data)


def way_refused(kit: Kit, way: str) -> Refusal | None:
    """Why a way is not to be followed. Long to work out once for each way of a design, then kept."""
    ways = (RECOMMENDED, *way_names(kit))
    if way not in ways:
        return refuse("no_such_way", "there is no way of raising '{way}'.", "Choose one of: {ways}.", way=way,
                      ways=Row(tuple(map(named, ways))))
    try:
        verdict = breaking(kit, way)
    except RaisebookError as error:
        return Refusal(error.message, code="way_impossible")
    return refuse("way_breaks", "the way '{way}' {verdict}.", "Choose another way.", way=named(way),
                  verdict=verdict) if verdict else None


def joined(asked: Asked, data: JoinedData) -> Admitted | Refusal:
    """Written down by the laptop itself, right before it takes the other's entries in; by no phone."""
    if asked.request.sender:
        return refuse("not_by_phone", "logs are joined at the laptop, not from a phone.",
                      "Stop the server there and use: raisebook log import.")
    return Admitted(data=data)


def round_opened(asked: Asked, data: RoundData) -> Admitted | Refusal:
    """One round at a time."""
    current = asked.state.open_round
    if current is not None:
        return refuse("round_open", "the inspection round '{name}' is open since {time}.", "Close it first.",
                      name=current.name, time=clock_words(current.opened, asked.now))
    return Admitted(data=RoundData(name=data.name, checklist=data.checklist, **_lines(asked.site.checklist)))


def _lines(checklist: Checklist | None) -> dict[str, tuple[ListLine, ...]]:
    """The list by what its lines are said of; nothing if the site has none."""
    return {name: tuple(ListLine(**asdict(check)) for check in getattr(checklist, name))
            for name in ("hub", "strut", "label") if checklist is not None}


def round_closed(asked: Asked, data: NoData) -> Admitted | Refusal:
    """Only an open one."""
    if asked.state.open_round is None:
        return refuse("no_round", "no inspection round is open.", "Open one first.")
    return Admitted()
