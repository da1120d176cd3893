"""Every limit of a way of raising as a table for engineers: what the frame bears, what gives way, where, under what."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fieldapp.base.csv_text import Cells
from fieldapp.plan.judge import Judged
from fieldapp.plan.limits import LIMITS
from fieldapp.statics.causes import is_untested
from fieldapp.statics.governs import LAG, SPREAD, UNTESTED, WEIGHT, Governs, Limit, ends_before
from fieldapp.statics.wind import WindLimit

HEADS = ("step", "kind", "at", "value", "unit", "governs", "where", "under", "feet_taken", "told", "joints")
WITH_FIT = "own weight, fit"
"""The verdict in the one frame of twenty into which tolerances lock most (in no formula)."""
UNITS = {WEIGHT: "times 1.35 x weight", WITH_FIT: "times 1.35 x weight", SPREAD: "mm",
         **{kind.name: kind.unit for kind in LIMITS.values()}}


def limit_rows(judged: Judged, winds: Sequence[WindLimit | None]) -> Iterator[Cells]:
    """One row a limit, step by step: the verdict of the stage, pushes, free ends, uneven ground or lag, hubs that are
    spread, wind.

    `told` is what crews are told: the number, what ends before the frame does, or nothing. `joints` says whether what
    pulls joints apart is in it.
    """
    for step, row, wind in zip(judged.plan.steps, judged.rows, winds, strict=True):
        level = () if row.level.kind == LAG else (row.level,)
        beside = row.with_fit if row.with_fit != row.verdict else None
        fit = (replace(beside, kind=WITH_FIT),) if beside else ()
        # on the ground hubs are shifted, nothing is spread
        spread = (item.spread_limit for item in step.struts if item.spread_limit and item.spread_limit.governs)
        for limit in (row.verdict, *fit, *step.limits, *level, *spread, *((wind,) if wind else ())):
            known = limit if step.strength_tested or limit.value < 1.0 else \
                replace(limit, governs=Governs(UNTESTED), beyond=None)
            yield (step.number, *_cells(known), "tested" if step.joints_tested else "not tested")


def _cells(limit: Limit) -> Cells:
    bound = limit.frame
    governs = bound.governs or Governs("")
    if is_untested(limit):
        return limit.kind, limit.at, "", UNITS[limit.kind], governs.what, "", "", "", "unknown: not tested"
    told = limit.governs.what if ends_before(limit) and limit.governs else _number(limit.value)
    return (limit.kind, limit.at, _number(bound.value), UNITS[limit.kind], governs.what,
            " ".join(filter(None, (governs.hub, governs.strut))), governs.under, governs.taken, told)


def _number(value: float) -> str:
    """Four figures, so that rounding never promises more by much; empty where nothing gives way."""
    if math.isinf(value):
        return ""
    size = 10.0 ** (3 - math.floor(math.log10(value))) if value > 0 else 1.0
    return f"{math.floor(value * size + 1e-6) / size:.10g}"
