"""A checklist to start from, for the materials of a design: what tends to go wrong with each.

Limits without a published source say "common practice": trade knowledge, to be replaced by the user's own.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import MISSING, fields
from pathlib import Path

from fieldapp.base.materials import material
from fieldapp.base.moisture import FIBRE_SATURATION_PERCENT, PAPER_DRY_PERCENT, WOOD_CLASS_PERCENT
from fieldapp.frame.design import Design
from fieldapp.frame.struts import StrutSection, table_of
from fieldapp.kit import checklist_lines as ours
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.checklist import Check, Checklist
from fieldapp.kit.checklist_file import CHECKS_FILE
from fieldapp.kit.seen_again import KEYS as LIMITS
from fieldapp.kit.seen_again import SEEN_AGAIN

PRACTICE = ours.PRACTICE.template
SWELLING = {"paper": 0.01, "timber": 0.03}
"""Part of the diameter by which an end may have swollen [1].
Source: common practice, no source. Test: tests/kit/test_checklist.py"""

OPENING = f"""\
# What the inspector looks at. Edit it as you like; raisebook make never writes over it.
#
# Each [[strut]] or [[hub]] is one line of the list for that kind of part, each [[label]] one for every part.
#   item       short name
#   look       how to look, as an order to a newcomer
#   critical   true: a part that fails is quarantined at once; false (or left out): it is watched
#   each       "arm" (hubs) or "end" (struts): a failure then names which one
#   when       "in doubt": may be left out on a part that looks sound; left out means always
#   unit       the line asks for a number in this unit; left out means pass or fail
#   at_least, at_most   limits of the number
#   counts_as  "length": the statics use the measured length, and the limits are differences from the cut length
#              "moisture": the statics take off strength: paper 10 % for each 1 % above {PAPER_DRY_PERCENT:g} %, wood
#              by k_mod of the service class that the moisture belongs to
#   source     where the line and its limits come from
#
# A round keeps the list that it was opened with: what is changed here counts from the next round.
#
# [seen_again] says after what an inspection is old, so that the part is to be seen again: whichever comes first. Once
# serve is started again it counts for rounds that are open or over too; no raise that has begun is stopped by it.
#   months     so many months after it was looked at (1 to 60)
#   wettings   so many times that it was logged as soaked, or as come in wet, since (1 to 100)
#   raises     so many raises in which it was fitted since (1 to 100); the one that is running counts when it has ended
#   hours      so many hours that it stood since, in raises that are over (1 to 20000)
# 1 is the strictest, and 0 is not allowed; a line that is left out counts as 12 months, 1 wetting, 1 raise, 1000 hours.
#
# The list is a guide. It does not replace a competent person, local rules or the makers' instructions."""


def write_checks(folder: Path, design: Design) -> Path | None:
    """Write `checks.toml` into a kit's folder unless it has one; the path if it was written.

    Raises
    ------
    KitError
        If the disk does not allow it.
    """
    path = folder / CHECKS_FILE
    if path.exists():
        return None
    write_atomic(path, checks_text(default_checks(design)).encode())
    return path


def default_checks(design: Design) -> Checklist:
    """The lines that suit this design's materials."""
    label = Check(*ours.LABEL.texts, PRACTICE)
    return Checklist(hub=tuple(_hub_lines(design)), strut=tuple(_strut_lines(design)), label=(label,))


def checks_text(checklist: Checklist) -> str:
    """The text of a file that reads back as `checklist`."""
    lines = [OPENING, "", f"[{SEEN_AGAIN}]",
             *(f"{key} = {getattr(checklist.seen_again, key)}" for key in LIMITS)]
    for name, checks in (("strut", checklist.strut), ("hub", checklist.hub), ("label", checklist.label)):
        for check in checks:
            lines += ["", f"[[{name}]]", *_keys(check)]
    return "\n".join(lines) + "\n"


def _keys(check: Check) -> Iterator[str]:
    for field in fields(Check):
        value = getattr(check, field.name)
        if field.default is MISSING or value != field.default:
            yield f"{field.name} = {_toml(value)}"


