"""What really stands, in words for a newcomer: the first sentence says what to do now."""

import math
from collections.abc import Iterator

from fieldapp.base.constants import WIND_ACTION_FRACTIONS
from fieldapp.base.said import Said, in_words
from fieldapp.base.words import _, listed, ngettext
from fieldapp.plan.words import force_text, force_words
from fieldapp.reports.standing import Hold, LooseEnd, PushLimit, Standing
from fieldapp.statics.wind import beaufort

MOST_LAG_MM = 100.0
"""More lag than this is never allowed, so that carriers keep each other in sight [mm].
Source: our choice. Test: tests/wording/test_step.py"""
MOST_LOOSE = 4
"""Loose ends named one by one (in no formula)."""


def headline(now: Standing) -> str:
    """What to do now, in one or two short sentences."""
    if now.verdict == "nothing stands":
        return _("Nothing stands yet.")
    if now.verdict == "clear":
        stop = _("Stop. Add nothing, set the piece down evenly, nobody under it.") if now.carried_at \
            else _("Stop, clear the frame.")
        return f"{stop} {_danger(now)}"
    if now.verdict == "hold":
        words = _("Hold {hubs} now.").format(hubs=listed(now.held_hubs, most=8))
        return f"{words} {_falls_words(now)}" if not now.stands else words
    if now.carried_at:
        return _("It holds while it is carried. Nothing else to hold.")
    return _("It stands by itself. Nothing to hold.")


def _danger(now: Standing) -> str:
    if not now.stands_held:
        return _("It does not stand, not even with {hubs} held.").format(hubs=listed(now.held_hubs)) \
            if now.holds else _("It does not stand.")
    most = now.weakest
    if most is None:
        return _("It does not stand.")
    return _("Arm {arm} of {hub} (strut {strut}) is computed to break: {use} of what it can take, with the safety "
             "factor.").format(arm=most.arm, hub=most.hub, strut=most.strut, use=share_text(now.design_utilisation))


def _falls_words(now: Standing) -> str:
    return ngettext("Without hands {hubs} falls.", "Without hands {hubs} fall.", len(now.falls)).format(
        hubs=listed(now.falls)) if now.falls else _("Without hands it folds.")


def carried_words(now: Standing) -> tuple[str, ...]:
    """Who carries, and how evenly."""
    if not now.carried_at:
        return ()
    lines = [_("It is carried at {hubs}: nobody lets go.").format(hubs=listed(now.carried_at, most=40))]
    if 0.0 < now.level.value < MOST_LAG_MM:
        lines.append(_("No carrier more than {lag} mm lower than the others.").format(
            lag=math.floor(now.level.value)))
    return tuple(lines)


def in_hand_words(now: Standing) -> tuple[str, ...]:
    """Struts that are logged as fitted and hang on nothing."""
    struts = [place for place in now.in_hand if place in now.struts]
    return (ngettext("{struts} is tied to no hub that stands: keep it in hand, or take it out.",
                     "{struts} are tied to no hub that stands: keep them in hand, or take them out.",
                     len(struts)).format(struts=listed(struts)),) if struts else ()


def hold_words(now: Standing) -> tuple[str, ...]:
    """From where, and how heavy, hub by hub; those that are only steadied from the same footing share one sentence."""
    steadied: dict[Said, list[str]] = {}
    for hold in now.holds:
        if hold.reachable and hold.force_n is None:
            steadied.setdefault(hold.stand_on, []).append(hold.hub)
    shared = {hubs[0]: (where, hubs) for where, hubs in steadied.items() if len(hubs) > 1}
    rest = {hub for _where, hubs in shared.values() for hub in hubs[1:]}
    return tuple(_steady_words(*shared[hold.hub]) if hold.hub in shared else one_hold(hold)
                 for hold in now.holds if hold.hub not in rest)


def _steady_words(where: Said, hubs: list[str]) -> str:
    return _("{hubs}: one person or a prop at each, from {where}. Steady them: only their arms keep them up.").format(
        hubs=listed(hubs, most=8), where=in_words(where))


def one_hold(hold: Hold) -> str:
    """Who holds what, from where.

    Examples
    --------
    >>> one_hold(Hold("H38", 2000.0, say("the step ladder"), True, 9.9))
    'H38: one person or a prop, from the step ladder. It bears 10 N, about the weight \
of a full 1-litre bottle.'
    """
    words = _("{hub}: one person or a prop, from {where}.").format(hub=hold.hub, where=in_words(hold.stand_on)) \
        if hold.reachable else _("{hub}: a prop; nobody reaches it ({where}).").format(
            hub=hold.hub, where=in_words(hold.stand_on))
    if hold.force_n is None:
        return f"{words} " + _("Steady it: only its arms keep it up.")
    return f"{words} " + _("It bears {force}, {feels}.").format(
        force=force_text(math.ceil(hold.force_n)).replace(".0", ""), feels=force_words(hold.force_n))


def loose_words(now: Standing) -> Iterator[str]:
    """Struts that one arm holds alone, the most delicate first."""
    ends = sorted(now.loose_ends, key=lambda end: (end.limit_n, end.strut))
    yield from (_loose(end) for end in ends[:MOST_LOOSE])
    rest = [end.strut for end in ends[MOST_LOOSE:]]
    if rest:
        yield ngettext("So does {struts}: hold its free end.", "So do {struts}: hold their free ends.",
                       len(rest)).format(struts=listed(rest))


def _loose(end: LooseEnd) -> str:
    return _("{strut} hangs on {hub} alone: hold its free end; no push above {limit}, {feels}.").format(
        strut=end.strut, hub=end.hub, limit=force_text(end.limit_n), feels=force_words(end.limit_n))


def push_words(now: Standing) -> tuple[str, ...]:
    """Hubs placed last that would not bear a person leaning on them."""
    return tuple(_push(push) for push in now.pushes if push.limit_n < now.lean_n)


def _push(push: PushLimit) -> str:
    return _("Do not lean on {hub}: at most {limit}, {feels}.").format(
        hub=push.hub, limit=force_text(push.limit_n), feels=force_words(push.limit_n))


def wind_words(now: Standing) -> tuple[str, ...]:
    """The gusts from which to act."""
    if now.wind is None:
        return ()
    first, last = (beaufort(now.wind.forecast_m_s * part) for part in WIND_ACTION_FRACTIONS)
    return (_("Wind: stop adding from gusts of {first} m/s at the frame, clear it from {last} m/s; by the forecast at "
              "Beaufort {first_bft} and {last_bft}.").format(
        first=math.floor(now.wind.act_first_m_s), last=math.floor(now.wind.act_last_m_s), first_bft=first,
        last_bft=last),)


def share_text(use: float) -> str:
    """A use in percent, never rounded down.

    Examples
    --------
    >>> share_text(0.0113), share_text(0.34), share_text(float("inf"))
    ('2 %', '34 %', 'more than 1000 %')
    """
    return _("more than 1000 %") if use > 10.0 else _("{n} %").format(n=math.ceil(use * 100.0 - 1e-9))
