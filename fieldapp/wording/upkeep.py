"""Upkeep over all kits in words, for page, terminal and table."""

from collections.abc import Iterator, Mapping
from datetime import datetime

from fieldapp.base.clock import date_words
from fieldapp.base.csv_text import csv_text
from fieldapp.base.said import Number, Row, Said, Share, Value, in_words, say, say_n
from fieldapp.kit.kit import Kit
from fieldapp.reports.readiness.making import class_said, handed_of
from fieldapp.reports.upkeep.due import Due
from fieldapp.reports.upkeep.pooled import PooledClass
from fieldapp.reports.upkeep.winter import KitUpkeep, Upkeep, WinterRow

MOST_TOLD = 6
"""Falls of a survival curve that are told (in no formula)."""


def due_said(found: Due) -> Iterator[Said]:
    """What of a kit is to be inspected, and when."""
    counted = (
        (found.never, say_n("{n} part was not looked at in the latest round",
                            "{n} parts were not looked at in the latest round", found.never)),
        (found.by_time, say_n("{n} part is due by time", "{n} parts are due by time", found.by_time)),
        (found.by_wetting, say_n("{n} part is due since it got wet", "{n} parts are due since they got wet",
                                 found.by_wetting)),
        (found.by_raises, say_n("{n} part is due since it was raised", "{n} parts are due since they were raised",
                                found.by_raises)),
        (found.by_hours, say_n("{n} part is due by hours standing", "{n} parts are due by hours standing",
                               found.by_hours)))
    yield from (said for count, said in counted if count)
    if not found.never and not found.now:
        yield say("Nothing is due now.")
    if found.next_day is not None:
        yield say("Next due by time: {day}", day=found.next_day.isoformat())


def used_said(found: Due) -> Said:
    """What the kit went through."""
    return say("Raises: {raises}; got wet: {wettings} times; stood at most {hours} h", raises=found.raises,
               wettings=found.wettings, hours=Number(found.stood_h))


def make_said(kit: Kit, row: WinterRow) -> Said:
    """So many parts of a class: for places, and as spares."""
    what = class_said(row.key, row.make, handed_of(kit, row.key))
    if not row.lacking:
        return say("{what} as spares; there are {have}", what=what, have=row.spares)
    return say("{what}: {lacking} for places, {more} as spares", what=what, lacking=row.lacking, more=row.more)


def chance_said(found: KitUpkeep) -> Said:
    """The chance now, and with what is to be made."""
    if not found.chance_now:
        return say("Places lack parts. With all that is made: {then} that the next raise can be finished.",
                   then=_chance(found.chance_then))
    if not any(row.make for row in found.rows):
        return say("Nothing to make: {now} that the next raise can be finished.", now=_chance(found.chance_now))
    return say("That the next raise can be finished: {now} now, {then} with all that is made.",
               now=_chance(found.chance_now), then=_chance(found.chance_then))


def _chance(value: float) -> Share:
    """Rounded down, so that no chance is told better than it is."""
    return Share(int(value * 100.0) / 100.0)


def members_said(one: PooledClass, kits: Mapping[str, Kit]) -> Row:
    """Which classes of which kits are one make."""
    return Row(tuple(Row((name, class_name(one.kind, key[1])), " ") for name, key in one.members if name in kits))


def class_name(kind: str, name: str) -> Said:
    """One class."""
    return say("hub {name}", name=name) if kind == "hub" else say("strut {name}", name=name)


def rate_said(one: PooledClass) -> Said:
    """How often parts of it break, with the interval; or too few to say."""
    seen = say("{broke} of {fitted} fitted broke", broke=one.broke, fitted=one.fitted)
    if one.rate is None:
        return say("{seen}: too few to say", seen=seen)
    return say("{seen}: likely {likely} in a hundred, between {low} and {high}", seen=seen,
               likely=Number(one.rate.likely, 1), low=Number(one.rate.low, 1), high=Number(one.rate.high, 1))


def lasting_said(one: PooledClass) -> Said:
    """How long parts of it last, with intervals; or too few to say."""
    if not one.lasting:
        return say("how long they last: too few broke to say")
    told: tuple[Value, ...] = tuple(
        say_n("{share} after {n} raise ({low} to {high})", "{share} after {n} raises ({low} to {high})", at.raises,
              share=Share(at.share), low=Share(at.low), high=Share(at.high)) for at in one.lasting[:MOST_TOLD])
    return say("still whole: {shares}", shares=Row(told))


def upkeep_lines(found: Upkeep, kits: Mapping[str, Kit], now: datetime) -> Iterator[str]:
    """For the terminal: what to make, what is due, how parts last."""
    yield in_words(say("Upkeep on {day}. Wanted for each kit: {chance} that its next raise can be finished.",
                       day=date_words(now), chance=Share(found.chance)))
    for kit in found.kits:
        yield f"\n{kit.called}"
        if kit.away:
            yield f"  {in_words(say('Its log is away: this is as it left.'))}"
        yield from (f"  {in_words(said)}" for said in (
            chance_said(kit), *(make_said(kits[kit.name], row) for row in kit.rows if row.make), *due_said(kit.due),
            used_said(kit.due)))
    yield f"\n{in_words(say('How parts last, by the history of all kits of one make (nine of ten times within)'))}"
    for one in found.classes:
        yield f"  {in_words(members_said(one, kits))}: {in_words(rate_said(one))}; {in_words(lasting_said(one))}"


def upkeep_csv(found: Upkeep) -> str:
    """Every class of every kit: what is there, what to make, what was seen of it in all kits of one make."""
    of = {member: one for one in found.classes for member in one.members}
    rows = []
    for kit in found.kits:
        for row in kit.rows:
            one = of[kit.name, row.key]
            rate = one.rate
            rows.append((kit.name, *row.key, row.lacking, row.spares, row.more, row.make,
                         f"{kit.chance_now:.4f}", f"{kit.chance_then:.4f}", one.fitted, one.broke,
                         *(("", "", "") if rate is None else
                           (f"{rate.likely:.3f}", f"{rate.low:.3f}", f"{rate.high:.3f}"))))
    return csv_text(("kit", "kind", "class", "lacking", "spares", "spares_to_add", "to_make", "chance_now",
                     "chance_then", "fitted_pooled", "broke_pooled", "breakages_in_100", "low_5", "high_95"), rows)
