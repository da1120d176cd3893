"""Who holds which hub, as pages show it; and the phone that looks."""

from dataclasses import dataclass

from flask import request

from fieldapp.base.clock import clock_words
from fieldapp.log.duties import asks_anew, in_hand, lapsed
from fieldapp.web.cards.scans import recent_scans
from fieldapp.web.cards.step_view import CardReader
from fieldapp.web.common.context import sender, site, state, who
from fieldapp.web.common.i18n import _, in_words


def asking() -> CardReader:
    """The phone of this request, with the labels that it read lately."""
    return CardReader(sender() or who() or "unknown", site().clock(), recent_scans(request.cookies, site().clock()))


@dataclass(frozen=True, slots=True)
class HoldLine:
    """One hub that must be held."""

    hub: str
    words: str
    """Who holds it since when; or that nobody has said so."""
    mine: bool
    asks: bool
    """True if this phone shall say anew that it holds the hub."""


@dataclass(frozen=True, slots=True)
class HoldsNow:
    """The hubs to hold, and those for whom nobody spoke in time."""

    lines: tuple[HoldLine, ...] = ()
    unheard: tuple[str, ...] = ()
    """For the chief: who held what and has not said so again."""


def holds_now(hubs: tuple[str, ...]) -> HoldsNow:
    """Of these hubs, as the log has it now."""
    now, here = site().clock(), asking().holder
    held = in_hand(state(), now, "hold")
    lines = []
    for hub in dict.fromkeys((*hubs, *(duty.at for duty in held if duty.holder == here))):
        own = [duty for duty in held if duty.at == hub]
        mine = next((duty for duty in own if duty.holder == here), None)
        words = [_("{who} holds it since {time}").format(who=in_words(duty.who), time=clock_words(duty.since, now))
                 for duty in own]
        lines.append(HoldLine(hub, "; ".join(words) or _("who holds it?"), mine is not None,
                              mine is not None and asks_anew(mine, now)))
    gone = [_("{hub}: {who} held it and has not said so since {time}. Go and see who holds it.").format(
        hub=duty.at, who=in_words(duty.who), time=clock_words(duty.renewed, now))
        for duty in lapsed(state(), now, "hold") if duty.at in hubs]
    return HoldsNow(tuple(lines), tuple(gone))
