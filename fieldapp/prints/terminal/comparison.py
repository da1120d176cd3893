"""The ways of raising side by side: as lines for a terminal, and as one plain record for other programs."""

import math
from collections.abc import Iterator, Sequence
from itertools import groupby

from fieldapp.base.constants import GAMMA_G
from fieldapp.base.said import in_words, listed
from fieldapp.base.units import m_from_mm
from fieldapp.frame.frame import ShapeWords
from fieldapp.kit.kit import Kit
from fieldapp.plan.bounds import LAG_BY_EYE_MM, MOST_LAG_MM
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import Comparison, WayReport, compare, uses_by_step
from fieldapp.plan.doorway import places_left_out
from fieldapp.plan.kit_fit import level_fit
from fieldapp.plan.out_of_reach import OutOfReach, out_of_reach
from fieldapp.plan.stage_row import MOST_TOLD
from fieldapp.plan.top_lifts import TopLift, top_lifts
from fieldapp.plan.words import SAFETY
from fieldapp.prints.terminal.fit import fit_lines, fit_record, number
from fieldapp.statics.governs import UNTESTED, Governs

MINUTES_PER_HOUR = 60

MANY_OUT_OF_REACH = 12
"""More hubs than this are summed up in one paragraph; their table is in steps.csv."""

FAR_MM = 1000.0
"""Lags and level differences beyond this are no limit that anybody meets; they are shown as this."""

HEADINGS = ("way", "use", "at step", "hold", "people", "loose strut-min", "highest", "time", "verdict")


def everything(kit: Kit) -> tuple[
        list[str], dict[str, object], dict[str, tuple[float, ...]]]:
    """All that is known before a raise, as lines, as plain values and as the picture's: ways, reach, lifts, fit."""
    case = case_of(kit)
    found = compare(kit)
    far = out_of_reach(kit, case)
    if not found.reports[0].tested:
        record = comparison_record(found) | reach_record(far)
        return [*comparison_lines(found), *reach_lines(far, kit.frame.words), "", SAFETY], record, {}
    fit = level_fit(kit)
    lifts, words = tuple(top_lifts(case, places_left_out(kit.frame, kit.design))), kit.frame.words
    return ([*comparison_lines(found), *reach_lines(far, words), *lift_lines(lifts, words),
             *fit_lines(fit, words), "", SAFETY],
            comparison_record(found) | reach_record(far) | lift_record(lifts) | fit_record(fit),
            uses_by_step(found.reports))


def comparison_lines(comparison: Comparison) -> list[str]:
    """The table and the recommendation."""
    rows = [HEADINGS, *(_cells(report) for report in comparison.reports)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADINGS))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    if not comparison.reports[0].tested:
        return [*lines, "", f"Recommended: {comparison.recommended}, by numbers of the nearest material. Uses and "
                            f"limits are unknown: nobody has tested what the parts bear."]
    use = f"Use above 1 breaks; it is of what gives way first, under the weight × {GAMMA_G:g}, without a push."
    best = comparison.report(comparison.recommended)
    if best.judged.breaks:
        return [*lines, "", f"Every way breaks; {best.way} is the least bad. {use}"]
    return [*lines, "", f"Recommended: {best.way}. {use}"]


def _cells(report: WayReport) -> tuple[str, ...]:
    worst, effort = report.judged.worst, report.effort
    use = use_text(worst.worst) if report.tested else "unknown"
    return (report.way, use, str(worst.step), str(effort.holds_at_most),
            str(effort.people), f"{effort.time.loose_strut_minutes:.0f}", f"{m_from_mm(effort.highest_mm):.2f} m",
            hours(effort.time.total_min), in_words(report.verdict))


def use_text(use: float) -> str:
    """A use, never rounded down; one that grows without end as more than ten.

    Examples
    --------
    >>> use_text(0.211), use_text(float("inf"))
    ('0.22', '> 10')
    """
    return f"{math.ceil(100.0 * use - 1e-9) / 100.0:.2f}" if use <= MOST_TOLD else f"> {MOST_TOLD:g}"


def hours(minutes: float) -> str:
    """Minutes as hours and minutes.

    Examples
    --------
    >>> hours(148.0)
    '2 h 28 min'
    """
    whole = math.ceil(minutes - 1e-9)
    return f"{whole // MINUTES_PER_HOUR} h {whole % MINUTES_PER_HOUR:02d} min"


