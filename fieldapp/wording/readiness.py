"""The readiness report as lines for a terminal: nothing is computed here."""

import textwrap
from collections.abc import Iterator

import numpy as np

from fieldapp.base.clock import utc_words
from fieldapp.base.said import in_words, listed
from fieldapp.plan.words import SAFETY, force, speed
from fieldapp.reports.parts import STOCK
from fieldapp.reports.readiness import ClassCount, Readiness
from fieldapp.reports.readiness.making import MakeRow, MakingList, class_said
from fieldapp.reports.readiness.outfit import Outfit
from fieldapp.reports.readiness.smaller import smaller_said
from fieldapp.statics.causes import gives_way
from fieldapp.statics.governs import ends_before
from fieldapp.wording.standing import share_text

MOST_NAMED = 12
"""Parts or places named in one line (in no formula)."""

WIDTH = 80
"""Columns of a terminal (in no formula)."""

WHY = {"fills": "there is no part", "eases": "the weaker part bears less", "matches": "lengths match better"}
"""What an exchange is for."""


def readiness_lines(ready: Readiness) -> Iterator[str]:
    """The report for people, no line longer than `WIDTH`."""
    for line in _lines(ready):
        indent = len(line) - len(line.lstrip()) + 2
        yield from textwrap.wrap(line, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False,
                                 replace_whitespace=False, drop_whitespace=True) if len(line) > WIDTH else (line,)


def _lines(ready: Readiness) -> Iterator[str]:
    yield f"{ready.frame}, {ready.way}: {'FIT' if ready.fit else 'NOT FIT'}"
    yield in_words(ready.verdict)
    yield ""
    yield from _round_lines(ready)
    yield from _table(ready)
    yield from _reason_lines(ready)
    yield from _load_lines(ready)
    yield from _exchange_lines(ready)
    yield from _making_lines("To make for empty places", ready.making)
    yield from _mend_lines(ready)
    yield from _emergency_lines(ready)
    yield from _smaller_lines(ready)
    yield from _spare_lines(ready)
    yield ""
    yield SAFETY


def _round_lines(ready: Readiness) -> Iterator[str]:
    if ready.round is None:
        yield "Inspection: no round yet"
    else:
        state = "open" if ready.round.closed is None else f"closed {ready.round.closed:%Y-%m-%d}"
        yield f"Inspection: round \"{ready.round.name}\", opened {ready.round.opened:%Y-%m-%d}, {state}"
    yield ""


def _table(ready: Readiness) -> Iterator[str]:
    yield _row("class", "needed", *(name for name in STOCK if name != "scrapped"), "inspected", "short")
    for count in ready.classes:
        stock = (count.stock[name] for name in STOCK if name != "scrapped")
        yield _row(_class_name(count), count.needed, *stock, count.inspected, count.short or "")


def _row(name: str, *cells: object) -> str:
    """A line of the table, 80 characters wide at most."""
    widths = (7, 6, 6, 12, 7, 8, 5, 10, 6)
    return f"{name:<13}" + "".join(f"{cell!s:>{width}}" for cell, width in zip(cells, widths, strict=True)).rstrip()


def _class_name(count: ClassCount) -> str:
    kind, name = count.key
    return f"{kind} {name}{f' {count.handed}' if count.handed else ''}"


def _reason_lines(ready: Readiness) -> Iterator[str]:
    for reason in ready.reasons:
        yield ""
        yield f"Not fit: {in_words(reason.words)}."
        yield f"  {in_words(reason.what_next)}"
        if reason.places:
            yield f"  Places: {listed(reason.places, most=MOST_NAMED)}"
        if reason.parts:
            yield f"  Parts: {listed(reason.parts, most=MOST_NAMED)}"


def _load_lines(ready: Readiness) -> Iterator[str]:
    worst = ready.outfit.demand.least_borne
    yield ""
    if any(reason.why == "untested" for reason in ready.reasons):
        yield "Limits: unknown, not tested"
        return
    yield (f"Step {worst.step} uses most of what it can take: {share_text(ready.outfit.worst_use)} under 1.35 × "
           f"weight, with the real parts; {in_words(gives_way(worst.bears.governs))}")
    if worst.locked_utilisation > 0.0:
        yield f"Lengths that do not fit lock in up to {share_text(worst.locked_utilisation)}"
    real, sound = ready.outfit.demand, ready.outfit.asked
    push = real.easiest_push
    if np.isfinite(push.push.value) and not ends_before(push.push):
        yield (f"Least push at a hub just placed: {in_words(force(push.push.value))}, {push.hub}, step {push.step}; "
               f"{in_words(gives_way(push.push.governs))} (with sound parts "
               f"{in_words(force(sound.easiest_push.push.value))})")
    if real.wind_m_s is not None and sound.wind_m_s is not None:
        gusts, with_sound = in_words(speed(real.wind_m_s)), in_words(speed(sound.wind_m_s))
        yield f"Bare finished frame: gusts up to {gusts} m/s (with sound parts {with_sound} m/s)"


