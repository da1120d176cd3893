"""An exchange in the standing frame, by the log: what it takes before anything moves, and how far a running one is.

The advice on damage, the list of parts that could go there and the page of the exchange all ask `exchange_now`.
"""

from dataclasses import dataclass, replace
from typing import Literal

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.case import case_of
from fieldapp.plan.exchange import ExchangeCase, ExchangeOrder, WayBack, exchange, way_back
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.plan import Plan
from fieldapp.reports.parts import may_go_in
from fieldapp.reports.parts.own_numbers import OwnNumbers, own_numbers
from fieldapp.reports.standing import bearing, judging_of, weakened_case


@dataclass(frozen=True, slots=True)
class ExchangeNow:
    """What is said of exchanging the part at one place. Words: `wording.exchange`."""

    place: str
    part: str
    order: ExchangeOrder
    back: WayBack | None = None
    """Where the order is not safe: how far the strike goes back first; None at a place that the plan leaves out."""


def asks(site: Setting, state: State, place: str) -> tuple[Setting, "Asking"]:
    """All that the answer depends on, cheap to know: for whoever has it worked out beside the pages."""
    sitting = state.fitted[place]
    held = tuple(hold.hub for hold in bearing(site, state).holds)
    by = judging_of(site, state, held=held)
    renewed = replace(state.parts[sitting], defects=(), capacity=(), measured=(), mends=())
    sound = own_numbers(replace(state, parts={**state.parts, sitting: renewed}), site.checklist)
    return site, Asking(place, sitting, replace(by.fitted, last=()), by.own, sound, by.resting.low,
                        by.resting.lowered_mm)


@dataclass(frozen=True, slots=True)
class Asking:
    """One question."""

    place: str
    part: str
    fitted: Fitted
    broken: OwnNumbers
    sound: OwnNumbers
    low: tuple[str, ...] = ()
    lowered_mm: float = 0.0


def exchange_now(site: Setting, state: State, place: str) -> ExchangeNow:
    """How the part that sits at a place is exchanged, or how far the strike goes back first.

    Parameters
    ----------
    site : Setting
    state : State
        The place is filled; KeyError if it is not.
    place : str
    """
    return worked_out(*asks(site, state, place))


def worked_out(site: Setting, asked: Asking) -> ExchangeNow:
    """The same of a question; equal ones are answered once."""
    return _answer(site.kit, site.plan, asked)


@remembered(32, by=lambda kit, plan, asked: (kit.design, plan, asked))
def _answer(kit: Kit, plan: Plan, asked: Asking) -> ExchangeNow:
    sound = case_of(kit)
    of = ExchangeCase(weakened_case(sound, asked.broken), weakened_case(sound, asked.sound), asked.fitted,
                      asked.low, asked.lowered_mm)
    order = exchange(of, asked.place)
    back = None if order.safe or asked.place not in plan.step_of else way_back(of, plan, asked.place)
    return ExchangeNow(asked.place, asked.part, order, back)


@dataclass(frozen=True, slots=True)
class TickNow:
    """One act of a running exchange."""

    place: str
    goes: Literal["out", "in"]
    done: bool
    part: str | None
    """To take out, or to put in; None if none is meant for the place."""
    usable: bool = True
    """False of a part to put in that may not be used: another must be chosen first."""
    own: str = ""
    """Letters of the kit: a part of another is called with its own."""


def ticks_now(state: State, running: Exchanging) -> tuple[TickNow, ...]:
    """Out in order, then in again the other way round; what was emptied or filled since it began is done."""
    out = [TickNow(place, "out", _is_out(state, running, place), state.fitted.get(place),
                    own=state.kit.design.frame.prefix) for place in running.takes]
    back = [_back_in(state, running, place) for place in reversed(running.takes)]
    return (*out, *back)


def next_tick(state: State, running: Exchanging) -> TickNow | None:
    """What is done next; None once all is in again."""
    return next((tick for tick in ticks_now(state, running) if not tick.done), None)


def _is_out(state: State, running: Exchanging, place: str) -> bool:
    """Emptied since it began, whatever sits there now."""
    sitting = state.fitted.get(place)
    if sitting is None:
        return True
    fitted, began = state.index.get(state.parts[sitting].fitted_by or ""), state.index.get(running.key)
    return fitted is not None and began is not None and fitted.position > began.position


def _back_in(state: State, running: Exchanging, place: str) -> TickNow:
    sitting = state.fitted.get(place)
    done = sitting is not None and _is_out(state, running, place) and state.parts[sitting].usable
    part = sitting if done else state.allocation.get(place)
    return TickNow(place, "in", done, part, part is not None and may_go_in(state, part),
                   state.kit.design.frame.prefix)
