"""A lift and its lowering in words, for page and booklet: one is the other read backwards."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Literal

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.units import m_from_mm
from fieldapp.base.words import _, ngettext
from fieldapp.frame.design import CrewSection
from fieldapp.plan.bounds import LAG_BY_EYE_MM, MOST_LAG_MM
from fieldapp.plan.hand_lifts import HandLift, not_by_hand
from fieldapp.plan.ways import named
from fieldapp.statics.causes import gives_way
from fieldapp.statics.governs import Limit

Direction = Literal["up", "down"]
ON_GROUND_MM = 30.0
"""A hub no higher than this lies on the ground, or on a board [mm]. Source: our choice. Test:
tests/plan/test_hand_lifts.py"""
MOST_HUBS = 40
"""Hubs named one by one: everybody must know theirs (in no formula)."""


def lift_title(lift: HandLift, way: Direction) -> str:
    """What is done, and with which step."""
    words = _("Lift the {piece}, before step {step}") if way == "up" else \
        _("Lower the {piece}, after step {step} is out")
    return words.format(piece=in_words(named(lift.piece)), step=lift.step)


def against(lift: HandLift, crew: CrewSection, lag: Limit | None = None) -> tuple[str, ...]:
    """What speaks against doing it with these hands; nothing if they do it."""
    why = not_by_hand(lift, crew)
    breaks = (breaks_words(lag),) if lag is not None and lag.value < LAG_BY_EYE_MM else ()
    said = (_("Do not do it by hand: {why}.").format(why=in_words(why)),) if why is not None else ()
    needed = lift.people + len(lift.held)
    few = (_("You are {there}; it takes {needed}.").format(there=crew.people, needed=needed),)
    return (*breaks, *said, *(few if needed > crew.people else ()))


def breaks_words(lag: Limit) -> str:
    """Of a lift at which something breaks however evenly it goes, or as evenly as hands do it."""
    if lag.value > 0.0:
        return _("Do not lift it so: hands keep it level to some {eye} mm, and at {mm} mm {cause}. Lift at more hubs, "
                 "or choose another way.").format(eye=math.floor(LAG_BY_EYE_MM), mm=math.floor(lag.value),
                                                  cause=in_words(gives_way(lag.governs)))
    return _("Do not lift it so: {cause}. Lift at more hubs, or choose another way.").format(
        cause=in_words(gives_way(lag.governs)))


def lower_briefly(lift: HandLift) -> str:
    """A lowering for a first screen; how it is done stands on its own page."""
    return ngettext("{n} person, {height} m down.", "{n} people, {height} m down.", lift.people).format(
        n=lift.people, height=_metres(lift.lift_mm))


def lift_page_lines(lift: HandLift, way: Direction, lag: Limit | None = None) -> tuple[str, ...]:
    """All that whoever lifts or lowers must know, in the order in which it is needed; `lag` where it is known."""
    return tuple(_lines(lift, way, lag))


def _lines(lift: HandLift, way: Direction, lag: Limit | None) -> Iterator[str]:
    yield _("It weighs {mass} kg. {n} people: one at each of {hubs}, the others beside them.").format(
        mass=math.ceil(lift.mass_kg), n=lift.people, hubs=listed(lift.hubs, most=MOST_HUBS))
    if lift.held:
        yield _("Besides, somebody holds {hubs} all the while, and goes along.").format(
            hubs=listed(lift.held, most=MOST_HUBS))
    if way == "up" and lift.carried_below:
        yield _("Until then it is carried, or propped, at {hubs}: nobody lets go there before the others bear "
                "it.").format(hubs=listed(lift.carried_below, most=MOST_HUBS))
    if way == "up":
        yield _("It goes straight up: it must lie under its place, turned as drawn.")
    yield _far(lift, way)
    if lag is not None and lag.value >= LAG_BY_EYE_MM:
        yield _evenly(lag)
    if lift.rises_mm:
        yield _("In between set it down on props, one at each of these hubs; have them there before. In this order: "
                "{props}.").format(props=props_said(lift, way))
    if way == "down":
        yield _below(lift)
    elif lift.until > lift.step:
        words = _("There it stays, carried or on props, until the lift before step {n}: nobody lets go before.") \
            if lift.lifted_again else _("There it stays, carried or on props, until step {n} is in: nobody lets go "
                                        "before.")
        yield words.format(n=lift.until)
    yield _("Nobody under it. Everybody else stays {clear} m away.").format(clear=_metres(lift.clear_mm))
    yield _("One person calls: “Ready?”, all answer, “Lift!”, “Set down!”. Nothing moves without the call.") \
        if way == "up" else \
        _("One person calls: “Ready?”, all answer, “Lower!”, “Set down!”. Nothing moves without the call.")
    yield _("A gust, a crack, a hub that lags, or anybody who calls “Stop”: set it down on the nearest props.")


def _evenly(lag: Limit) -> str:
    if lag.value >= MOST_LAG_MM:
        return _("No hub more than {mm} mm behind the others.").format(mm=math.floor(MOST_LAG_MM))
    return _("No hub more than {mm} mm behind the others; {cause}.").format(
        mm=math.floor(lag.value), cause=in_words(gives_way(lag.governs)))


def _far(lift: HandLift, way: Direction) -> str:
    """How far it goes, and how high each carried hub is then: they need not be level."""
    words = _("{lift} m up, all hubs together. Then: {heights}.") if way == "up" else \
        _("{lift} m down, all hubs together. Then: {heights}.")
    at_mm = lift.heights_mm if way == "up" else {hub: lift.below_mm(hub) for hub in lift.hubs}
    return words.format(lift=_metres(lift.lift_mm), heights=_level(lift.hubs, lambda hub: (at_mm[hub],)))


def props_said(lift: HandLift, way: Direction) -> str:
    """Heights of the props in between under every carried hub, in the order in which they are used."""
    return _level(lift.hubs, lambda hub: lift.props_mm(hub) if way == "up" else lift.props_mm(hub)[::-1])


def _level(hubs: Sequence[str], heights_mm: Callable[[str], Sequence[float]]) -> str:
    """Hubs of the same heights together: "H11 at 0.27 and 0.54 m; H17 and H18 at 0.41 and 0.68 m"."""
    alike: dict[str, list[str]] = {}
    for hub in hubs:
        alike.setdefault(listed([_metres(height_mm) for height_mm in heights_mm(hub)], most=MOST_HUBS), []).append(hub)
    return "; ".join(_("{hubs} at {heights} m").format(hubs=listed(same, most=MOST_HUBS), heights=heights)
                     for heights, same in alike.items())


def _below(lift: HandLift) -> str:
    """On what it rests, or who carries it, once it is down; how high the props are that this takes."""
    if not lift.rests_on:
        return _("Below it is carried, or propped, at {hubs}: nobody lets go before.").format(
            hubs=_level(lift.carried_below, lambda hub: (lift.below_mm(hub),)))
    raised = [hub for hub in lift.rests_on if lift.below_mm(hub) > ON_GROUND_MM]
    words = _("Below it comes to rest on {hubs}.").format(hubs=listed(lift.rests_on, most=MOST_HUBS))
    return words if not raised else f"{words} " + _("Props for that: {props}.").format(
        props=_level(raised, lambda hub: (lift.below_mm(hub),)))


def _metres(height_mm: float) -> str:
    return decimal(m_from_mm(max(height_mm, 0.0)), 2)
