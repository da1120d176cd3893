"""A lift in words: the call that everybody hears before it."""

import math

from fieldapp.base.numbers import decimal
from fieldapp.base.said import listed
from fieldapp.base.words import _, ngettext
from fieldapp.plan.limits import MOST_LAG_MM
from fieldapp.plan.words import SAFETY
from fieldapp.reports.raising.lifts import LiftOrder


def lift_words(order: LiftOrder) -> tuple[str, ...]:
    """The lift itself, then what speaks against it.

    Examples
    --------
    >>> lift_words(LiftOrder(12, ("H41", "H43", "H45"), 900.0, 30.0, 4, 12, 45.6, 0.3, 0, False))[0]
    'Lift now: 4 people, one at each of H41, H43 and H45 and 1 helping; 0.90 m up, all within 45 mm of each other.'
    """
    lines = [_when(order) + " " + _who(order) + _how(order)]
    if order.breaks:
        lines.append(_("Do not lift it so: an arm is computed to break. Lift at more hubs, or choose another way."))
    if order.people > order.people_there:
        lines.append(_("You are {there}; it takes {needed}.").format(there=order.people_there, needed=order.people))
    if order.damaged:
        lines.append(_("Something in the frame is damaged: the figures are for a sound piece. Mend or prop it first."))
    return (*lines, _(SAFETY))


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
    return up + _(", all within {lag} mm of each other.").format(lag=math.floor(min(order.lag_mm, MOST_LAG_MM)))
