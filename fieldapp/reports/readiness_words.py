"""The readiness report as lines for a terminal and as a JSON record: the same facts, nothing computed."""

from collections.abc import Iterator
from typing import Any

from fieldapp.plan.words import SAFETY
from fieldapp.reports.making import MakeRow, MakingList, class_words
from fieldapp.reports.readiness import ClassCount, Readiness, smaller_words
from fieldapp.reports.usable import STOCK

MOST_NAMED = 12
"""Parts or places named in one line."""


def readiness_lines(ready: Readiness) -> Iterator[str]:
    """The report for people."""
    yield f"{ready.frame}, {ready.way}: {'FIT' if ready.fit else 'NOT FIT'}"
    yield ready.verdict
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


def named(names: tuple[str, ...]) -> str:
    """The first names, and how many more there are."""
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


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
    widths = (7, 6, 6, 12, 7, 8, 10, 6)
    return f"{name:<15}" + "".join(f"{cell!s:>{width}}" for cell, width in zip(cells, widths, strict=True)).rstrip()


def _class_name(count: ClassCount) -> str:
    kind, name = count.key
    return f"{kind} {name}{f' {count.handed}' if count.handed else ''}"


def _reason_lines(ready: Readiness) -> Iterator[str]:
    for reason in ready.reasons:
        yield ""
        yield f"Not fit: {reason.words}."
        yield f"  {reason.what_next}"
        if reason.places:
            yield f"  Places: {named(reason.places)}"
        if reason.parts:
            yield f"  Parts: {named(reason.parts)}"


def _load_lines(ready: Readiness) -> Iterator[str]:
    arm, tube = ready.outfit.demand.worst_arm, ready.outfit.demand.worst_tube
    yield ""
    yield (f"Most used arm: {arm.arm.use:.2f} of what it can take, at {arm.arm.hub} on {arm.arm.strut}, "
           f"step {arm.step} (1.35 × weight, with the real parts)")
    yield f"Most used strut: {tube.tube_use:.2f}, {tube.tube}, step {tube.step}"
    if arm.locked_use > 0.0:
        yield f"Lengths that do not fit lock in up to {arm.locked_use:.2f}"


def _exchange_lines(ready: Readiness) -> Iterator[str]:
    given = ready.outfit.allocation
    yield ""
    if not given.moves:
        yield "New places: none, every part goes where it was meant to go"
        return
    yield f"New places: {len(given.moves)} (worst ratio {_before(given.before_worst)} before, {given.worst:.2f} after)"
    if ready.outfit.gap_before_mm > 0.0:
        yield f"  closing gaps {ready.outfit.gap_before_mm:.1f} mm before, {ready.outfit.gap_mm:.1f} mm after"
    yield from (f"  {sticker.words}" for sticker in ready.outfit.stickers)


def _before(worst: float) -> str:
    return f"{worst:.2f}" if worst != float("inf") else "unusable parts"


def _making_lines(title: str, making: MakingList) -> Iterator[str]:
    if not making.rows:
        return
    yield ""
    yield f"{title}:"
    for row in making.rows:
        yield f"  {row.name}: {_how(row)}" + (f", for {named(row.places)}" if row.places else "")
    if making.bars:
        yield f"  {making.bars} bar{'' if making.bars == 1 else 's'} of stock"


def _how(row: MakeRow) -> str:
    if row.cut_length_mm is not None:
        return f"cut {row.cut_length_mm:.1f} mm"
    arms = "; ".join(f"{number} at {azimuth_deg:.1f}° dip {dip_deg:.1f}°" for number, azimuth_deg, dip_deg in row.arms)
    return f"arms {arms}"


def _mend_lines(ready: Readiness) -> Iterator[str]:
    if not ready.mend:
        return
    yield ""
    yield "To mend, to look at again or to find:"
    for part in ready.mend:
        state = "missing" if part.missing else part.condition
        ready_from = f"; usable from {part.usable_from:%Y-%m-%d %H:%M} UTC" if part.usable_from is not None else ""
        yield f"  {part.part} ({part.kind} {part.part_class}), {state}: {'; '.join(part.words) or 'no open defect'}" \
              f"{ready_from}"


def _emergency_lines(ready: Readiness) -> Iterator[str]:
    if not ready.emergency:
        return
    yield ""
    yield "Forced in from another class:"
    yield from (f"  {fit.words}" for fit in ready.emergency)


