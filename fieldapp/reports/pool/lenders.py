"""Which kits can spare a part and stay fit for their own next day, and which cannot, and why.

A kit stays fit without every part that its own outfit places nowhere: what is given out now can be given out without
it, part by part, and every stage of it was judged. So nothing is judged anew, and nothing is promised that was not.
"""

from collections.abc import Sequence
from datetime import datetime, time

from fieldapp.base.said import Row, Said, Value, say, say_n
from fieldapp.kit.kit import Part
from fieldapp.log.wanted import days_said, to_come
from fieldapp.reports.inspection.again import old_checks
from fieldapp.reports.parts import stock_of
from fieldapp.reports.parts.own_numbers import part_strengths
from fieldapp.reports.pool.alike import alike
from fieldapp.reports.pool.record import Lender, PoolKit, Shortage
from fieldapp.reports.readiness.making import ClassKey, class_at, class_keys

ONLY_INSPECTION = frozenset({"inspection", "again"})
"""Reasons against a kit that no part lent or kept changes."""


def needs(of: PoolKit, now: datetime) -> tuple[Shortage, ...]:
    """Classes of which parts are lacking, damaged or missing, hubs first."""
    found = []
    for key in class_keys(of.kit):
        parts = [part for part in of.state.all_parts() if (part.kind, part.part_class) == key]
        stock = {part.id: stock_of(of.state, part.id, now) for part in parts}
        usable = sum(where in ("sound", "watch") for where in stock.values())
        places = sum(class_at(of.kit, place) == key for place in of.plan.step_of)
        lost = tuple(part for part, where in stock.items() if where in ("quarantined", "missing", "drying"))
        if usable < places or lost:
            found.append(Shortage(key, max(0, places - usable), lost, max(0, usable - places)))
    return tuple(sorted(found, key=lambda need: not need.short))


def lenders(here: PoolKit, key: ClassKey, others: Sequence[PoolKit], *, now: datetime, only: str = ""
            ) -> tuple[Lender, ...]:
    """What each of the other kits answers, those that can first.

    Parameters
    ----------
    here : PoolKit
        The kit that lacks a part of class `key`.
    others : sequence of PoolKit
        The other kits of the yard; which of their parts are promised is read from all of them, and from `here`.
    now : datetime
    only : str
        ID of the one part that is asked about, which `here` has asked for before; else all of them are.
    """
    promised = frozenset(part for kit in (here, *others) for part in _promised(kit)) - {only}
    letters = [kit.letters for kit in (here, *others)]
    found = [_answer(here, key, kit, promised=promised, now=now, only=only) if letters.count(kit.letters) == 1 else
             _no(kit, say("labels of two kits begin with its letters")) for kit in others if kit.name != here.name]
    order = ("can", "asked", "wait", "no")
    return tuple(sorted(found, key=lambda one: (order.index(one.answer), one.called)))


def _promised(kit: PoolKit) -> tuple[str, ...]:
    """Parts of other kits that it has or asks for."""
    has = (part for part, past in kit.state.parts.items() if past.borrowed is not None and past.away is None)
    return (*has, *(ask.part for ask in kit.state.asks))


def _answer(here: PoolKit, key: ClassKey, kit: PoolKit, *, promised: frozenset[str], now: datetime, only: str
            ) -> Lender:
    like = alike(kit.kit, here.kit, key)
    parts = [part for part in kit.state.all_parts() if part.kind == key[0] and like.has(part)
             and only in ("", part.id)]
    free = [part for part in parts if part.id not in promised and _is_free(here, kit, part, now)]
    if kit.state.log_away is not None:
        return _away(kit, free)
    if not free:
        return _no(kit, _why_none(kit, parts, promised, why=like.why, now=now))
    if kit.ready is None:
        return _no(kit, say("it cannot be judged: {why}", why=kit.trouble)) if kit.trouble else \
            Lender(kit.name, kit.called, "wait", say("{kit}: being worked out", kit=kit.called))
    against = [reason.words for reason in kit.ready.reasons if reason.why not in ONLY_INSPECTION]
    if against:
        return _no(kit, say("it is not fit itself: {reasons}", reasons=Row(tuple(against), "; ")))
    placed = set(kit.ready.outfit.allocation.part_at.values())
    spare = [part for part in free if part.id not in placed]
    if not spare:
        return _no(kit, _why_none(kit, parts, promised, why=None, now=now))
    return _can(kit, spare, now)


