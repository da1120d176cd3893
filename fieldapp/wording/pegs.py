"""Pegs, anchors and ballast in words: which feet, how much each must hold, how long they stay in."""

import math
from collections.abc import Iterable, Sequence
from itertools import groupby

from fieldapp.base.said import Number, Said, Value, in_words, row, say, say_n
from fieldapp.base.units import kg_from_newton
from fieldapp.base.words import marked
from fieldapp.frame.ground import GroundSection, HowHeld
from fieldapp.plan.footing import ballast_needed_n, can_hold
from fieldapp.plan.pegs import HeldFoot
from fieldapp.plan.plan import Plan
from fieldapp.wording.place import sentence

PEG_CAUTION = marked(
    "Before you drive or screw anything into the ground: ask the owner where cables, pipes and drains run, and keep "
    "well off them. Cover and mark every head, so that nobody trips or falls on it. Some places forbid pegs or want a "
    "permit: ask.")
"""Said wherever people are about to drive pegs."""

_ACT: dict[HowHeld, str] = {
    "pegs": marked("peg {hubs}"), "ballast": marked("weigh down {hubs}"), "screwed anchors": marked("anchor {hubs}"),
    "nothing": marked("peg or weigh down {hubs}")}
_MOST = 12
"""Feet named one by one (in no formula)."""
_MOST_LINES = 4
"""Peggings told one by one in the terminal (in no formula)."""
_NEIGHBOURS = 4
"""So many that follow each other are said by the first and the last (in no formula)."""


def peg_now(ground: GroundSection, feet: Sequence[HeldFoot]) -> str:
    """"Peg H01 and H02 now: each must hold 60 N up and 20 N sideways."

    Examples
    --------
    >>> peg_now(GroundSection(held_by="pegs"), [HeldFoot("H01", 60.0, 20.0, 9), HeldFoot("H02", 50.0, 20.0, 9)])
    'Peg H01 and H02 now: each must hold 60 N up and 20 N sideways.'
    """
    return sentence(in_words(say("{act} now: {must}.", act=_act(ground, _hubs(feet)), must=must_said(ground, feet))))


def peg_heading(ground: GroundSection, feet: Sequence[HeldFoot]) -> str:
    """"Peg H01 and H02 now"."""
    return sentence(in_words(say("{act} now", act=_act(ground, _hubs(feet)))))


def peg_before(ground: GroundSection, feet: Sequence[HeldFoot], *, step: int, steps: int) -> str:
    """The same for a plan: before which step of how many."""
    act, must = _act(ground, _hubs(feet)), must_said(ground, feet)
    return sentence(in_words(say("before step {step}, {act}: {must}.", step=step, act=act, must=must) if step <= steps
                             else say("once everything is in, {act}: {must}.", act=act, must=must)))


def pegs_before_place(plan: Plan, ground: GroundSection, place: str) -> tuple[str, ...]:
    """What the plan has pegged right before the step of a place."""
    number = plan.step_for(place).number if place in plan.step_of else 0
    return tuple(peg_before(ground, pegging.feet, step=number, steps=len(plan.steps))
                 for pegging in plan.peggings if pegging.before == number)


def pegs_of_foot(plan: Plan, ground: GroundSection, hub: str) -> tuple[str, ...]:
    """Before which step a foot is pegged, and how much that must hold; nothing for what is no foot, or needs none."""
    return tuple(peg_before(ground, [foot], step=pegging.before, steps=len(plan.steps))
                 for pegging in plan.peggings for foot in pegging.feet if foot.hub == hub)


def peg_first(ground: GroundSection, hubs: Iterable[str]) -> str:
    """"Peg H01 first"."""
    return sentence(in_words(say("{act} first", act=_act(ground, hubs_said(hubs)))))


def _act(ground: GroundSection, hubs: Value) -> Said:
    return say(_ACT[ground.held_by], hubs=hubs)


def must_said(ground: GroundSection, feet: Sequence[HeldFoot]) -> Said:
    """What each of these feet asks for at most."""
    up_n, side_n = _most_n(feet)
    pegs, heavy_n = _pegs_said(up_n, side_n), ballast_needed_n(ground, up_n, side_n)
    slides = math.isinf(heavy_n)
    kg = 0 if slides else math.ceil(kg_from_newton(heavy_n))
    if ground.held_by == "ballast":
        return say("ballast alone slides on this ground; {pegs}", pegs=pegs) if slides else \
            say("at least {kg} kg on each", kg=kg)
    either = ground.held_by == "nothing" and not slides
    return say("{pegs}, or carry at least {kg} kg of ballast", pegs=pegs, kg=kg) if either else pegs


def _most_n(feet: Iterable[HeldFoot]) -> tuple[float, float]:
    """Up and sideways: the most that one of them asks [N]."""
    both = [(foot.up_n, foot.sideways_n) for foot in feet]
    return max(up_n for up_n, _side in both), max(side_n for _up, side_n in both)


def each_must(ground: GroundSection, feet: Sequence[HeldFoot]) -> str:
    """The same as a sentence of its own."""
    return sentence(in_words(say("{must}.", must=must_said(ground, feet))))


def _pegs_said(up_n: float, side_n: float) -> Said:
    up, side = Number(up_n, 0, "N"), Number(side_n, 0, "N")
    if not side_n:
        return say("each must hold {up} up", up=up)
    return say("each must hold {up} up and {side} sideways", up=up, side=side) if up_n else \
        say("each must hold {side} sideways", side=side)


