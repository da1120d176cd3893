"""A step of the planned strike in words: what to hold, keep in hand and let go, or that it must not come out."""

from collections.abc import Iterator

from fieldapp.base.said import listed
from fieldapp.base.words import _
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Step
from fieldapp.reports.verdict import Verdict
from fieldapp.wording.verdict import verdict_word


def strike_order(step: Step, found: Verdict | None) -> tuple[str, ...]:
    """The places of a step in the order in which they come out; the raise backwards where nobody worked it out."""
    if found is not None:
        return found.places
    return tuple(place for place in reversed(step.sequence) if not (step.joins and place == step.hub))


def strike_hold(step: Step, before: Step | None, found: Verdict | None) -> str:
    """What to hold before a step is undone, and what may be let go when it is out.

    Where it must not come out the plan's holds are told all the same: what follows on paper counts on them.
    """
    left = before.holds if before else ()
    hold = [hub for hub in left if hub not in step.holds]
    free = [hub for hub in step.holds if hub not in left]
    if found is not None and found.may:
        hold, free = [one.hub for one in found.hands.before], list(found.hands.let_go)
    free = [hub for hub in free if hub not in strike_order(step, found)]
    return " ".join([_("Before you loosen anything, hold {hubs}.").format(hubs=listed(hold))] * bool(hold)
                    + [_("Then let go of {hubs}.").format(hubs=listed(free))] * bool(free))


def strike_stop(kit: Kit, found: Verdict | None) -> str:
    """That a step must not come out; empty where it may."""
    if found is None or not found.first:
        return ""
    return f"{verdict_word(found, kit.design.ground).rstrip('.')}."


def strike_in_hand(kit: Kit, step: Step, found: Verdict | None) -> str:
    """The hub that is kept in hand while its struts come off, and the free ends that are held once it is out."""
    return "" if found is not None and found.first else " ".join(_in_hand(kit, step, strike_order(step, found)))


def strike_in_hand_briefly(kit: Kit, step: Step, found: Verdict) -> str:
    """The same for a first screen; empty where nothing is kept in hand."""
    places, hub = found.places, step.hub
    if found.first or hub not in places or len(places) == 1:
        return ""
    held = kit.frame.hub(hub).on_ground or hub in found.now.held_hubs
    hanging, aloft = places[places.index(hub) + 1:], not held
    if not hanging:
        return _("Keep {hub} in hand.").format(hub=hub) if aloft else ""
    return (_("Keep {hub} and free ends in hand.") if aloft else _("Keep free ends in hand.")).format(hub=hub)


def _in_hand(kit: Kit, step: Step, places: tuple[str, ...]) -> Iterator[str]:
    hub = step.hub
    if hub not in places or len(places) == 1:
        return
    if not kit.frame.hub(hub).on_ground:
        yield _("Keep {hub} in hand while its struts come off.").format(hub=hub)
    hanging = places[places.index(hub) + 1:]
    if hanging:
        yield _("Once {hub} is out, hold the free ends: {struts}.").format(hub=hub, struts=listed(hanging))


def not_computed() -> str:
    """For paper of a plan that nobody judged, or that has too many parts."""
    return _("Inside a step the order here is the raise backwards, not computed: where the strike pages tell another, "
             "follow them.")