def _smaller_lines(ready: Readiness) -> Iterator[str]:
    smaller = ready.smaller
    if smaller is None:
        return
    worst = smaller.outfit.demand.worst_arm
    yield ""
    yield (f"With what is there: {smaller_words(smaller)}, most used arm {worst.arm.use:.2f}, "
           f"{len(smaller.outfit.allocation.moves)} new places; no doorway; its {len(smaller.rim)} ground hubs differ "
           f"by {smaller.uneven_mm:.0f} mm in height: block up the high ones")


def _spare_lines(ready: Readiness) -> Iterator[str]:
    found = ready.spares
    yield ""
    yield (f"Spares: with those that are there the raise is finished with a chance of {found.chance_now:.0%} "
           f"(wanted {found.chance:.0%})")
    if any(row.fitted for row in found.rows):
        yield from (f"  {class_words((row.kind, row.part_class), row.broke)} broke of {row.fitted} fitted so far"
                    for row in found.rows if row.broke)
    yield from _making_lines("Spares to make", found.making)


def readiness_record(ready: Readiness) -> dict[str, Any]:
    """The report as plain values, for JSON. Infinite numbers are None."""
    given, smaller = ready.outfit.allocation, ready.smaller
    return {
        "frame": ready.frame, "way": ready.way, "asked_at": ready.asked_at.isoformat(timespec="seconds"),
        "fit": ready.fit, "verdict": ready.verdict,
        "round": None if ready.round is None else {
            "name": ready.round.name, "opened": ready.round.opened.isoformat(),
            "closed": None if ready.round.closed is None else ready.round.closed.isoformat()},
        "classes": [{"kind": count.key[0], "class": count.key[1], "handed": count.handed, "needed": count.needed,
                     **count.stock, "inspected": count.inspected, "short": count.short} for count in ready.classes],
        "reasons": [{"why": reason.why, "words": reason.words, "what_next": reason.what_next,
                     "parts": reason.parts, "places": reason.places} for reason in ready.reasons],
        "stages": [{"step": stage.step, "hub": stage.hub, "stands": stage.stands, "arm_use": _finite(stage.arm.use),
                    "arm": [stage.arm.hub, stage.arm.strut], "tube_use": _finite(stage.tube_use), "tube": stage.tube,
                    "locked_use": stage.locked_use} for stage in ready.outfit.demand.stages],
        "allocation": {
            "worst_before": _finite(given.before_worst), "worst": given.worst, "empty_before": given.before_empty,
            "empty": given.empty, "closing_gap_before_mm": ready.outfit.gap_before_mm,
            "closing_gap_mm": ready.outfit.gap_mm,
            "sum_before": _finite(given.before_total), "sum": given.total,
            "new_places": [{"part": one.part, "place": one.place, "from": one.before, "instead_of": one.instead_of,
                            "arms": None if one.turn is None else [list(pair) for pair in one.turn.arms]}
                           for one in ready.outfit.stickers]},
        "to_make": _making_record(ready.making),
        "emergency": [{"part": fit.forced.part, "place": fit.forced.place, "off_mm": fit.forced.off_mm,
                       "off_deg": fit.forced.off_deg, "locked_use": fit.locked.use, "design_use": fit.design_use,
                       "allowed": fit.allowed, "words": fit.words} for fit in ready.emergency],
        "smaller": None if smaller is None else {
            "name": smaller.name, "hubs": smaller.hubs, "struts": smaller.struts, "uneven_mm": smaller.uneven_mm,
            "arm_use": smaller.outfit.demand.worst_arm.arm.use,
            "new_places": len(smaller.outfit.allocation.moves)},
        "spares": {"chance": ready.spares.chance, "chance_now": ready.spares.chance_now,
                   "to_make": _making_record(ready.spares.making)},
        "mend": [{"part": part.part, "condition": part.condition, "missing": part.missing, "defects": part.words,
                  "usable_from": None if part.usable_from is None else part.usable_from.isoformat()}
                 for part in ready.mend],
        "labels_gone": ready.labels_gone,
    }


def _finite(value: float) -> float | None:
    return value if abs(value) != float("inf") else None


def _making_record(making: MakingList) -> dict[str, Any]:
    return {"bars": making.bars, "parts": [
        {"kind": row.kind, "class": row.part_class, "handed": row.handed, "count": row.count, "places": row.places,
         "cut_length_mm": row.cut_length_mm, "arms": [list(arm) for arm in row.arms]} for row in making.rows]}
