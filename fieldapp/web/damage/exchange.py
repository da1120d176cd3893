"""An exchange in the standing frame: what is held before anything is loosened, then tick by tick, each an entry."""

from dataclasses import dataclass

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.state import State
from fieldapp.plan.exchange import ExchangeOrder
from fieldapp.reports.exchange import ExchangeNow, TickNow, asks, next_tick, ticks_now, worked_out
from fieldapp.reports.verdict import verdict_of
from fieldapp.web.cards.entries import done
from fieldapp.web.common.beside import beside
from fieldapp.web.common.context import patience_s, site, state, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS
from fieldapp.web.common.i18n import _
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import refused, wish, write_down
from fieldapp.web.damage.other import Instead, instead_of
from fieldapp.wording.exchange import (
    exchange_head,
    first_lines,
    running_lines,
    tick_label,
    tick_lines,
    tick_words,
    why_not,
)
from fieldapp.wording.verdict import verdict_detail, verdict_word

bp = Blueprint("exchange", __name__)

BEGIN_PATIENCE_S = 30.0
"""How long the press that begins one waits for its answer."""


def known_exchange(name: str, wait_s: float | None = None, *, then: State | None = None) -> ExchangeNow | None:
    """What is said of exchanging the part at a place that is filled, now or in another state; None while it is being
    worked out."""
    here, asked = asks(site().book.site, state() if then is None else then, name)
    return beside().answer("exchange", (here.kit.design, here.plan, asked), lambda: worked_out(here, asked),
                           patience_s=patience_s() if wait_s is None else wait_s)


@dataclass(frozen=True, slots=True)
class ExchangeView:
    """The page of one exchange."""

    place: str
    part: str
    soon: bool = False
    """True while it is being worked out."""
    head: str = ""
    safe: bool = False
    lines: tuple[str, ...] = ()
    """Why not; or what is done before anything is loosened."""
    acts: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    first: bool = False
    """True if something is pegged, held or propped before it begins: whoever begins says that it is."""
    instead: Instead | None = None


@dataclass(frozen=True, slots=True)
class TickView:
    """One act of a running one."""

    words: str
    done: bool


@dataclass(frozen=True, slots=True)
class RunningView:
    """The page while it runs."""

    place: str
    lines: tuple[str, ...]
    holds: tuple[str, ...]
    ticks: tuple[TickView, ...]
    next: TickNow | None
    next_words: str = ""
    how: str = ""
    """How the next act is done, if that is known by now."""
    instead: Instead | None = None
    """Parts to choose from, where the next act puts one in and none is meant for the place."""
    why_not: tuple[str, ...] = ()
    """Why the next act may not be done now, by the verdict; empty where it may."""


@bp.get("/exchange/<name>")
def page(name: str) -> str:
    """Before: what it takes, who holds what. Meanwhile: the next act."""
    name, running = _place(name), state().exchanging
    if running is not None:
        return render_template("damage/exchanging.html", view=running_view(state()), done=done(), here="place",
                               chief=is_chief())
    return render_template("damage/exchange.html", view=exchange_view(name), done=done(), here="place")


def exchange_view(name: str) -> ExchangeView:
    """Of a place that is filled."""
    found, here = known_exchange(name), site()
    part = state().fitted[name]
    if found is None:
        return ExchangeView(name, part, soon=True, head=_("Working out how it can be taken out …"), lines=(
            _("Until then hold what is there, and take nothing out."),))
    lines = first_lines(found.order, here.kit) or why_not(found.order, here.kit)
    instead = instead_of(here.book.site, state(), name, here.clock()) if found.order.safe else None
    return ExchangeView(name, part, head=exchange_head(found, here.kit, here.plan), safe=found.order.safe, lines=lines,
                        acts=tick_lines(found.order), holds=tuple(hold.hub for hold in found.order.holds),
                        first=asks_for_hands(found.order), instead=instead)