def comparison_record(comparison: Comparison) -> dict[str, object]:
    """The same as plain values, with the use after every step of every way (the picture)."""
    return {
        "recommended": comparison.recommended,
        "ways": [_record(report) for report in comparison.reports],
        "arm_use_by_step": {report.way: [_known(report, row.arm_utilisation_weight) for row in report.judged.rows]
                            for report in comparison.reports},
        "use_by_step": {way: [_known(comparison.report(way), use) for use in uses]
                        for way, uses in uses_by_step(comparison.reports).items()},
        "caution": SAFETY,
    }


def _record(report: WayReport) -> dict[str, object]:
    worst, effort = report.judged.worst, report.effort
    return {
        "way": report.way, "arm_use": _known(report, worst.arm_utilisation_weight),
        "design_use": _known(report, worst.worst),
        "governs": _governs(worst.verdict.governs if report.tested else Governs(UNTESTED)),
        "worst_step": worst.step, "worst_strut": worst.weakest.strut, "worst_hub": worst.weakest.hub,
        "breaks": report.judged.breaks, "holds_at_most": effort.holds_at_most,
        "hold_minutes": round(effort.time.hold_minutes, 1), "people": effort.people,
        "loose_strut_minutes": round(effort.time.loose_strut_minutes, 1), "highest_mm": round(effort.highest_mm),
        "out_of_reach": list(effort.out_of_reach), "minutes": round(effort.time.total_min, 1),
        "steps": len(report.judged.plan.steps), "falls_if_let_go": list(report.falls_if_let_go),
        "verdict": in_words(report.verdict),
    }


def _governs(governs: Governs | None) -> dict[str, str] | None:
    """What gives way first, and where."""
    return None if governs is None else {"what": governs.what, "strut": governs.strut, "hub": governs.hub}


def _known(report: WayReport, use: float) -> float | None:
    """A use; none where nobody has tested the parts."""
    return number(use) if report.tested else None


def way_lines(report: WayReport) -> Iterator[str]:
    """One way step by step: what goes in, who holds what, what to stand on, what to mind."""
    yield f"{report.way}: {in_words(report.verdict)}"
    for step in report.judged.plan.steps:
        struts = ", ".join(insertion.strut for insertion in step.struts) or "no strut"
        held = f"; hold {', '.join(step.holds)}" if step.holds else ""
        carried = f"; carry at {', '.join(step.carried_at)}" if step.carried_at else ""
        yield f"{step.number:4d}  {step.hub} with {struts}{held}{carried}; stand on {in_words(step.stand_on)}"
        if step.cautions:
            yield f"      {' '.join(map(in_words, step.cautions))}"


def reach_lines(far: Sequence[OutOfReach], words: ShapeWords) -> Iterator[str]:
    """Hubs out of reach, those with the same answer together, with what can be done about it; many in one summary."""
    if len(far) > MANY_OUT_OF_REACH:
        yield ""
        yield from _many_out_of_reach(far, words)
        return
    together: dict[tuple[str, ...], list[str]] = {}
    for hub in far:
        together.setdefault(tuple(_ways_out(hub, words)), []).append(hub.hub)
    for told, hubs in together.items():
        yield ""
        yield f"Out of reach: {listed(hubs, most=6)}, {told[0]}"
        yield from (f"  {line}" for line in told[1:])


def _many_out_of_reach(far: Sequence[OutOfReach], words: ShapeWords) -> Iterator[str]:
    """All hubs by name, as runs, and the answers of the lowest, the highest and the weakest."""
    lowest, highest = far[0], far[-1]
    weakest = max(far, key=lambda hub: (hub.without.use, hub.hub))
    yield (f"Out of reach: {len(far)} hubs, {', '.join(_runs(sorted(hub.hub for hub in far)))}, from "
           f"{m_from_mm(lowest.height_mm):.2f} to {m_from_mm(highest.height_mm):.2f} m up; from what the crew "
           f"stands on everybody reaches {m_from_mm(lowest.reach_mm):.2f} m.")
    yield (f"  Platforms of {m_from_mm(lowest.platform_mm):.2f} m for the lowest to "
           f"{m_from_mm(highest.platform_mm):.2f} m for the highest would do.")
    yield from (f"  {line}" for line in _piece_lines(lowest, words))
    yield f"  Or leave one of them out; the weakest answer is that of {weakest.hub}: {weakest.without.words}."


