"""Tables of a way of raising for other programs: its steps and its stages, as CSV.

Lengths to 1 mm, level tolerances and displacements to 0.1 mm, forces to 0.1 N, uses to 0.001, wind to
0.1 m/s; limits are rounded down. Lists are separated by spaces; an empty field means no limit or no
answer. The same kit gives the same bytes.
"""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from fieldapp.base.csv_text import Row, csv_text
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import Case
from fieldapp.plan.judge import Judged, wind_limits_m_s
from fieldapp.plan.order import chosen_winds_m_s, judged_plan
from fieldapp.plan.plan import Plan

STEPS = ("step", "hub", "ring", "struts", "waits_for", "holds", "height_mm", "reachable", "push_limit_n")
STAGES = ("step", "hubs", "struts", "mechanisms", "self_stress", "holds", "arm_use_weight", "arm_use_push",
          "level_tolerance_mm", "wind_limit_m_s", "max_displacement_mm")

LARGEST_LEVEL_MM = 1000.0
"""No ground is so uneven under one frame: beyond it the field stays empty."""


def write_plan_tables(case: Case, judged: Judged, folder: Path) -> None:
    """Write `steps.csv` and `stages.csv` of a judged way into `folder`, each whole or not at all.

    Raises
    ------
    KitError
        If the folder cannot be written.
    """
    _write(plan_tables(judged, wind_limits_m_s(case, judged.plan)), folder)


def write_chosen_tables(kit: Kit, folder: Path) -> None:
    """The same for the way that the design chooses."""
    _write(plan_tables(judged_plan(kit, kit.design), chosen_winds_m_s(kit, kit.design)), folder)


def _write(tables: dict[str, str], folder: Path) -> None:
    for name, text in tables.items():
        write_atomic(folder / name, text.encode())


def plan_tables(judged: Judged, winds: Sequence[float | None]) -> dict[str, str]:
    """The text of both tables by file name; `winds` holds the wind limit of every stage [m/s]."""
    return {"steps.csv": csv_text(STEPS, step_rows(judged.plan)),
            "stages.csv": csv_text(STAGES, stage_rows(judged, winds))}


def step_rows(plan: Plan) -> Iterator[Row]:
    """One row a step, in order."""
    for step in plan.steps:
        yield (step.number, step.hub, step.ring, " ".join(insertion.strut for insertion in step.struts),
               " ".join(step.waits_for), " ".join(step.holds), round(step.height_mm),
               "yes" if step.reachable else "no", _down(step.push_limit_n, 1))


def stage_rows(judged: Judged, winds_m_s: Sequence[float | None]) -> Iterator[Row]:
    """One row a stage, in the order of the steps."""
    for row, wind_m_s in zip(judged.rows, winds_m_s, strict=True):
        yield (row.step, row.hubs, row.struts, row.mechanisms, row.self_stress, " ".join(row.holds),
               _use(row.arm_use_weight), _use(row.arm_use_push), _down(row.level_tolerance_mm, 1, LARGEST_LEVEL_MM),
               _down(wind_m_s, 1), f"{row.max_displacement_mm:.1f}")


def _use(use: float) -> str:
    return f"{use:.3f}"


def _down(limit: float | None, digits: int, most: float = math.inf) -> str:
    """A limit rounded down; empty if there is none, or none that anybody meets."""
    if limit is None or math.isinf(limit) or limit > most:
        return ""
    return f"{math.floor(limit * 10**digits + 1e-9) / 10**digits:.{digits}f}"
