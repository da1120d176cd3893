"""The readiness report as plain values, for JSON: the same facts as in words, nothing computed."""

from datetime import datetime
from typing import Any

from fieldapp.base.said import in_words
from fieldapp.kit.allocate import Allocation
from fieldapp.reports.readiness import Readiness
from fieldapp.reports.readiness.making import MakingList
from fieldapp.reports.readiness.outfit import Outfit
from fieldapp.reports.readiness.smaller import SmallerFrame
from fieldapp.reports.standing.demand import Demand

PlainRecord = dict[str, Any]


def readiness_record(ready: Readiness) -> PlainRecord:
    """The whole report. Infinite numbers are None, lists are in the report's order.

    Returns
    -------
    dict
        Keys stay as they are; new ones may come. Lengths in mm, angles in degrees, pushes in N, gusts in m/s; uses
        and shares as parts of 1; times as ISO 8601. In order: frame, way, asked_at, fit (true also where
        only exchanges are left to do), verdict · round (name, opened,
        closed; null if there was none) · classes (needed, sound, watch, quarantined, drying, missing, scrapped,
        inspected, short) · reasons (why: untested (nobody has tested what parts bear), parts, falls, arm, tube,
        "gives way" (what else does under the weight), inspection or again (its inspection is old); words, what_next,
        parts, places) ·
        stages (arm_use under 1.35 × weight with what is locked in, tube_use, locked_use, weight_borne: times 1.35 ×
        weight until anything gives way, push_limit_n at the hub) ·
        limits (real and sound: least_push_n at hub in step, wind_m_s of the bare finished frame) · allocation
        (worst and sum of asked ÷ can take, the same with the fewest exchanges and at best, closing gaps, new_places
        with why: fills, eases or matches) · to_make, and in spares (chance, chance_now) as well · mend · emergency ·
        smaller (null if none is needed or stands) · labels_gone.
    """
    return {
        "frame": ready.frame, "way": ready.way, "asked_at": _time(ready.asked_at),
        "fit": ready.fit, "verdict": in_words(ready.verdict),
        "round": _round(ready),
        "classes": [{"kind": count.key[0], "class": count.key[1], "handed": count.handed, "needed": count.needed,
                     **count.stock, "inspected": count.inspected, "short": count.short} for count in ready.classes],
        "reasons": [{"why": reason.why, "words": in_words(reason.words),
                     "what_next": in_words(reason.what_next),
                     "parts": reason.parts, "places": reason.places} for reason in ready.reasons],
        "stages": _stages(ready.outfit), "limits": _limits(ready.outfit),
        "allocation": _allocation(ready.outfit),
        "to_make": _making(ready.making),
        "mend": [{"part": part.part, "condition": part.condition, "missing": part.missing,
                  "defects": [in_words(said) for said in part.words], "usable_from": _time(part.usable_from)}
                 for part in ready.mend],
        "emergency": _emergency(ready),
        "smaller": _smaller(ready.smaller),
        "spares": {"chance": ready.spares.chance, "chance_now": ready.spares.chance_now,
                   "to_make": _making(ready.spares.making)},
        "labels_gone": ready.labels_gone,
    }


def _time(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat(timespec="seconds")


def _finite(value: float) -> float | None:
    return value if abs(value) != float("inf") else None


def _round(ready: Readiness) -> PlainRecord | None:
    if ready.round is None:
        return None
    return {"name": ready.round.name, "opened": _time(ready.round.opened), "closed": _time(ready.round.closed)}


def _stages(outfit: Outfit) -> list[PlainRecord]:
    return [{"step": stage.step, "hub": stage.hub, "stands": stage.stands, "arm_use": _finite(stage.arm.utilisation),
             "arm": [stage.arm.hub, stage.arm.strut], "tube_use": _finite(stage.tube_utilisation), "tube": stage.tube,
             "locked_use": stage.locked_utilisation, "weight_borne": _finite(stage.bears.value),
             "push_limit_n": _finite(stage.push.frame.value)}
            for stage in outfit.demand.stages]


def _allocation(outfit: Outfit) -> PlainRecord:
    given = outfit.allocation
    return {
        "worst": given.worst, "sum": given.total, "empty": given.empty, "empty_before": given.before_empty,
        "fewest_exchanges": _compared(outfit.plain), "best": _compared(outfit.best),
        "closing_gap_before_mm": outfit.gap_before_mm, "closing_gap_mm": outfit.gap_mm,
        "new_places": [{"part": one.part, "place": one.place, "from": one.before, "instead_of": one.instead_of,
                        "why": one.why,
                        "arms": None if one.turn is None else [list(pair) for pair in one.turn.arms]}
                       for one in outfit.stickers],
    }


def _compared(given: Allocation) -> PlainRecord:
    return {"exchanges": len(given.moves), "worst": given.worst, "sum": given.total}


def _limits(outfit: Outfit) -> PlainRecord:
    """Of the real parts, and of sound ones."""
    def of(found: Demand) -> PlainRecord:
        push = found.easiest_push
        return {"least_push_n": _finite(push.push.frame.value), "hub": push.hub, "step": push.step,
                "wind_m_s": found.wind_m_s}

    return {"real": of(outfit.demand), "sound": of(outfit.asked)}


def _making(making: MakingList) -> PlainRecord:
    return {"bars": making.bars, "parts": [
        {"kind": row.kind, "class": row.part_class, "handed": row.handed, "count": row.count, "places": row.places,
         "cut_length_mm": row.cut_length_mm, "arms": [list(arm) for arm in row.arms]} for row in making.rows]}


def _emergency(ready: Readiness) -> list[PlainRecord]:
    return [{"part": fit.forced.part, "place": fit.forced.place, "off_mm": fit.forced.off_mm,
             "off_deg": fit.forced.off_deg, "locked_use": fit.locked.utilisation, "design_use": fit.design_utilisation,
             "allowed": fit.allowed, "words": in_words(fit.said)} for fit in ready.emergency]


def _smaller(smaller: SmallerFrame | None) -> PlainRecord | None:
    if smaller is None:
        return None
    return {"name": in_words(smaller.name), "hubs": smaller.hubs, "struts": smaller.struts,
            "uneven_mm": smaller.uneven_mm, "below_mm": smaller.below_mm, "way": smaller.outfit.plan.way,
            "arm_use": smaller.outfit.demand.worst_arm.arm.utilisation,
            "new_places": len(smaller.outfit.allocation.moves)}
