"""An exchange in the standing frame in words: what is held before anything is loosened, then tick by tick."""

import math
from collections.abc import Iterator

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _
from fieldapp.frame.frame import Frame
from fieldapp.kit.hub_sizes import insertion_depth_mm
from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import short_name
from fieldapp.log.exchanging import Exchanging
from fieldapp.plan.exchange import ExchangeOrder, ExchangeTick, HandHold
from fieldapp.plan.plan import Plan
from fieldapp.plan.reach import reach
from fieldapp.plan.words import force
from fieldapp.reports.exchange import ExchangeNow, TickNow
from fieldapp.reports.standing import Hold
from fieldapp.statics.causes import gives_way
from fieldapp.wording.pegs import hubs_said
from fieldapp.wording.place import level_words
from fieldapp.wording.standing import one_hold


def exchange_head(found: ExchangeNow, kit: Kit, plan: Plan) -> str:
    """The first line: it can be done as it stands, or what comes first.

    Examples
    --------
    >>> exchange_head(ExchangeNow("S044", "OH-S044-X", ExchangeOrder("S044")), None, None)
    'S044 can be exchanged while the frame stands.'
    """
    name = short_name(found.part, kit.design.frame.prefix if kit else "")
    if found.order.safe:
        return _("{part} can be exchanged while the frame stands.").format(part=name)
    if found.back is None or found.back.step is None:
        return _("{part} cannot be taken out safely, and the way back does not stand either: everybody out from under "
                 "the frame, and call a competent person.").format(part=name)
    own = plan.step_of[found.place]
    if found.back.step == own:
        return _("{part} cannot be taken out safely as it stands: strike the frame until its own step {step} is "
                 "next.").format(part=name, step=own + 1)
    return _("{part} cannot be taken out safely as it stands: strike back to step {step} first ({ring}).").format(
        part=name, step=found.back.step, ring=_ring_after(kit.frame, plan, found.back.step))


def _ring_after(frame: Frame, plan: Plan, number: int) -> str:
    """Of the last hub that then stands."""
    return level_words(frame, plan.steps[number - 1].level, numbered=True)


def why_not(order: ExchangeOrder, kit: Kit) -> tuple[str, ...]:
    """What is in the way of doing it as the frame stands; nothing if it can be done."""
    words = {
        "people": lambda: _("It takes {needed} people; you are {there}.").format(
            needed=order.people, there=kit.design.crew.people),
        "reach": lambda: _("{hub} is {height} m up, and nobody reaches it.").format(
            hub=order.at, height=decimal(order.asks / 1000.0, 2)),
        "hands": lambda: _("{hub} would ask for {force}, more than hands or a prop give.").format(
            hub=order.at, force=in_words(force(math.ceil(order.asks)))),
        "gives way": lambda: _("With it out, {cause}.").format(cause=in_words(gives_way(order.governs)))}
    return (words[order.hindered](),) if order.hindered else ()


def first_lines(order: ExchangeOrder, kit: Kit) -> tuple[str, ...]:
    """What is done before the first part is loosened, in this order."""
    return tuple(_first(order, kit)) if order.safe else ()


def _first(order: ExchangeOrder, kit: Kit) -> Iterator[str]:
    yield _("Building stops: nobody adds or loosens anything else. Only in calm air.")
    if order.peg_first:
        yield _("Peg or weigh down {hubs} first.").format(hubs=in_words(hubs_said(order.peg_first)))
    if order.carried_at:
        yield _("The piece is carried at {hubs}: set it down on a prop at each first, level. No prop is moved "
                "meanwhile.").format(
            hubs=listed(order.carried_at, most=40))
    if order.holds:
        yield _("Hold or prop {hubs} before anything is loosened, until all is in again:").format(
            hubs=listed([hold.hub for hold in order.holds], most=12))
        yield from (one_hold(as_hold(hold, kit)) for hold in order.holds)
    else:
        yield _("Nothing needs to be held: what stands bears it.")
    yield _("It takes {n} people.").format(n=order.people)
    if order.place in kit.frame.hub_index and not kit.frame.hub(order.place).on_ground:
        yield _("One of them keeps {hub} in hand from the first strut off until the last is on again.").format(
            hub=order.place)
    if order.loosened:
        yield _("Keep {hub} in hand and draw it back on its struts by {mm} mm, no strut off; push it home "
                "afterwards.").format(hub=order.loosened, mm=math.ceil(insertion_depth_mm(kit.design)))


def as_hold(hold: HandHold, kit: Kit) -> Hold:
    """As the pages of what stands say it; where no person can, the force says so."""
    up = reach(hold.height_mm, kit.design.crew)
    return Hold(hold.hub, hold.height_mm, up.stand_on, up.reachable, hold.force_n)


def tick_lines(order: ExchangeOrder) -> tuple[str, ...]:
    """Every act in order, for reading ahead."""
    return tuple(tick_words(tick, order.place) for tick in order.ticks)


def tick_words(tick: ExchangeTick, broken: str) -> str:
    """One act."""
    if tick.place == broken and not tick.place.startswith("S"):
        return _("{place} out").format(place=tick.place) if tick.goes == "out" else \
            _("The other part into {place}").format(place=tick.place)
    words = _strut_out(tick) if tick.goes == "out" else _strut_in(tick)
    return f"{words} {_spread(tick)}".strip()


def _strut_out(tick: ExchangeTick) -> str:
    if not tick.first_at:
        return _("{strut} out: both ends at once, two people.").format(strut=tick.place)
    return _("{strut} out: off at {hub} first, its other end in a hand.").format(strut=tick.place, hub=tick.first_at)


def _strut_in(tick: ExchangeTick) -> str:
    if not tick.first_at:
        return _("{strut} in: both ends at once, two people.").format(strut=tick.place)
    return _("{strut} in: on at {hub} last.").format(strut=tick.place, hub=tick.first_at)


def _spread(tick: ExchangeTick) -> str:
    if tick.spreading_mm <= 0.0:
        return ""
    if tick.spread_limit_mm >= tick.spreading_mm:
        return _("Ease its hubs apart by {mm} mm, no further.").format(mm=math.ceil(tick.spreading_mm))
    return _("Its hubs bear {limit} mm of easing apart, not {mm}: never force it; draw the hub back on its other "
             "struts.").format(limit=math.floor(tick.spread_limit_mm), mm=math.ceil(tick.spreading_mm))


def running_lines(running: Exchanging, tick: TickNow | None) -> tuple[str, ...]:
    """What everybody must know while it runs; what comes next."""
    lines = [_("{place} is being exchanged: building stops.").format(place=running.place)]
    if running.holds:
        lines.append(_("Held until it is over: {hubs}. Nobody lets go.").format(hubs=listed(running.holds, most=12)))
    if running.loosened:
        lines.append(_("{hub} is loose on its struts and kept in hand.").format(hub=running.loosened))
    if tick is None:
        lines.append(_("All is in again. Look at it, then say that it is over; only then let go."))
    return tuple(lines)


def tick_label(tick: TickNow) -> str:
    """On the button: what was just done."""
    name = tick.place if tick.part is None else short_name(tick.part, tick.own)
    return _("{part} is out").format(part=name) if tick.goes == "out" else \
        _("{part} is in at {place}").format(part=name, place=tick.place)
