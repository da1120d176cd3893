"""Rules for days and whereabouts: a kit is given to one place for a day, never to two."""

from datetime import timedelta

from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds_dates import MovedData, WantedData
from fieldapp.log.rules.terms import Admitted, Asked
from fieldapp.log.wanted import days_said

LONGEST = timedelta(days=366)
"""More days than that in one entry are a slip of the finger; our choice."""


def wanted(asked: Asked, data: WantedData) -> Admitted | Refusal:
    """Days that are not over, in order, and given to nobody else."""
    if data.last < data.first:
        return refuse("days_reversed", "the last day, {last}, is before the first, {first}.",
                      "Change one of them and send again.", first=data.first.isoformat(), last=data.last.isoformat())
    if data.last - data.first >= LONGEST:
        return refuse("too_long", "{days} are more than a year.", "Give the days of one occasion.",
                      days=days_said(data.first, data.last))
    if data.last < asked.now.date():
        return refuse("days_over", "{days} are over.", "Give days to come.", days=days_said(data.first, data.last))
    other = next((one for one in asked.state.wanted if one.meets(data.first, data.last)), None)
    if other is not None:
        return refuse("given_already", "the kit is given to {where} for {days} already ({said}).",
                      "Choose other days or another kit, or take that entry back first.", where=other.where,
                      days=days_said(other.first, other.last), said=asked.when_and_who(other.key))
    return Admitted(data=data)


def moved(asked: Asked, data: MovedData) -> Admitted | Refusal:
    """A frame that stands does not travel; whether a log goes on elsewhere the chief says."""
    if data.own_log and not asked.request.chief:
        return refuse("chief_only", "whether the kit's log goes along is the chief's to say.",
                      "Ask the chief, or enter the pass phrase.")
    if asked.state.fitted and asked.state.where and data.where.casefold() != asked.state.where.casefold():
        return refuse("stands", "the frame stands at {where}, with {n} of its parts.", "Take it down first.",
                      where=asked.state.where, n=len(asked.state.fitted))
    return Admitted(data=data)