def _runs(names: Sequence[str]) -> Iterator[str]:
    """Names in order, neighbours in number as "H120 to H135".

    Examples
    --------
    >>> list(_runs(["H07", "H08", "H09", "H12"]))
    ['H07 to H09', 'H12']
    """
    for _, run in groupby(enumerate(names), key=lambda pair: int(pair[1][1:]) - pair[0]):
        found = [name for _, name in run]
        yield found[0] if len(found) == 1 else f"{found[0]} to {found[-1]}"


def _ways_out(hub: OutOfReach, words: ShapeWords) -> Iterator[str]:
    """Height and reach, then one line for each alternative."""
    yield (f"{m_from_mm(hub.height_mm):.2f} m up; from what the crew stands on everybody reaches "
           f"{m_from_mm(hub.reach_mm):.2f} m.")
    yield f"A platform of {m_from_mm(hub.platform_mm):.2f} m would do."
    yield from _piece_lines(hub, words)
    yield f"Or leave one of them out: {hub.without.words}."


def _piece_lines(hub: OutOfReach, words: ShapeWords) -> Iterator[str]:
    for piece in hub.pieces:
        yield (f"Or set on a {words.top} piece of {len(piece.struts)} struts: {piece.mass_kg:.1f} kg, "
               f"{piece.lifters} to lift by mass, joints up to {m_from_mm(piece.join_height_mm):.2f} m.")


def lift_lines(lifts: Sequence[TopLift], words: ShapeWords) -> Iterator[str]:
    """What lifting the top at its rim takes."""
    yield ""
    for lift in lifts:
        every = lift.at[-1]
        fewest = "no number of lifters is enough"
        if lift.fewest is not None:
            fewest = f"at least {len(lift.fewest.lifters)} lifters"
        yield (f"Lifting the {words.top} from {words.numbered.format(n=lift.level)} up ({len(lift.hubs)} hubs, "
               f"{lift.mass_kg:.0f} kg): {fewest}, evenly spaced, within {LAG_BY_EYE_MM:g} mm; at all "
               f"{len(every.lifters)} rim hubs its use is {use_text(every.use)}, {_behind(every.lag.value)}.")


def _behind(lag_mm: float) -> str:
    """How far one lifter may lag; beyond what lifters see of each other no number is told."""
    if lag_mm >= MOST_LAG_MM:
        return f"it bears more lag than the {MOST_LAG_MM:.0f} mm within which lifters see each other"
    return f"nobody more than {math.floor(lag_mm)} mm behind"


def lift_record(lifts: Sequence[TopLift]) -> dict[str, object]:
    """The same as plain values, for every number of lifters."""
    return {"crown_lifts": [
        {"ring": lift.level, "hubs": len(lift.hubs), "mass_kg": round(lift.mass_kg, 1),
         "fewest_lifters": None if lift.fewest is None else len(lift.fewest.lifters),
         "at": [{"lifters": len(way.lifters), "design_use": number(way.use), "governs": _governs(way.bears.governs),
                 "lag_mm": round(min(way.lag.frame.value, FAR_MM), 1)} for way in lift.at]} for lift in lifts]}


def reach_record(far: Sequence[OutOfReach]) -> dict[str, object]:
    """The same as plain values."""
    return {"out_of_reach": [
        {"hub": hub.hub, "height_mm": round(hub.height_mm), "reach_mm": round(hub.reach_mm),
         "platform_mm": round(hub.platform_mm),
         "crown_pieces": [{"struts": len(piece.struts), "mass_kg": round(piece.mass_kg, 2), "lifters": piece.lifters,
                           "join_height_mm": round(piece.join_height_mm)} for piece in hub.pieces],
         "left_out": {"stands": hub.without.stands, "design_use": number(hub.without.use),
                      "design_use_with": number(hub.without.use_with), "governs": _governs(hub.without.governs),
                      "wind_m_s": hub.without.wind_m_s, "wind_m_s_with": hub.without.wind_m_s_with}}
        for hub in far]}