def too_little(ground: GroundSection, feet: Sequence[HeldFoot]) -> tuple[str, ...]:
    """What the design brings, if that is less than these feet ask for; nothing where it says that it brings nothing."""
    up_n, side_n = _most_n(feet)
    if ground.held_by == "ballast":
        if ground.ballast_n >= ballast_needed_n(ground, up_n, side_n):
            return ()
        return (in_words(say("The ballast of the design is {kg} kg on each foot: that is too little.",
                             kg=Number(kg_from_newton(ground.ballast_n), None))),)
    have_up_n, have_side_n = ground.per_foot * ground.peg_up_n, ground.per_foot * ground.peg_sideways_n
    if ground.held_by == "nothing" or (have_up_n >= up_n and have_side_n >= side_n):
        return ()
    if not have_up_n and not have_side_n:
        return (in_words(say("The design has no pull test of yours and no value in writing: until it has, these count "
                             "for nothing in any limit. Pull one before you rely on it.")),)
    return (in_words(say("By the design what you bring holds {up} up and {side} sideways at each foot: that is too "
                         "little. Use more of them, or longer ones, and pull one.",
                         up=Number(math.floor(have_up_n), 0, "N"), side=Number(math.floor(have_side_n), 0, "N"))),)


def leave_in(feet: Sequence[HeldFoot]) -> tuple[str, ...]:
    """What stays at the strike, and which of it may go first."""
    if not feet:
        return ()
    step = max(foot.needed_from for foot in feet)
    first = [foot.hub for foot in feet if foot.needed_from == step]
    if len(first) == len(feet):
        return (in_words(say("Leave what holds {hubs} in place until step {step} is out.", hubs=_hubs(feet),
                             step=step)),)
    return (in_words(say("Leave what holds {hubs} in place: {first} until step {step} is out, the others longer.",
                         hubs=_hubs(feet), first=hubs_said(first), step=step)),)


def then_let_go(plan: Plan, step: int) -> str:
    """What may be taken away once a step has been taken back; empty if nothing may."""
    hubs = [foot.hub for pegging in plan.peggings for foot in pegging.feet if foot.needed_from == step]
    words = say("Then what holds {hubs} may be taken away.", hubs=hubs_said(hubs))
    return in_words(words) if hubs else ""


def peg_rules(plan: Plan, ground: GroundSection) -> tuple[str, ...]:
    """What everybody on site is told of pegs and ballast; nothing where the plan needs none."""
    if not plan.peggings:
        return ()
    missing = (in_words(say("Limits and gusts told here count with all in place that the book has asked for at the "
                            "feet so far. While any of it is missing, put it there first, and get clear at any gust."
                            )),) if can_hold(ground) else ()
    stays = in_words(say("A peg or a weight at a foot is part of the frame: nobody takes it away before the book says "
                         "so."))
    hangs = in_words(say("Where a foot hangs in the air, put something firm under it; pull none down to low ground."))
    return (*missing, stays, hangs) if ground.held_by == "ballast" else \
        (*missing, stays, hangs, in_words(say(PEG_CAUTION)))


def plan_pegs(plan: Plan, ground: GroundSection) -> tuple[str, ...]:
    """The peggings of a plan in order, each in a sentence, then what of it the design does not bring."""
    feet = [foot for pegging in plan.peggings for foot in pegging.feet]
    if not feet:
        return ()
    grip = () if ground.foot_friction > 0.0 and ground.most_sideways_n > 0.0 else (in_words(say(
        "Nothing is known of the grip of this ground: peg each foot before anything else is done.")),)
    lines = tuple(peg_before(ground, pegging.feet, step=pegging.before, steps=len(plan.steps))
                  for pegging in plan.peggings[:_MOST_LINES])
    rest = len(plan.peggings) - len(lines)
    more = (in_words(say_n("… and {n} more pegging: see the booklet.", "… and {n} more peggings: see the booklet.",
                           rest)),) if rest else ()
    return (*grip, *lines, *more, *too_little(ground, feet))


def let_go(hubs: Sequence[str]) -> str:
    """What may be taken away."""
    return in_words(say("What holds {hubs} may be taken away now.", hubs=hubs_said(hubs)))


def not_pegged(feet: Sequence[HeldFoot]) -> str:
    """Of feet that should be held already."""
    return in_words(say("Not pegged or weighed down yet: {hubs}. Do that first.", hubs=_hubs(feet)))


def left_unpegged(feet: Sequence[HeldFoot]) -> str:
    """The same at the strike, which is judged as the feet really are: pegs do not come first."""
    return in_words(say("Not pegged or weighed down: {hubs}.", hubs=_hubs(feet)))


def counts_once_held(feet: Sequence[HeldFoot]) -> str:
    """Of limits that reckon with what is planned at these feet and is not logged."""
    return in_words(say("Not yet: these numbers count once what is planned at {hubs} is in.", hubs=_hubs(feet)))


def _hubs(feet: Iterable[HeldFoot]) -> Value:
    return hubs_said(foot.hub for foot in feet)


def hubs_said(hubs: Iterable[str]) -> Value:
    """Hubs in a row, from four neighbours on by the first and the last.

    Examples
    --------
    >>> in_words(hubs_said(["H01", "H02", "H03", "H04", "H07", "H09"]))
    'H01 to H04, H07 and H09'
    """
    numbered = [(int(hub[1:]) - place, hub) for place, hub in enumerate(sorted(hubs))]
    items: list[Value] = []
    for _run, group in groupby(numbered, key=lambda pair: pair[0]):
        names = [hub for _place, hub in group]
        items += [say("{first} to {last}", first=names[0], last=names[-1])] if len(names) >= _NEIGHBOURS else names
    return row(items, most=_MOST)