def _exchange_lines(ready: Readiness) -> Iterator[str]:
    given = ready.outfit.allocation
    yield ""
    if not given.moves:
        yield "New places: none, every part goes where it was meant to go"
        return
    yield f"New places: {len(given.moves)}"
    for sticker in ready.outfit.stickers:
        yield f"  {sticker.words} ({WHY[sticker.why]})"
    yield from _gain_lines(ready.outfit)


def _gain_lines(found: Outfit) -> Iterator[str]:
    """What the exchanges bring, against the fewest and against the best."""
    yield "What that brings: asked ÷ can take, with weight, hands, wind and uneven ground"
    yield f"{'':<22}{'exchanges':>10}{'hardest':>10}{'sum':>10}"
    rows = ("only fill places", found.plain), ("as listed", found.allocation), ("best of all", found.best)
    for name, given in rows:
        yield f"  {name:<20}{len(given.moves):>10}{given.worst:>10.2f}{given.total:>10.1f}"
    if found.gap_before_mm > 0.0:
        yield (f"  closing gaps {found.gap_before_mm:.1f} mm before struts were matched by length, "
               f"{found.gap_mm:.1f} mm after")


def _making_lines(title: str, making: MakingList) -> Iterator[str]:
    if not making.rows:
        return
    yield ""
    yield f"{title}:"
    for row in making.rows:
        places = f", for {listed(row.places, most=MOST_NAMED)}" if row.places else ""
        yield f"  {in_words(row.name)}: {_how(row)}{places}"
    if making.bars:
        yield f"  {making.bars} bar{'' if making.bars == 1 else 's'} of stock"


def _how(row: MakeRow) -> str:
    if row.cut_length_mm is not None:
        return f"cut {row.cut_length_mm:.1f} mm" + (f", {in_words(row.section)}" if row.section else "")
    arms = "; ".join(f"{number} at {azimuth_deg:.1f}° dip {dip_deg:.1f}°" for number, azimuth_deg, dip_deg in row.arms)
    return f"arms {arms}"


def _mend_lines(ready: Readiness) -> Iterator[str]:
    if not ready.mend:
        return
    yield ""
    yield "To mend, to look at again or to find:"
    for part in ready.mend:
        state = "missing" if part.missing else part.condition
        ready_from = f"; usable from {utc_words(part.usable_from)}" if part.usable_from is not None else ""
        defects = "; ".join(map(in_words, part.words)) or "no open defect"
        yield f"  {part.part} ({part.kind} {part.part_class}), {state}: {defects}{ready_from}"


def _emergency_lines(ready: Readiness) -> Iterator[str]:
    if not ready.emergency:
        return
    yield ""
    yield "Forced in from another class:"
    yield from (f"  {in_words(fit.said)}" for fit in ready.emergency)


def _smaller_lines(ready: Readiness) -> Iterator[str]:
    smaller = ready.smaller
    if smaller is None:
        return
    yield ""
    yield (f"With what is there: {in_words(smaller_said(smaller))}, raised {smaller.outfit.plan.way}: it uses "
           f"{share_text(smaller.outfit.worst_use)} of what it can take, {len(smaller.outfit.allocation.moves)} new "
           f"places; no doorway. Its {len(smaller.rim)} ground hubs differ by {smaller.uneven_mm:.0f} mm in height and "
           f"their empty arms reach "
           f"{smaller.below_mm:.0f} mm below them: put blocks of at least that under the lowest, higher ones under "
           f"the others")


def _spare_lines(ready: Readiness) -> Iterator[str]:
    found = ready.spares
    yield ""
    yield (f"Spares: with those that are there the raise is finished with a chance of {found.chance_now:.0%} "
           f"(wanted {found.chance:.0%})")
    if any(row.fitted for row in found.rows):
        yield from (f"  {in_words(class_said((row.kind, row.part_class), row.broke))} broke of {row.fitted} fitted so "
                    f"far" for row in found.rows if row.broke)
    yield from _making_lines("Spares to make", found.making)
