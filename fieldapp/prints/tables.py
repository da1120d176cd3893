"""Tables for other programs, as CSV: struts, hubs, arms, parts and cutting plan of a kit; steps and stages of a way.

UTF-8, commas, one line a row; the same kit gives the same bytes. Of a kit lengths to 0.01 mm, angles to 0.001°, masses
to 1 g. Of a way lengths to 1 mm, level tolerances and displacements to 0.1 mm, forces to 0.1 N, uses to 0.001, wind to
0.1 m/s; limits are rounded down. Lists are separated by spaces; an empty field means no limit or no answer.
"""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from fieldapp.base.csv_text import Cells, csv_text
from fieldapp.frame.frame import Frame
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.cutting import CuttingPlans
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import Case
from fieldapp.plan.judge import Judged, wind_limits
from fieldapp.plan.limits import LIMITS
from fieldapp.plan.order import chosen_winds, judged_plan
from fieldapp.plan.plan import Plan
from fieldapp.statics.governs import UNTESTED, Bound, Governs, Limit
from fieldapp.statics.wind import WindLimit

STRUTS = ("place", "part", "class", "end_1_hub", "end_1_arm", "end_2_hub", "end_2_arm", "centre_length_mm",
          "cut_length_mm")
HUBS = ("place", "part", "class", "mirror_class", "ring", "x_mm", "y_mm", "z_mm", "arm_count")
ARMS = ("hub", "arm", "strut", "end", "azimuth_deg", "dip_deg")
PARTS = ("part", "kind", "class", "made_for", "cut_length_mm", "mass_kg", "carries")
CUTTING = ("pattern", "bars", "class", "pieces_per_bar", "cut_length_mm", "offcut_mm")

STEPS = ("step", "hub", "ring", "struts", "waits_for", "holds", "height_mm", "reachable")
STAGES = ("step", "hubs", "struts", "mechanisms", "self_stress", "holds", "arm_use_weight",
          "level_tolerance_mm", "wind_limit_m_s", "max_displacement_mm", "small_rotations",
          "design_weight_borne",
          *(f"{kind}_{part}" for kind in ("weight", "level", "wind") for part in ("governs", "where")))
FEET = ("step", "foot", "pegged", "press_n", "pull_n", "sideways_n", "must_hold_up_n", "must_hold_sideways_n", "under",
        "wind_from_deg", "lifts", "slips")
LIMIT_COLUMNS = {kind.name: kind.column for kind in LIMITS.values() if kind.column}
"""Kinds of limit that the table of steps holds, with their columns; each is followed by what governs it, and where."""


def write_tables(kit: Kit, cutting: CuttingPlans, folder: Path) -> None:
    """Write all tables into `folder`, each whole or not at all.

    Raises
    ------
    KitError
        If the folder cannot be written.
    """
    for name, text in tables(kit, cutting).items():
        write_atomic(folder / name, text.encode())


def tables(kit: Kit, cutting: CuttingPlans) -> dict[str, str]:
    """The text of each table by file name."""
    return {
        "struts.csv": csv_text((*STRUTS, *_section_head(kit), *_drawn_head(kit)), strut_rows(kit)),
        "hubs.csv": csv_text(HUBS, hub_rows(kit)),
        "arms.csv": csv_text(ARMS, arm_rows(kit.frame)),
        "parts.csv": csv_text(PARTS, part_rows(kit)),
        "cutting.csv": csv_text((*CUTTING, *_section_head(kit)), cutting_rows(kit, cutting)),
    }


def _section_head(kit: Kit) -> tuple[str, ...]:
    """The head of a last column, where struts have more than the section of [strut]."""
    return ("section",) if any(kit.frame.sections) else ()


def _section(kit: Kit, letter: str) -> tuple[str, ...]:
    """What stands in it: the name of [struts.NAME], empty for [strut]."""
    return (kit.frame.strut_class(letter).section,) if any(kit.frame.sections) else ()


