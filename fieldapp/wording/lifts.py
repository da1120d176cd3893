"""A lift and its lowering in words, for page and booklet: one is the other read backwards."""

import math
from collections.abc import Iterator
from typing import Literal

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.units import m_from_mm
from fieldapp.base.words import _, ngettext
from fieldapp.frame.design import CrewSection
from fieldapp.plan.hand_lifts import HandLift, not_by_hand
from fieldapp.plan.plan import Step
from fieldapp.plan.ways import named

Direction = Literal["up", "down"]
MOST_HUBS = 40
"""Hubs named one by one: everybody must know theirs (in no formula)."""


def lift_title(lift: HandLift, way: Direction) -> str:
    """What is done, and with which step."""
    words = _("Lift the {piece}, before step {step}") if way == "up" else \
        _("Lower the {piece}, after step {step} is out")
    return words.format(piece=in_words(named(lift.piece)), step=lift.step)


def against(lift: HandLift, crew: CrewSection) -> tuple[str, ...]:
    """What speaks against doing it with these hands; nothing if they do it."""
    why = not_by_hand(lift, crew)
    said = (_("Do not do it by hand: {why}.").format(why=in_words(why)),) if why is not None else ()
    few = (_("You are {there}; it takes {needed}.").format(there=crew.people, needed=lift.people),)
    return (*said, *(few if lift.people > crew.people else ()))


def lift_page_lines(lift: HandLift, way: Direction) -> tuple[str, ...]:
    """All that whoever lifts or lowers must know, in the order in which it is needed."""
    return tuple(_lines(lift, way))


def lower_briefly(lift: HandLift) -> str:
    """A lowering for a first screen; how it is done stands on its own page."""
    return ngettext("{n} person, {height} m down.", "{n} people, {height} m down.", lift.people).format(
        n=lift.people, height=_metres(lift.high_mm - lift.low_mm))


def _lines(lift: HandLift, way: Direction) -> Iterator[str]:
    yield _("It weighs {mass} kg. {n} people: one at each of {hubs}, the others beside them.").format(
        mass=math.ceil(lift.mass_kg), n=lift.people, hubs=listed(lift.hubs, most=MOST_HUBS))
    heights = _("From {low} m up to {high} m, all hubs together.") if way == "up" else \
        _("From {high} m down to {low} m, all hubs together.")
    yield heights.format(low=_metres(lift.low_mm), high=_metres(lift.high_mm))
    props = lift.props_mm if way == "up" else lift.props_mm[::-1]
    if props:
        yield _("In between set it down on props, one at each of these hubs, {heights} m high: have them there "
                "before.").format(heights=listed([_metres(mm) for mm in props], most=MOST_HUBS))
    if way == "down":
        yield _below(lift)
    yield _("Nobody under it. Everybody else stays {clear} m away.").format(clear=_metres(lift.clear_mm))
    yield _("One person calls: “Ready?”, all answer, “Lift!”, “Set down!”. Nothing moves without the call.") \
        if way == "up" else \
        _("One person calls: “Ready?”, all answer, “Lower!”, “Set down!”. Nothing moves without the call.")
    yield _("A gust, a crack, a hub that lags, or anybody who calls “Stop”: set it down on the nearest props.")


def _below(lift: HandLift) -> str:
    """On what it rests, or who carries it, once it is down."""
    if lift.rests_on:
        return _("Below it comes to rest on {hubs}.").format(hubs=listed(lift.rests_on, most=MOST_HUBS))
    return _("Below it is carried, or propped, at {hubs}: nobody lets go before.").format(
        hubs=listed(lift.carried_below, most=MOST_HUBS))


def _metres(height_mm: float) -> str:
    return decimal(m_from_mm(height_mm), 2)


def strike_carry(step: Step, before: Step | None) -> str:
    """At the strike: where the piece is carried before a step is undone; empty where it is carried already, or rests.

    Where the step ends with a lowering the hands change after it: see `strike_lower`.
    """
    new = () if step.lift_mm else _new_carriers(step, before)
    return _("First carry the {piece} at {hubs}, one person at each.").format(
        piece=in_words(named(step.piece)), hubs=listed(new, most=MOST_HUBS)) if new else ""


def strike_lower(step: Step, before: Step | None) -> str:
    """At the strike: how far the piece comes down once a step is undone, and who carries it then; empty if nothing."""
    if not step.lift_mm:
        return ""
    words = _("Then lower the {piece} by {height} m, all hubs together.").format(
        piece=in_words(named(step.piece)), height=_metres(step.lift_mm))
    new = _new_carriers(step, before)
    return f"{words} " + _("Then carry it at {hubs}, one person at each.").format(
        hubs=listed(new, most=MOST_HUBS)) if new else words


def _new_carriers(step: Step, before: Step | None) -> tuple[str, ...]:
    """Hubs at which the piece is carried once a step is undone, if these are not those of the step."""
    carried = before.carried_at if before else ()
    return carried if set(carried) - set(step.carried_at) else ()