def asks_for_hands(order: ExchangeOrder) -> bool:
    """True if anything is pegged, held, carried or propped before the first part is loosened."""
    return bool(order.holds or order.peg_first or order.carried_at)


def running_view(now: State) -> RunningView:
    """Of the exchange that is under way."""
    running = now.exchanging
    assert running is not None
    tick, here = next_tick(now, running), site()
    instead = instead_of(here.book.site, now, tick.place, here.clock()) \
        if tick is not None and tick.goes == "in" and not tick.usable else None
    return RunningView(running.place, running_lines(running, tick), running.holds,
                       tuple(TickView(tick_label(one), one.done) for one in ticks_now(now, running)), tick,
                       tick_label(tick) if tick else "", _how(now, running, tick), instead, _why_not(now, tick))


def _why_not(now: State, tick: TickNow | None) -> tuple[str, ...]:
    """What the verdict says of the next act, where that is not that it may be done."""
    if tick is None:
        return ()
    found, ground = verdict_of(site().book.site, now, tick.place), site().kit.design.ground
    lines = () if found.sign == "now" else (verdict_word(found, ground), verdict_detail(found, ground))
    return tuple(filter(None, lines))


def _how(now: State, running: Exchanging, tick: TickNow | None) -> str:
    """How an act is done, from the same answer as before: as if all that it touches were in."""
    whole = now
    for place in running.takes:
        whole = whole.if_filled(place)
    found = known_exchange(running.place, then=whole) if tick is not None else None
    acts = found.order.ticks if found is not None else ()
    return next((tick_words(act, running.place) for act in acts
                 if tick is not None and (act.place, act.goes) == (tick.place, tick.goes)), "")


@bp.post("/exchange/<name>/begin")
def begin(name: str) -> Response | tuple[str, int]:
    """All that is to be held is held: from now on building stops. Refused where it is not safe, or not known yet."""
    name = _place(name)
    back = url_for("exchange.page", name=name)
    found = known_exchange(name, BEGIN_PATIENCE_S) if state().is_fitted(name) else None
    if found is None or not found.order.safe:
        return refused(refuse("not_safe", "the part at {place} cannot be taken out now.",
                              "Hold what is there, take nothing out, and open its page again.", place=name), back)
    if not request.form.get("held") and asks_for_hands(found.order):
        return refused(Refusal(_("Tick that all of it is pegged, held or propped first.")), back)
    return write_down(wish("exchange_begun", place=name, data={
        "takes": list(found.order.touches), "holds": [hold.hub for hold in found.order.holds],
        "loosened": found.order.loosened}), back)


@bp.post("/exchange/<name>/tick")
def tick(name: str) -> Response | tuple[str, int]:
    """One act is done: a part is out, or in."""
    name, running = _place(name), state().exchanging
    at, goes = request.form.get("at", ""), request.form.get("goes", "")
    back = url_for("exchange.page", name=running.place if running else name)
    if running is None or at not in running.takes:
        return refused(refuse("no_exchange", "no exchange is running.", "Nothing more to do."), back)
    part = state().fitted.get(at) if goes == "out" else state().allocation.get(at)
    if part is None:
        return refused(refuse("no_part_there", "no part sits at {place}, or is meant for it.",
                              "Open {place} and choose one.", place=at), back)
    return write_down(wish("taken_down" if goes == "out" else "fitted", part, at), back)


@bp.post("/exchange/<name>/end")
def end(name: str) -> Response | tuple[str, int]:
    """All is in again, or the chief gives it up."""
    reason = tidy(request.form.get("reason", ""), MAX_WORDS_CHARS)
    return write_down(wish("exchange_ended", data={"reason": reason}), url_for("start.page"))


def _place(name: str) -> str:
    name = name.upper()
    if name not in site().kit.by_place or (state().exchanging is None and not state().is_fitted(name)):
        abort(404, _("place {name}").format(name=name[:16]))
    return name
