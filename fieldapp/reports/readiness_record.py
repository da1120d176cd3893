"""The readiness report as plain values, for JSON: the same facts as in words, nothing computed."""

from datetime import datetime
from typing import Any

from fieldapp.reports.making import MakingList
from fieldapp.reports.outfit import Outfit
from fieldapp.reports.readiness import Readiness
from fieldapp.reports.smaller import SmallerFrame

Plain = dict[str, Any]


def readiness_record(ready: Readiness) -> Plain:
    """The whole report. Infinite numbers are None, lists are in the report's order."""
    return {
        "frame": ready.frame, "way": ready.way, "asked_at": _time(ready.asked_at),
        "fit": ready.fit, "verdict": ready.verdict,
        "round": _round(ready),
        "classes": [{"kind": count.key[0], "class": count.key[1], "handed": count.handed, "needed": count.needed,
                     **count.stock, "inspected": count.inspected, "short": count.short} for count in ready.classes],
        "reasons": [{"why": reason.why, "words": reason.words, "what_next": reason.what_next,
                     "parts": reason.parts, "places": reason.places} for reason in ready.reasons],
        "stages": _stages(ready.outfit),
        "allocation": _allocation(ready.outfit),
        "to_make": _making(ready.making),
        "mend": [{"part": part.part, "condition": part.condition, "missing": part.missing, "defects": part.words,
                  "usable_from": _time(part.usable_from)} for part in ready.mend],
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


def _round(ready: Readiness) -> Plain | None:
    if ready.round is None:
        return None
    return {"name": ready.round.name, "opened": _time(ready.round.opened), "closed": _time(ready.round.closed)}


def _stages(outfit: Outfit) -> list[Plain]:
    return [{"step": stage.step, "hub": stage.hub, "stands": stage.stands, "arm_use": _finite(stage.arm.use),
             "arm": [stage.arm.hub, stage.arm.strut], "tube_use": _finite(stage.tube_use), "tube": stage.tube,
             "locked_use": stage.locked_use} for stage in outfit.demand.stages]


def _allocation(outfit: Outfit) -> Plain:
    given = outfit.allocation
    return {
        "worst_before": _finite(given.before_worst), "worst": given.worst,
        "sum_before": _finite(given.before_total), "sum": given.total,
        "empty_before": given.before_empty, "empty": given.empty,
        "closing_gap_before_mm": outfit.gap_before_mm, "closing_gap_mm": outfit.gap_mm,
        "new_places": [{"part": one.part, "place": one.place, "from": one.before, "instead_of": one.instead_of,
                        "arms": None if one.turn is None else [list(pair) for pair in one.turn.arms]}
                       for one in outfit.stickers],
    }


def _making(making: MakingList) -> Plain:
    return {"bars": making.bars, "parts": [
        {"kind": row.kind, "class": row.part_class, "handed": row.handed, "count": row.count, "places": row.places,
         "cut_length_mm": row.cut_length_mm, "arms": [list(arm) for arm in row.arms]} for row in making.rows]}


def _emergency(ready: Readiness) -> list[Plain]:
    return [{"part": fit.forced.part, "place": fit.forced.place, "off_mm": fit.forced.off_mm,
             "off_deg": fit.forced.off_deg, "locked_use": fit.locked.use, "design_use": fit.design_use,
             "allowed": fit.allowed, "words": fit.words} for fit in ready.emergency]


def _smaller(smaller: SmallerFrame | None) -> Plain | None:
    if smaller is None:
        return None
    return {"name": smaller.name, "hubs": smaller.hubs, "struts": smaller.struts, "uneven_mm": smaller.uneven_mm,
            "arm_use": smaller.outfit.demand.worst_arm.arm.use, "new_places": len(smaller.outfit.allocation.moves)}
