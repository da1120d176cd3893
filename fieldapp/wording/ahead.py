"""What goes before a place and what follows from it, in words: the lift, the strut that hangs."""

import math
from dataclasses import replace

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _, ngettext
from fieldapp.plan.bounds import MOST_LAG_MM
from fieldapp.plan.words import SAFETY
from fieldapp.reports.raising.lifts import LiftOrder
from fieldapp.reports.standing.out_of_order import Consequence
from fieldapp.statics.causes import gives_way
from fieldapp.wording.lifts import breaks_words
from fieldapp.wording.standing import headline, in_hand_words, one_hold


def lift_words(order: LiftOrder) -> tuple[str, ...]:
    """The lift itself, then what speaks against it.

    Examples
    --------
    >>> from fieldapp.statics.governs import Governs, Limit
    >>> lag = Limit("lag", 45.6, "H43", Governs("tube", "S102"))
    >>> lift_words(LiftOrder(12, ("H41", "H43", "H45"), 900.0, 30.0, 4, 12, lag, 0.3, 0, False))[0]
    'Lift now: 4 people, one at each of H41, H43 and H45 and 1 helping; 0.90 m up, all within 45 mm of each other; \
the tube of S102 folds first.'
    """
    how = _who(order) + _how(order)
    lines = [breaks_words(order.lag), how] if order.breaks else [f"{_when(order)} {how}"]
    if order.people > order.people_there:
        lines.append(_("You are {there}; it takes {needed}.").format(there=order.people_there, needed=order.people))
    if order.damaged:
        lines.append(_("Something in the frame is damaged: the figures are for a sound piece. Mend or prop it first."))
    return (*lines, _(SAFETY))


def lift_briefly(order: LiftOrder) -> tuple[str, ...]:
    """The lift for a first screen, and all that speaks against it; how it is done stands on its own page.

    Examples
    --------
    >>> from fieldapp.statics.governs import Governs, Limit
    >>> lag = Limit("lag", 45.6, "H43", Governs("tube", "S102"))
    >>> lift_briefly(LiftOrder(12, ("H41", "H43", "H45"), 900.0, 30.0, 4, 12, lag, 0.3, 0, False))
    ('Lift now: 4 people, 0.90 m up.',)
    """
    people = ngettext("{n} person, {height} m up.", "{n} people, {height} m up.", order.people).format(
        n=order.people, height=decimal(order.lift_mm / 1000.0, 2))
    whole = lift_words(order)
    return (whole[0], *whole[2:-1]) if order.breaks else (f"{_when(order)} {people}", *whole[1:-1])


def _when(order: LiftOrder) -> str:
    if order.steps_until == 0:
        return _("Lift now:")
    return ngettext("Lift after {n} more step:", "Lift after {n} more steps:", order.steps_until).format(
        n=order.steps_until)


def _who(order: LiftOrder) -> str:
    words = ngettext("{n} person, one at each of {hubs}", "{n} people, one at each of {hubs}", order.people).format(
        n=order.people, hubs=listed(order.hubs, most=40))
    more = order.people - len(order.hubs)
    return words + (" " + _("and {n} helping").format(n=more) if more > 0 else "")


def _how(order: LiftOrder) -> str:
    up = _("; {height} m up").format(height=decimal(order.lift_mm / 1000.0, 2))
    if order.breaks:
        return up + "."
    if order.lag.value >= MOST_LAG_MM:
        return up + _(", all within {lag} mm of each other.").format(lag=math.floor(MOST_LAG_MM))
    return up + _(", all within {lag} mm of each other; {cause}.").format(
        lag=math.floor(order.lag.value), cause=in_words(gives_way(order.lag.governs)))


def anyway_words(found: Consequence) -> tuple[str, ...]:
    """In one line what nothing holds if it goes in all the same; empty if all of it is held."""
    own = found.place in found.after.in_hand
    loose = [end.strut for end in found.loose]
    if found.after.verdict == "clear":
        return (_("Fitted anyway, nothing holds it: what stands then is computed to give way."),)
    if not own and not loose and not found.holds:
        return ()
    free = [*([found.place] if own else ()), *loose, *(hold.hub for hold in found.holds)]
    return (_("Fitted anyway, nothing but hands holds {places}.").format(
        places=listed(dict.fromkeys(free), most=6)),)


def after_words(found: Consequence) -> tuple[str, ...]:
    """The consequence alone, for whoever has been told already that it is not its turn."""
    return (*_danger_words(found), *(one_hold(hold) for hold in found.holds), *_in_hand_words(found),
            *_loose_words(found), *play_words(found))


def _in_hand_words(found: Consequence) -> tuple[str, ...]:
    """What nothing would hold: the part asked about first, then others that are logged as fitted."""
    others = tuple(place for place in found.after.in_hand if place != found.place)
    own = found.place in found.after.in_hand and found.place in found.after.struts
    words = (_("Nothing that stands would hold {place} yet.").format(place=found.place),) if own else ()
    return (*words, *in_hand_words(replace(found.after, in_hand=others)))


def _danger_words(found: Consequence) -> tuple[str, ...]:
    if found.after.verdict == "clear":
        return (headline(found.after),)
    if found.holds:
        return (_("Once it is in, hold {hubs}.").format(hubs=listed([hold.hub for hold in found.holds], most=6)),)
    free = found.waits_for and not found.after.in_hand and not found.loose
    return (_("Nothing more needs to be held for it."),) if free else ()


def _loose_words(found: Consequence) -> tuple[str, ...]:
    return tuple(_("{strut} then hangs on {hub} alone: hold its free end.").format(strut=end.strut, hub=end.hub)
                 for end in found.loose)


def play_words(found: Consequence) -> tuple[str, ...]:
    """Struts that then need play, though the plan has them go in freely."""
    if not found.play:
        return ()
    return (ngettext("{struts} then only goes in if its two hubs are eased apart.",
                     "{struts} then only go in if their hubs are eased apart.", len(found.play)).format(
        struts=listed(found.play, most=6)),)
