"""What really stands, in words for a newcomer: the first sentence says what to do now."""

import math

from fieldapp.base.constants import WHOLE_BODY_PUSH_N
from fieldapp.base.said import Number, Said, Value, in_words, listed, say
from fieldapp.base.words import _, ngettext
from fieldapp.plan.limits import LIMITS
from fieldapp.plan.words import feels, force
from fieldapp.reports.standing import Hold, Standing
from fieldapp.statics.causes import gives_way, is_untested
from fieldapp.statics.governs import ARM, FOLDS, FREE_END, TUBE, ends_before
from fieldapp.wording.pegs import not_pegged


def headline(now: Standing) -> str:
    """What to do now, in one or two short sentences."""
    if now.verdict == "nothing stands":
        return _("Nothing stands yet.")
    if now.verdict == "clear":
        stop = _("Stop. Add nothing, set the piece down evenly, nobody under it.") if now.carried_at \
            else _("Stop, clear the frame.")
        return f"{stop} {_danger(now)}"
    if now.verdict == "hold":
        untested = "" if now.tested else _("Strength: not tested.")
        return " ".join(filter(None, (hold_now(now), falls_words(now), untested)))
    if now.carried_at:
        return _("It holds while it is carried. Nothing else to hold.")
    if now.unpegged:
        return not_pegged(now.unpegged)
    if not now.tested:
        return _("Its shape stands by itself. What its parts bear is unknown: not tested.")
    return _("It stands by itself. Nothing to hold.")


def hold_now(now: Standing) -> str:
    """Who holds what: "Hold H22 and H23 now"."""
    return _("Hold {hubs} now.").format(hubs=listed(now.held_hubs, most=8))


def _danger(now: Standing) -> str:
    if not now.stands_held:
        return _("It does not stand, not even with {hubs} held.").format(hubs=listed(now.held_hubs, most=6)) \
            if now.holds else _("It does not stand.")
    governs, use = now.bears.governs, share_text(now.worst_utilisation)
    if governs is None or governs.what == FOLDS:
        return _("It does not stand.")
    if governs.what == TUBE:
        return _("The tube of {strut} is computed to break: {use} of what it can take, with the safety factor.").format(
            strut=governs.strut, use=use)
    if governs.what == ARM:
        return _("The arm of {hub} on {strut} is computed to break: {use} of what it can take, with the safety "
                 "factor.").format(hub=governs.hub, strut=governs.strut, use=use)
    return _("It is computed to give way under its weight, with the safety factor: {cause}.").format(
        cause=in_words(gives_way(governs)))


def falls_words(now: Standing) -> str:
    """What falls without hands; empty where it stands without."""
    if now.stands:
        return ""
    return ngettext("Without hands {hubs} falls.", "Without hands {hubs} fall.", len(now.falls)).format(
        hubs=listed(now.falls, most=6)) if now.falls else _("Without hands it folds.")


def carried_words(now: Standing) -> tuple[str, ...]:
    """Who carries, and how evenly."""
    if not now.carried_at:
        return ()
    return (_("It is carried at {hubs}: nobody lets go.").format(hubs=listed(now.carried_at, most=40)),
            *limit_words(now, "carry"))


def in_hand_words(now: Standing) -> tuple[str, ...]:
    """Struts that are logged as fitted and hang on nothing."""
    struts = [place for place in now.in_hand if place in now.struts]
    return (ngettext("{struts} is tied to no hub that stands: keep it in hand, or take it out.",
                     "{struts} are tied to no hub that stands: keep them in hand, or take them out.",
                     len(struts)).format(struts=listed(struts, most=6)),) if struts else ()


def free_ends_words(now: Standing) -> tuple[str, ...]:
    """Struts that one arm alone keeps; of a single one how hard it may be pushed, where a person pushes harder."""
    struts, limits = listed([end.strut for end in now.loose_ends], most=8), now.limits_of(FREE_END)
    if len(now.loose_ends) > 1:
        return (_("Hold the free ends of {struts}: one arm alone keeps each.").format(struts=struts),)
    if not now.loose_ends:
        return ()
    if len(limits) != 1 or is_untested(limits[0]) or ends_before(limits[0]):
        return (_("Hold the free end of {strut}: one arm alone keeps it.").format(strut=struts),)
    return (_("Hold the free end of {strut}: no push above {limit}.").format(
        strut=struts, limit=in_words(force(limits[0].value))),)


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
    >>> from fieldapp.base.said import say
    >>> one_hold(Hold("H38", 2000.0, say("the step ladder"), True, 9.9))
    'H38: one person or a prop, from the step ladder. It bears 10 N, about the weight \
of a full 1-litre bottle.'
    >>> one_hold(Hold("H38", 2000.0, say("the step ladder"), True, 410.2))
    'H38: a prop, no person can hold it: it bears 411 N.'
    """
    if hold.force_n is not None and hold.force_n > WHOLE_BODY_PUSH_N:
        return _("{hub}: a prop, no person can hold it: it bears {force}.").format(
            hub=hold.hub, force=in_words(_borne(hold.force_n)))
    words = _("{hub}: one person or a prop, from {where}.").format(hub=hold.hub, where=in_words(hold.stand_on)) \
        if hold.reachable else _("{hub}: a prop; nobody reaches it ({where}).").format(
            hub=hold.hub, where=in_words(hold.stand_on))
    if hold.force_n is None:
        return f"{words} " + _("Steady it: only its arms keep it up.")
    return f"{words} " + in_words(say("It bears {force}, {feels}.", force=_borne(hold.force_n),
                                      feels=feels(hold.force_n)))


def _borne(force_n: float) -> Value:
    """What hands bear, rounded up to whole newtons."""
    up_n = math.ceil(force_n)
    return force(up_n) if up_n >= 10 else Number(up_n, 0, "N")


def limit_words(now: Standing, *beside: str) -> tuple[str, ...]:
    """What all kinds of limit say that are said beside these: "carry", "hold", "lean", "wind"."""
    return tuple(in_words(said) for kind in LIMITS.values() if kind.beside in beside
                 for said in kind.now(now.limits_of(kind.name), now.lean_n))


def share_text(use: float) -> str:
    """A use in percent, never rounded down.

    Examples
    --------
    >>> share_text(0.0113), share_text(0.34), share_text(float("inf"))
    ('2 %', '34 %', 'more than 1000 %')
    """
    return _("more than 1000 %") if use > 10.0 else _("{n} %").format(n=math.ceil(use * 100.0 - 1e-9))
