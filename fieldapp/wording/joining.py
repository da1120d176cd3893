"""What joining another laptop's log would bring, as lines for whoever decides about it."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from fieldapp.base.clock import clock_words
from fieldapp.base.said import in_words
from fieldapp.kit.numbering import short_name
from fieldapp.log.entry import Entry, person_said
from fieldapp.log.joining import Review
from fieldapp.log.kinds import KINDS
from fieldapp.log.state import State

MOST = 12
"""Names in a row before the rest is counted (in no formula)."""


def review_lines(found: Review, state: State, now: datetime) -> Iterator[str]:
    """The review, most telling lines first."""
    if not found.new:
        yield "Nothing in it is new here."
        return
    own = state.kit.design.frame.prefix
    first, last = min(entry.at for entry in found.new), max(entry.at for entry in found.new)
    yield (f"{len(found.new)} entries are new here, from {clock_words(first, now)} to {clock_words(last, now)}: "
           f"{_counted(found.new)}.")
    for gap in found.gaps:
        yield f"Not as it was written: {gap}."
    for laptop in found.strangers:
        yield f"Laptop {laptop} is not known here yet. Take in its entries only if you know whose laptop that is."
    for laptop, ms in sorted(found.ahead.items()):
        yield (f"The clock of laptop {laptop} is {_span(abs(ms))} {'ahead of' if ms > 0 else 'behind'} this one's, "
               f"measured against the phones. {'Its entries are put that much earlier.' if ms > 0 else ''}").rstrip()
    if found.both:
        yield f"Both sides wrote about {_named(found.both, own)}: look at these parts before they are used."
    if found.made:
        yield f"Parts made on the other side: {_named(found.made, own)}."
    if found.twice:
        yield (f"Made on both sides, two parts with one ID: {_named(found.twice, own)}. Log one of the two as made "
               "again and give it the label of its new ID; what was written about either is now told of the one.")
    for clash in found.clashes[:MOST]:
        yield f"Finds no room: {in_words(clash.words)}."
    yield from _chief_lines(found.chief_acts, now)


def _chief_lines(acts: tuple[Entry, ...], now: datetime) -> Iterator[str]:
    for entry in acts[:MOST]:
        part = f"{short_name(entry.part)} " if entry.part else ""
        whose = "" if entry.chief or not entry.laptop else ", from a phone that was no chief"
        act = in_words(KINDS[entry.kind].words)
        yield f"Act of the chief: {part}{act} ({clock_words(entry.at, now)}, {in_words(person_said(entry.by))}{whose})."
    if len(acts) > MOST:
        yield f"And {len(acts) - MOST} more acts of the chief."


def _counted(entries: tuple[Entry, ...]) -> str:
    kinds = Counter(in_words(KINDS[entry.kind].words) if entry.kind in KINDS else entry.kind for entry in entries)
    return ", ".join(f"{count} × {words}" for words, count in kinds.most_common())


def _named(parts: tuple[str, ...], own: str) -> str:
    names = [short_name(part, own) for part in parts]
    return ", ".join(names[:MOST]) + (f" and {len(names) - MOST} more" if len(names) > MOST else "")


def _span(ms: int) -> str:
    minutes = ms / 60_000
    if minutes < 90:
        return f"{minutes:.0f} minutes"
    return f"{minutes / 60:.1f} hours" if minutes < 48 * 60 else f"{minutes / 1440:.1f} days"