def _drawn_head(kit: Kit) -> tuple[str, ...]:
    """The head of another column, where the drawing has names of its own for classes."""
    return ("drawn_as",) if any(each.drawn_as for each in kit.frame.strut_classes) else ()


def _drawn(kit: Kit, letter: str) -> tuple[str, ...]:
    """What stands in it."""
    return (kit.frame.strut_class(letter).drawn_as,) if _drawn_head(kit) else ()


def strut_rows(kit: Kit) -> Iterator[Cells]:
    """One row for each strut place, by number."""
    for place in kit.frame.struts:
        part = kit.by_place[place.name]
        yield (place.name, part.id, place.strut_class, place.end_1.hub, place.end_1.arm, place.end_2.hub,
               place.end_2.arm, _fixed(place.centre_length_mm, 2), _fixed(part.cut_length_mm, 2),
               *_section(kit, place.strut_class), *_drawn(kit, place.strut_class))


def hub_rows(kit: Kit) -> Iterator[Cells]:
    """One row for each hub place, by number; mirror_class is empty where a hub is its own mirror image."""
    mirrors = {hub_class.name: hub_class.mirror or "" for hub_class in kit.frame.hub_classes}
    for hub, position_mm in zip(kit.frame.hubs, kit.frame.nodes_mm.tolist(), strict=True):
        yield (hub.name, kit.by_place[hub.name].id, hub.hub_class, mirrors[hub.hub_class], hub.level,
               *(_fixed(value, 2) for value in position_mm), len(hub.arms))


def arm_rows(frame: Frame) -> Iterator[Cells]:
    """One row for each arm, by hub and arm number."""
    for hub in frame.hubs:
        for arm in hub.arms:
            azimuth_deg = round(arm.azimuth_deg, 3) % 360.0
            yield hub.name, arm.number, arm.strut, arm.end, _fixed(azimuth_deg, 3), _fixed(arm.dip_deg, 3)


def part_rows(kit: Kit) -> Iterator[Cells]:
    """One row for each part, spares too (made for no place), hubs first."""
    for part in kit.parts:
        yield (part.id, part.kind, part.part_class, part.made_for or "", _fixed(part.cut_length_mm, 2),
               _fixed(part.mass_kg, 3), part.alias)


def cutting_rows(kit: Kit, cutting: CuttingPlans) -> Iterator[Cells]:
    """One row for each length in each pattern; spares are included."""
    lengths_mm = {part.part_class: part.cut_length_mm for part in kit.parts if part.kind == "strut"}
    patterns = [pattern for _, plan in cutting.by_section for pattern in plan.patterns]
    for number, pattern in enumerate(patterns, start=1):
        for name, count in pattern.pieces:
            yield (number, pattern.bars, name, count, _fixed(lengths_mm[name], 2), _fixed(pattern.offcut_mm, 2),
                   *_section(kit, name))


def _fixed(value: float | None, digits: int) -> str:
    """A number with so many decimals, never minus zero; empty for None."""
    return "" if value is None else f"{round(value, digits) + 0.0:.{digits}f}"


def write_plan_tables(case: Case, judged: Judged, folder: Path) -> None:
    """Write `steps.csv`, `stages.csv` and `feet.csv` of a judged way into `folder`, each whole or not at all.

    Raises
    ------
    KitError
        If the folder cannot be written.
    """
    _write(plan_tables(judged, wind_limits(case, judged)), folder)


def write_chosen_tables(kit: Kit, folder: Path) -> None:
    """The same for the way that the design chooses."""
    _write(plan_tables(judged_plan(kit), chosen_winds(kit)), folder)


def _write(tables: dict[str, str], folder: Path) -> None:
    for name, text in tables.items():
        write_atomic(folder / name, text.encode())