def _toml(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return json.dumps(value, ensure_ascii=False)


def _strut_lines(design: Design) -> Iterator[Check]:
    """Biggest first; what one section asks is asked of all, and the strictest limit counts."""
    sections = design.used_sections
    families = {material(strut.material).family for strut in sections}
    damp = [strut for strut in sections if material(strut.material).family in DAMP]
    yield Check(*ours.STRAIGHT.texts, PRACTICE, critical=True)
    if families & {"timber", "plywood"}:
        yield Check(*ours.SPLITS.texts, PRACTICE, critical=True)
    if "paper" in families:
        yield Check(*ours.SOFT_SPOTS.texts, PRACTICE, critical=True)
        yield Check(*ours.SEAM.texts, PRACTICE, critical=True)
    if families & {"steel", "aluminium"}:
        yield Check(*ours.CRACKS_AND_RUST.texts, PRACTICE, critical=True)
    for line in design.hub.held_by.inspection.ends:
        yield Check(line.item, line.look, PRACTICE, critical=line.critical, each="end" if line.each else None)
    yield Check(*ours.DENTS.texts, PRACTICE, critical=families != {"timber"})
    least = min(sections, key=lambda strut: strut.length_error_mm)
    yield Check(*ours.LENGTH.texts, f"design.toml: {table_of(getattr(least, 'name', ''))}.length_error_mm",
                when="in doubt", unit="mm", at_least=-least.length_error_mm, at_most=least.length_error_mm,
                counts_as="length")
    if damp:
        yield _swelling(damp, alike=len({strut.outer_mm for strut in sections}) == 1)
        yield min((_moisture(design, strut.material) for strut in damp), key=lambda check: check.at_most or 0.0)


DAMP = ("timber", "plywood", "paper")
"""Families that swell and lose strength when damp (in no formula)."""


def _swelling(damp: Sequence[StrutSection], *, alike: bool) -> Check:
    """End diameter against the design's; of several diameters, by how much an end is thicker than it was made."""
    allowed_mm = [strut.outer_mm * SWELLING.get(material(strut.material).family, SWELLING["timber"]) for strut in damp]
    if not alike:
        return Check(*ours.END_SWELLING.texts, PRACTICE, each="end", when="in doubt", unit="mm",
                     at_most=round(min(allowed_mm), 1))
    share = min(SWELLING.get(material(strut.material).family, SWELLING["timber"]) for strut in damp)
    return Check(*ours.END_DIAMETER.texts, PRACTICE, each="end",
                 when="in doubt", unit="mm", at_most=round(damp[0].outer_mm * (1.0 + share), 1))


def _hub_lines(design: Design) -> Iterator[Check]:
    """Biggest first."""
    inspection = design.hub.held_by.inspection
    for line in inspection.hub:
        yield Check(line.item, line.look, PRACTICE, critical=line.critical, each="arm" if line.each else None)
    if inspection.arms:
        yield from _arm_lines(design)
    yield Check(*ours.BOLT_HOLES.texts, PRACTICE, critical=True)
    yield Check(*ours.MARKS.texts, PRACTICE)
    if material(design.hub.material).family in ("timber", "plywood", "paper"):
        yield _moisture(design, design.hub.material)


def _arm_lines(design: Design) -> Iterator[Check]:
    """Of arms that are the hub's own."""
    if material(design.hub.material).family in ("steel", "aluminium"):
        yield Check(*ours.ARM_CRACKS.texts, PRACTICE, critical=True, each="arm")
        yield Check(*ours.BENT_ARMS.texts, PRACTICE, critical=True, each="arm")
    else:
        yield Check(*ours.GRAIN_CRACKS.texts, PRACTICE, critical=True, each="arm")
        yield Check(*ours.LAYERS.texts, PRACTICE, critical=True, each="arm")
    yield Check(*ours.LOOSENESS.texts, PRACTICE, critical=True, each="arm")
    if design.hub.plies > 1:
        yield Check(*ours.GLUE_LINES.texts, PRACTICE, critical=True)


def _moisture(design: Design, name: str) -> Check:
    """Up to what the design's service class reckons with."""
    if material(name).family == "paper":
        limit, source = PAPER_DRY_PERCENT, "Correa, Structural Engineering International 14, 2004"
    elif design.raising.service_class == 3:
        limit, source = FIBRE_SATURATION_PERCENT, PRACTICE
    else:
        limit = WOOD_CLASS_PERCENT[design.raising.service_class - 1]
        source = ours.SERVICE_CLASSES[design.raising.service_class - 1].template
    return Check(*ours.MOISTURE.texts, source, when="in doubt", unit="%", at_most=limit, counts_as="moisture")
