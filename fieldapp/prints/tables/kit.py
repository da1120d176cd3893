"""Tables of a kit for other programs: struts, hubs, arms, parts and the cutting plan, as CSV.

Lengths to 0.01 mm, angles to 0.001°, masses to 1 g; UTF-8, commas, one line a row. The same kit gives
the same bytes.
"""

from collections.abc import Iterator
from pathlib import Path

from fieldapp.base.csv_text import Row, csv_text
from fieldapp.frame.frame import Frame
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.cutting import CuttingPlan
from fieldapp.kit.kit import Kit

STRUTS = ("place", "part", "class", "end_1_hub", "end_1_arm", "end_2_hub", "end_2_arm", "centre_length_mm",
          "cut_length_mm")
HUBS = ("place", "part", "class", "mirror_class", "ring", "x_mm", "y_mm", "z_mm", "arm_count")
ARMS = ("hub", "arm", "strut", "end", "azimuth_deg", "dip_deg")
PARTS = ("part", "kind", "class", "made_for", "cut_length_mm", "mass_kg")
CUTTING = ("pattern", "bars", "class", "pieces_per_bar", "cut_length_mm", "offcut_mm")


def write_tables(kit: Kit, cutting: CuttingPlan, folder: Path) -> None:
    """Write all tables into `folder`, each whole or not at all.

    Raises
    ------
    KitError
        If the folder cannot be written.
    """
    for name, text in tables(kit, cutting).items():
        write_atomic(folder / name, text.encode())


def tables(kit: Kit, cutting: CuttingPlan) -> dict[str, str]:
    """The text of each table by file name."""
    return {
        "struts.csv": csv_text(STRUTS, strut_rows(kit)),
        "hubs.csv": csv_text(HUBS, hub_rows(kit)),
        "arms.csv": csv_text(ARMS, arm_rows(kit.frame)),
        "parts.csv": csv_text(PARTS, part_rows(kit)),
        "cutting.csv": csv_text(CUTTING, cutting_rows(kit, cutting)),
    }


def strut_rows(kit: Kit) -> Iterator[Row]:
    """One row for each strut place, by number."""
    for place in kit.frame.struts:
        part = kit.by_place[place.name]
        yield (place.name, part.id, place.strut_class, place.end_1.hub, place.end_1.arm, place.end_2.hub,
               place.end_2.arm, _fixed(place.centre_length_mm, 2), _fixed(part.cut_length_mm, 2))


def hub_rows(kit: Kit) -> Iterator[Row]:
    """One row for each hub place, by number; mirror_class is empty where a hub is its own mirror image."""
    mirrors = {hub_class.name: hub_class.mirror or "" for hub_class in kit.frame.hub_classes}
    for hub, position_mm in zip(kit.frame.hubs, kit.frame.nodes_mm.tolist(), strict=True):
        yield (hub.name, kit.by_place[hub.name].id, hub.hub_class, mirrors[hub.hub_class], hub.ring,
               *(_fixed(value, 2) for value in position_mm), len(hub.arms))


def arm_rows(frame: Frame) -> Iterator[Row]:
    """One row for each arm, by hub and arm number."""
    for hub in frame.hubs:
        for arm in hub.arms:
            azimuth_deg = round(arm.azimuth_deg, 3) % 360.0
            yield hub.name, arm.number, arm.strut, arm.end, _fixed(azimuth_deg, 3), _fixed(arm.dip_deg, 3)


def part_rows(kit: Kit) -> Iterator[Row]:
    """One row for each part, spares too (made for no place), hubs first."""
    for part in kit.parts:
        yield (part.id, part.kind, part.part_class, part.made_for or "", _fixed(part.cut_length_mm, 2),
               _fixed(part.mass_kg, 3))


def cutting_rows(kit: Kit, cutting: CuttingPlan) -> Iterator[Row]:
    """One row for each length in each pattern; spares are included."""
    lengths_mm = {part.part_class: part.cut_length_mm for part in kit.parts if part.kind == "strut"}
    for number, pattern in enumerate(cutting.patterns, start=1):
        for name, count in pattern.pieces:
            yield number, pattern.bars, name, count, _fixed(lengths_mm[name], 2), _fixed(pattern.offcut_mm, 2)


def _fixed(value: float | None, digits: int) -> str:
    """A number with so many decimals, never minus zero; empty for None."""
    return "" if value is None else f"{round(value, digits) + 0.0:.{digits}f}"
