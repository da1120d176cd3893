"""Where things are, in words: rings, hub places, strut ends, arms; their turn and their limits. No log is needed."""

from collections.abc import Iterable
from dataclasses import replace

from fieldapp.base.joints.joint import Assembly
from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _
from fieldapp.frame.frame import Arm, Frame, HubPlace, StrutPlace
from fieldapp.plan.closing import closing_words
from fieldapp.plan.limits import limits_at
from fieldapp.plan.plan import Insertion, Plan, Step
from fieldapp.plan.ways import named
from fieldapp.statics.governs import Limit
from fieldapp.wording.facing import facing

LEVEL_WITHIN_MM = 1.0
"""Two ends closer in height than this are called left and right, not lower and upper [mm].
Source: our choice. Test: tests/wording/test_seat.py"""


def ordinal(number: int) -> str:
    """"third"; from 13 on "number 13".

    Examples
    --------
    >>> ordinal(3), ordinal(14)
    ('third', 'number 14')
    """
    words = (_("first"), _("second"), _("third"), _("fourth"), _("fifth"), _("sixth"), _("seventh"), _("eighth"),
             _("ninth"), _("tenth"), _("eleventh"), _("twelfth"))
    return words[number - 1] if number <= len(words) else _("number {n}").format(n=number)


def level_words(frame: Frame, level: int, *, numbered: bool = False) -> str:
    """What people call a level of the frame: "ground ring", "second ring" (or "ring 2", numbered) … "crown"."""
    words = frame.words
    if level == 1:
        return _(words.ground)
    if frame.top is not None and level == frame.top.level:
        return _(words.top)
    return _(words.numbered).format(n=level) if numbered else _(words.level).format(ordinal=ordinal(level))


def hub_where(frame: Frame, hub: HubPlace) -> str:
    """"second ring, third from the front mark clockwise"."""
    if hub == frame.top:
        return _(frame.words.topmost)
    return _("{ring}, {ordinal} from the front mark clockwise").format(
        ring=level_words(frame, hub.level), ordinal=ordinal(hub.number_in_level))


def is_level(frame: Frame, strut: StrutPlace) -> bool:
    """True if both ends are at one height."""
    heights = [float(frame.position_mm(strut.end(end).hub)[2]) for end in (1, 2)]
    return abs(heights[0] - heights[1]) < LEVEL_WITHIN_MM


def end_name(frame: Frame, strut: StrutPlace, end: int) -> str:
    """"lower end", "upper end"; on a level strut "right-hand end", "left-hand end" as seen from outside.

    End 1 is the one first met going clockwise as seen from above, which is the right-hand one for a person outside.
    """
    if is_level(frame, strut):
        return _("right-hand end") if end == 1 else _("left-hand end")
    return _("lower end") if end == 1 else _("upper end")


def sentence(words: str) -> str:
    """With a capital first letter.

    Examples
    --------
    >>> sentence("lower end into arm 4 of H22")
    'Lower end into arm 4 of H22'
    """
    return words[:1].upper() + words[1:]


def lower_first(words: str) -> str:
    """With a small first letter, for the middle of a sentence; names of places keep theirs.

    Examples
    --------
    >>> lower_first("On top of H22"), lower_first("H22 below")
    ('on top of H22', 'H22 below')
    """
    return words if words[1:2].isdecimal() else words[:1].lower() + words[1:]


def end_goes(frame: Frame, strut: StrutPlace, end: int, how: Assembly, *, in_hand: bool = False) -> str:
    """"Lower end into arm 4 of H22", or "The end in your hand (lower end) into …"."""
    at = strut.end(end)
    name = end_name(frame, strut, end)
    if in_hand:
        return _(how.end_in_hand).format(end=name, arm=at.arm, hub=at.hub)
    return sentence(_(how.at_arm).format(end=name, arm=at.arm, hub=at.hub))


def arm_says(frame: Frame, arm: Arm) -> str:
    """Beside a strut that a hub meets: "arm 4: lower end, to H22"."""
    strut = frame.strut(arm.strut)
    return _("arm {arm}: {end}, to {hub}").format(
        arm=arm.number, end=end_name(frame, strut, arm.end), hub=strut.end(3 - arm.end).hub)


def end_says(frame: Frame, strut: StrutPlace, end: int) -> str:
    """Beside a hub that a strut meets: "arm 4: lower end, second ring"."""
    here = strut.end(end)
    return _("arm {arm}: {end}, {ring}").format(
        arm=here.arm, end=end_name(frame, strut, end), ring=level_words(frame, frame.hub(here.hub).level))


def facing_words(frame: Frame, seat: tuple[str, ...]) -> tuple[str, ...]:
    """How a hub is held up to its place; `seat` is what is said of one that was made for another place."""
    words = facing(frame)
    return (_(words.face), *seat) if seat else (_(words.face_and_arrow),)


def handed_words(handed: str | None) -> str:
    """What a handed hub is called."""
    return {"left": _("left-handed"), "right": _("right-handed")}.get(handed or "", "")


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
    return (_(how.first).format(hub=item.hub), *map(in_words, closing_words(plan.step_for(strut), strut)))


def _insertion(plan: Plan, strut: str) -> Insertion | None:
    if strut not in plan.step_of:
        return None
    return next((item for item in plan.step_for(strut).struts if item.strut == strut), None)


def limit_words(plan: Plan, place: str, now: Iterable[Limit] = ()) -> tuple[str, ...]:
    """Computed limits for a hub's step or for the loose end of a strut; nothing where any push is borne.

    `now`: limits of what stands, told where they are lower.
    """
    if place not in plan.step_of:
        return ()
    step = plan.step_for(place)
    cautions = (" ".join(map(in_words, step.cautions)),) if place == step.hub and step.cautions else ()
    return (*cautions, *map(in_words, limits_at(step, place, now)))
