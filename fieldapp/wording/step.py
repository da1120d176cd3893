"""The step that fills a place, in words: its number, its struts, what to hold, how hard to push."""

import math
from dataclasses import replace

from fieldapp.base.joints.joint import Assembly
from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _
from fieldapp.plan.limits import limits_at
from fieldapp.plan.plan import Insertion, Plan, Step
from fieldapp.plan.ways import named


def order_words(plan: Plan, place: str, *, holds: bool = True) -> tuple[str, ...]:
    """Which step, with which struts, held where (where nobody asked what really stands), standing on what."""
    if place not in plan.step_of:
        return (_("In no step: the way '{way}' leaves this place out.").format(way=in_words(named(plan.way))),)
    step = plan.step_for(place)
    lines = [_("Step {n} of {total}: hub {hub}.").format(n=step.number, total=len(plan.steps), hub=step.hub)]
    if step.struts:
        struts = listed([item.strut for item in step.struts])
        lines.append(_("With it, in this order: {struts}.").format(struts=struts))
    return (*lines, *_piece_words(step), *_standing_words(replace(step, holds=step.holds if holds else ())))


def _piece_words(step: Step) -> tuple[str, ...]:
    """Where part of the frame is put together apart from the rest, and lifted."""
    lines = []
    if step.piece:
        lines.append(_("It is built into the piece '{piece}', apart from the frame.").format(
            piece=in_words(named(step.piece))))
    if step.lift_mm > 0.0:
        lines.append(_("Before it, lift the piece by {height} m, carried at {hubs}.").format(
            height=decimal(step.lift_mm / 1000.0, 2), hubs=listed(step.carried_at)))
    if step.joins:
        lines.append(_("This ties the piece to the frame."))
    return tuple(lines)


def _standing_words(step: Step) -> tuple[str, ...]:
    lines = []
    if step.holds:
        lines.append(_("Once it is in, hold {hubs}.").format(hubs=listed(step.holds)))
    if step.stand_on:
        lines.append(_("Stand on {what}.").format(what=in_words(step.stand_on)))
    if not step.reachable:
        lines.append(_("It cannot be reached from there: raise what you stand on, or ask the chief."))
    return tuple(lines)


def pushing_words(plan: Plan, strut: str, how: Assembly) -> tuple[str, ...]:
    """Onto which hub a strut goes first, and whether the hubs must give way."""
    item = _insertion(plan, strut)
    if item is None:
        return ()
    lines = [_(how.first).format(hub=item.hub)]
    if item.closes and item.spreading_mm > 0.0:
        lines.append(_("Both hubs stand already: spread them by {n} mm, do not force it.").format(
            n=math.ceil(item.spreading_mm)))
    elif item.closes:
        lines.append(_("Both hubs stand already: ease them apart, do not force it."))
    return tuple(lines)


def _insertion(plan: Plan, strut: str) -> Insertion | None:
    if strut not in plan.step_of:
        return None
    return next((item for item in plan.step_for(strut).struts if item.strut == strut), None)


def limit_words(plan: Plan, place: str) -> tuple[str, ...]:
    """Computed limits for a hub's step or for the loose end of a strut; nothing where any push is borne."""
    if place not in plan.step_of:
        return ()
    step = plan.step_for(place)
    cautions = (" ".join(map(in_words, step.cautions)),) if place == step.hub and step.cautions else ()
    return (*cautions, *map(in_words, limits_at(step, place)))