def plan_tables(judged: Judged, winds: Sequence[WindLimit | None]) -> dict[str, str]:
    """The text of each table by file name; `winds` holds the wind limit of every stage.

    Numbers are what the frame bears, also where hands or eyes end first and pages tell only that.
    """
    return {"steps.csv": csv_text((*STEPS, *_limit_heads()), step_rows(judged.plan)),
            "stages.csv": csv_text(STAGES, stage_rows(judged, winds)),
            "feet.csv": csv_text(FEET, foot_rows(judged))}


def _limit_heads() -> Iterator[str]:
    """Three columns a kind of limit: what the frame bears, what gives way then, where."""
    for kind, column in LIMIT_COLUMNS.items():
        yield from (column, f"{kind.replace(' ', '_')}_governs", f"{kind.replace(' ', '_')}_where")


def step_rows(plan: Plan) -> Iterator[Cells]:
    """One row a step, in order."""
    for step in plan.steps:
        limits = (cell for kind in LIMIT_COLUMNS for cell in _least(step.limits_of(kind)))
        yield (step.number, step.hub, step.level, " ".join(insertion.strut for insertion in step.struts),
               " ".join(step.waits_for), " ".join(step.holds), round(step.height_mm),
               _yes(step.reachable), *limits)


def stage_rows(judged: Judged, winds: Sequence[WindLimit | None]) -> Iterator[Cells]:
    """One row a stage, in the order of the steps."""
    for row, step, wind in zip(judged.rows, judged.plan.steps, winds, strict=True):
        tested = step.strength_tested
        bears = row.verdict.frame if tested or row.breaks else Bound(math.inf, Governs(UNTESTED))
        yield (row.step, row.hubs, row.struts, row.mechanisms, row.self_stress, " ".join(row.holds),
               _use(row.arm_utilisation_weight) if tested else "",
               _bound(row.level.frame, 1), "" if wind is None else _down(wind.speed_m_s, 1),
               f"{row.max_displacement_mm:.1f}", _yes(row.small_rotations), _down(bears.value, 3), *_governs(bears),
               *_governs(row.level.frame), *(_governs(wind.frame) if wind else ("", "")))


def foot_rows(judged: Judged) -> Iterator[Cells]:
    """One row for each foot that stands at each stage: what it does to the ground, and what must hold it; forces up."""
    for one in judged.feet:
        pegged = one.foot in {foot.hub for foot in judged.plan.held_before(int(one.stage))}
        yield (one.stage, one.foot, _yes(pegged), _up(one.press_n), _up(one.pull_n), _up(one.sideways_n),
               _up(one.must_hold_up_n), _up(one.must_hold_side_n), one.under,
               "" if one.from_deg is None else f"{one.from_deg:.0f}", _yes(one.lifts), _yes(one.slips))


def _yes(is_so: object) -> str:
    return "yes" if is_so else "no"


def _up(force_n: float) -> str:
    """A force rounded up to 0.1 N."""
    return f"{math.ceil(10.0 * force_n - 1e-9) / 10.0:.1f}"


def _least(limits: Sequence[Limit]) -> tuple[str, str, str]:
    """What the frame bears at the least of them, rounded down, what gives way there, and where; empty if none."""
    least = min((limit.frame for limit in limits), key=lambda bound: bound.value, default=None)
    return ("", "", "") if least is None else (_bound(least, 1), *_governs(least))


def _governs(bound: Bound) -> tuple[str, str]:
    """What gives way there, and the hub and strut of it; empty where nothing does."""
    governs = bound.governs
    return ("", "") if governs is None else (governs.what, " ".join(filter(None, (governs.hub, governs.strut))))


def _use(use: float) -> str:
    return f"{use:.3f}"


def _bound(bound: Bound, digits: int) -> str:
    """Its number rounded down; empty where nobody has tested it."""
    return "" if bound.governs and bound.governs.what == UNTESTED else _down(bound.value, digits)


def _down(limit: float | None, digits: int) -> str:
    """A limit rounded down; empty if there is none."""
    if limit is None or math.isinf(limit):
        return ""
    return f"{math.floor(limit * 10**digits + 1e-9) / 10**digits:.{digits}f}"