def _is_free(here: PoolKit, kit: PoolKit, part: Part, now: datetime) -> bool:
    """Its own, sound, whole, as long as it should be, and meant for no place of its plan."""
    past, home = kit.state.parts[part.id], kit.state.home_of(part.id)
    if past.borrowed is not None or past.fitted_at is not None or home in kit.plan.step_of or past.mends:
        return False
    own = part_strengths(kit.state, kit.checklist, (part.id,))[part.id]
    return stock_of(kit.state, part.id, now) == "sound" and own.weakest >= 1.0 and \
        abs(own.off_mm) <= here.kit.design.frame.tolerance_mm


def _why_none(kit: PoolKit, parts: Sequence[Part], promised: frozenset[str], *, why: Said | None, now: datetime
              ) -> Value:
    """All in use, or unfit, or promised; or no such part at all."""
    if not parts:
        return say("no part of it is like this one: {why}", why=why) if why else say("no part of it is like this one")
    stock = [stock_of(kit.state, part.id, now) for part in parts if part.id not in promised]
    used = sum(where in ("sound", "watch") for where in stock)
    unfit, away = sum(where in ("quarantined", "drying", "missing") for where in stock), stock.count("away")
    lines = (say_n("its one such part is in use", "its {n} such parts are all in use", used) if used else None,
             say_n("{n} may not be used", "{n} may not be used", unfit) if unfit else None,
             say_n("{n} is lent or asked for already", "{n} are lent or asked for already",
                   away + len(parts) - len(stock)) if away + len(parts) - len(stock) else None)
    return Row(tuple(line for line in lines if line is not None), "; ")


def _no(kit: PoolKit, why: Value) -> Lender:
    return Lender(kit.name, kit.called, "no", say("{kit} cannot: {why}", kit=kit.called, why=why))


def _away(kit: PoolKit, free: Sequence[Part]) -> Lender:
    """Asked, not given: what happened to it there nobody knows here."""
    if not free or kit.state.log_away is None:
        return _no(kit, say("its log is away, and by its last word it has none left"))
    return Lender(kit.name, kit.called, "asked", say(
        "{kit} may be asked: its log is away at {where}, and by its last word it could spare one", kit=kit.called,
        where=kit.state.log_away.where), free[0].id, len(free) - 1)


def _can(kit: PoolKit, spare: Sequence[Part], now: datetime) -> Lender:
    """Spares before parts made for a place; those inspected before the others."""
    first, *more = sorted(spare, key=lambda part: (not part.is_spare, kit.state.parts[part.id].last_check is None,
                                                   part.id))
    own = next(iter(to_come(kit.state.wanted, now.date())), None)
    fit = kit.ready is not None and kit.ready.fit
    if own is None:
        said = say("{kit} can spare one and stays fit", kit=kit.called) if fit else \
            say("{kit} can spare one and keeps all that it needs", kit=kit.called)
    else:
        words = say("{kit} can spare one and stays fit for {days} at {where}") if fit else \
            say("{kit} can spare one and keeps all that it needs for {days} at {where}")
        said = say(words.template, kit=kit.called, where=own.where, days=days_said(own.first, own.last))
    return Lender(kit.name, kit.called, "can", said, first.id, len(more), _minds(kit, now))


def _minds(kit: PoolKit, now: datetime) -> tuple[Said, ...]:
    """Inspections that are lacking now, or too old by its next day."""
    if kit.ready is None:
        return ()
    own = next(iter(to_come(kit.state.wanted, now.date())), None)
    lines = [say("Before its own day: {reason}", reason=reason.words) for reason in kit.ready.reasons]
    if own is not None and not lines and own.first > now.date():
        day = datetime.combine(own.first, time(12), now.tzinfo)
        old = old_checks(kit.state, kit.checklist.seen_again, now=day)
        due = sum(part in old for part in kit.ready.outfit.allocation.part_at.values())
        lines += [say_n("Before its own day {n} part is to be inspected again",
                        "Before its own day {n} parts are to be inspected again", due)] if due else []
    return tuple(lines)
