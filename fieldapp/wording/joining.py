"""What joining another laptop's log would bring, as lines for whoever decides about it."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from fieldapp.base.clock import clock_words
from fieldapp.base.said import Number, Row, Said, Value, in_words, say
from fieldapp.kit.numbering import short_name
from fieldapp.log.entry import Entry, person_said
from fieldapp.log.joining import Review
from fieldapp.log.kinds import KINDS
from fieldapp.log.state import State
from fieldapp.log.wanted import days_said

MOST = 12
"""Names in a row before the rest is counted (in no formula)."""


@dataclass(frozen=True, slots=True)
class ReviewLine:
    """One thing that joining would bring."""

    look: Literal["new", "stop", "mind"]
    """What comes in; what keeps it out, or finds no room; what to look at."""
    said: Said


def review_lines(found: Review, state: State, now: datetime) -> Iterator[str]:
    """The review, most telling lines first."""
    yield from (in_words(line.said) for line in review_said(found, state, now))


def review_said(found: Review, state: State, now: datetime) -> Iterator[ReviewLine]:
    """The same before it is put into words."""
    if not found.new:
        yield ReviewLine("new", say("Nothing in it is new here."))
        return
    own = state.kit.design.frame.prefix
    first, last = min(entry.at for entry in found.new), max(entry.at for entry in found.new)
    yield ReviewLine("new", say(
        "{n} entries are new here, from {first} to {last}: {counted}.", n=len(found.new),
        first=clock_words(first, now), last=clock_words(last, now), counted=_counted(found.new)))
    for gap in found.gaps:
        yield ReviewLine("stop", say("Not as it was written: {gap}.", gap=str(gap)))
    for laptop in found.strangers:
        yield ReviewLine("mind", say("Laptop {laptop} is not known here yet. Take in its entries only if you know "
                                     "whose laptop that is.", laptop=laptop))
    yield from (ReviewLine("mind", _clock(laptop, ms)) for laptop, ms in sorted(found.ahead.items()))
    yield from _no_room(found, state, own)
    if found.made:
        yield ReviewLine("new", say("Parts made on the other side: {parts}.", parts=_named(found.made, own)))
    yield from (ReviewLine("mind", said) for said in _chief_lines(found.chief_acts, now, own))


def _no_room(found: Review, state: State, own: str) -> Iterator[ReviewLine]:
    """Contradictions: days given twice first, then what both sides wrote about."""
    entries = {entry.key: entry for entry in (*state.entries, *found.new)}
    days, rest = ([clash for clash in found.clashes if (entries[clash.key].kind == "wanted") is given]
                  for given in (True, False))
    for clash in days[:MOST]:
        data = entries[clash.key].data
        yield ReviewLine("stop", say(
            "Days refused: {days}, {where}: {why}.", where=str(data.get("where", "?")), why=clash.words,
            days=days_said(str(data.get("first", "?")), str(data.get("last", "?")))))
    if found.both:
        yield ReviewLine("mind", say("Both sides wrote about {parts}: look at these parts before they are used.",
                                     parts=_named(found.both, own)))
    if found.twice:
        yield ReviewLine("stop", say(
            "Made on both sides, two parts with one ID: {parts}. Log one of the two as made again and give it the "
            "label of its new ID; what was written about either is now told of the one.",
            parts=_named(found.twice, own)))
    for clash in rest[:MOST]:
        yield ReviewLine("stop", say("Finds no room: {why}.", why=clash.words))
    if len(days) > MOST or len(rest) > MOST:
        yield ReviewLine("stop", say("And {n} more that find no room.",
                                     n=max(0, len(days) - MOST) + max(0, len(rest) - MOST)))


def _clock(laptop: str, ms: int) -> Said:
    if ms > 0:
        return say("The clock of laptop {laptop} is {span} ahead of this one's, measured against the phones. Its "
                   "entries are put that much earlier.", laptop=laptop, span=_span(ms))
    return say("The clock of laptop {laptop} is {span} behind this one's, measured against the phones.", laptop=laptop,
               span=_span(-ms))


def _chief_lines(acts: tuple[Entry, ...], now: datetime, own: str) -> Iterator[Said]:
    for entry in acts[:MOST]:
        words = KINDS[entry.kind].words
        act: Value = say("{id} {act}", id=short_name(entry.part, own), act=words) if entry.part else words
        values = {"act": act, "time": clock_words(entry.at, now), "who": person_said(entry.by)}
        yield say("Act of the chief: {act} ({time}, {who}).", **values) if entry.chief or not entry.laptop else \
            say("Act of the chief: {act} ({time}, {who}, from a phone that was no chief).", **values)
    if len(acts) > MOST:
        yield say("And {n} more acts of the chief.", n=len(acts) - MOST)


def _counted(entries: tuple[Entry, ...]) -> Row:
    kinds = Counter(entry.kind for entry in entries)
    return Row(tuple(say("{n} × {what}", n=count, what=KINDS[kind].words if kind in KINDS else kind)
                     for kind, count in kinds.most_common()))


def _named(parts: tuple[str, ...], own: str) -> Value:
    names = Row(tuple(short_name(part, own) for part in parts[:MOST]))
    return say("{names} and {n} more", names=names, n=len(parts) - MOST) if len(parts) > MOST else names


def _span(ms: int) -> Said:
    minutes = ms / 60_000
    if minutes < 90:
        return say("{n} minutes", n=Number(minutes))
    return say("{n} hours", n=Number(minutes / 60, 1)) if minutes < 48 * 60 else \
        say("{n} days", n=Number(minutes / 1440, 1))
