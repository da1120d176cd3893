"""A step of the planned strike in words: what to hold, keep in hand and let go, or that it must not come out."""

from collections.abc import Iterator, Sequence

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.units import m_from_mm
from fieldapp.base.words import _
from fieldapp.kit.kit import Kit
from fieldapp.plan.hand_lifts import hand_lifts
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.ways import named
from fieldapp.reports.verdict import Verdict
from fieldapp.wording.lifts import MOST_HUBS, props_said
from fieldapp.wording.verdict import keep_in_hand, verdict_word


def strike_order(step: Step, found: Verdict | None) -> tuple[str, ...]:
    """The places of a step in the order in which they come out; the raise backwards where nobody worked it out."""
    if found is not None:
        return found.places
    return tuple(place for place in reversed(step.sequence) if not (step.joins and place == step.hub))


def strike_lines(kit: Kit, plan: Plan, step: Step, found: Verdict | None) -> tuple[str, ...]:
    """All that is said of taking a step back, in the order in which it is needed: on page, card and paper the same.

    Where it must not come out the plan's holds and lowering are told all the same: what follows on paper counts on
    them.
    """
    before = plan.steps[step.number - 2] if step.number > 1 else None
    told = found if found is not None and found.may else None
    return tuple(line for line in (
        strike_stop(kit, found), _carry(step, before, told), _hold(step, before, told),
        *(() if found is not None and found.first else _in_hand(kit, step, strike_order(step, found), told)),
        _lower(kit, plan, step, told), _let_go(step, before, told, strike_order(step, found))) if line)


def strike_briefly(kit: Kit, plan: Plan, step: Step, found: Verdict) -> tuple[str, ...]:
    """The same for a first screen, of a step that may come out: how in full stands below, and on the lift's page."""
    before = plan.steps[step.number - 2] if step.number > 1 else None
    lower = _("Then lower the {piece} by {height} m, all hubs together.").format(
        piece=in_words(named(step.piece)), height=decimal(m_from_mm(step.lift_mm), 2)) if step.lift_mm else ""
    hold = [one.hub for one in found.hands.before]
    return tuple(filter(None, (
        _carry(step, before, found), _("First hold {hubs}.").format(hubs=listed(hold)) if hold else "",
        _in_hand_briefly(step, found), lower)))


def _in_hand_briefly(step: Step, found: Verdict) -> str:
    places, hub = found.places, step.hub
    aloft = hub in found.hands.in_hand and hub not in found.now.held_hubs
    if hub not in places or not places[places.index(hub) + 1:]:
        return _("Keep {hub} in hand.").format(hub=hub) if aloft else ""
    return (_("Keep {hub} and free ends in hand.") if aloft else _("Keep free ends in hand.")).format(hub=hub)


def strike_stop(kit: Kit, found: Verdict | None) -> str:
    """That a step must not come out; empty where it may."""
    if found is None or not found.first:
        return ""
    return f"{verdict_word(found, kit.design.ground).rstrip('.')}."


def _carry(step: Step, before: Step | None, told: Verdict | None) -> str:
    """Where the piece is carried before anything comes out; where the step ends with a lowering, hands change then."""
    hubs = told.hands.carry if told else () if step.lift_mm else _new_carriers(step, before)
    return _("First carry the {piece} at {hubs}, one person at each.").format(
        piece=in_words(named(step.piece)), hubs=listed(hubs, most=MOST_HUBS)) if hubs else ""


def _hold(step: Step, before: Step | None, told: Verdict | None) -> str:
    hold = [one.hub for one in told.hands.before] if told else [
        hub for hub in (before.holds if before else ()) if hub not in step.holds]
    return _("Before you loosen anything, hold {hubs}.").format(hubs=listed(hold)) if hold else ""


def _let_go(step: Step, before: Step | None, told: Verdict | None, order: Sequence[str]) -> str:
    free = told.hands.let_go if told else [hub for hub in step.holds if hub not in (before.holds if before else ())]
    free = [hub for hub in free if hub not in order]
    return _("When it is done, {hubs} may be let go.").format(hubs=listed(free)) if free else ""


def _in_hand(kit: Kit, step: Step, places: Sequence[str], told: Verdict | None) -> Iterator[str]:
    """The hub that is kept in hand while its struts come off, and the free ends that are held once it is out."""
    hub, hanging = step.hub, places[places.index(step.hub) + 1:] if step.hub in places else ()
    by_plan = len(places) > 1 and hub in places and hub not in step.stands_on
    if hub in told.hands.in_hand if told else by_plan:
        yield keep_in_hand(hub)
    if hanging:
        yield _("Once {hub} is out, hold the free ends: {struts}.").format(hub=hub, struts=listed(hanging))
    if told is None or told.after is None:
        return
    for end in told.after.loose_ends:
        if end.strut in told.hands.in_hand and end.strut not in places:
            yield _("{strut} then hangs on {hub} alone: hold its free end.").format(strut=end.strut, hub=end.hub)


def _lower(kit: Kit, plan: Plan, step: Step, told: Verdict | None) -> str:
    """How far the piece comes down once the step is out, on which props in between, and who carries it then."""
    lift = next((one for one in hand_lifts(kit, plan) if one.step == step.number), None) if step.lift_mm else None
    if lift is None:
        return ""
    before = plan.steps[step.number - 2] if step.number > 1 else None
    hubs = _new_carriers(step, before)
    if told is not None and told.after is not None:
        hubs = told.after.carried_at if set(told.after.carried_at) - set(told.now.carried_at) else ()
    lines = [_("Then lower the {piece} by {height} m, all hubs together.").format(
        piece=in_words(named(step.piece)), height=decimal(m_from_mm(step.lift_mm), 2))]
    if lift.rises_mm:
        lines.append(_("In between on props: {props}.").format(props=props_said(lift, "down")))
    if hubs:
        lines.append(_("Then carry it at {hubs}, one person at each.").format(hubs=listed(hubs, most=MOST_HUBS)))
    return " ".join(lines)


def _new_carriers(step: Step, before: Step | None) -> tuple[str, ...]:
    """Hubs at which the piece is carried once a step is undone, if these are not those of the step."""
    carried = before.carried_at if before else ()
    return carried if set(carried) - set(step.carried_at) else ()


def not_computed() -> str:
    """For paper of a plan that nobody judged, or that has too many parts."""
    return _("Inside a step the order here is the raise backwards, not computed: where the strike pages tell another, "
             "follow them.")
