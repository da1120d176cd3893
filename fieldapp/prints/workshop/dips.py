"""What a flat hub asks of its maker: where the dip comes from, how to pack for it and measure it; its template."""

import math
from collections.abc import Iterator, Sequence

from fieldapp.base.numbers import decimal, percent, shortest
from fieldapp.base.words import _
from fieldapp.frame.design import Design
from fieldapp.frame.struts import table_of
from fieldapp.kit.building.plug import LEAST_CHEEK_MM, bore_needed_mm, cheek_mm
from fieldapp.kit.building.record import Building
from fieldapp.kit.hub_sizes import (
    DROP_OVER_MM,
    HubSizes,
    bending_strain,
    hub_sizes,
    run_together,
)
from fieldapp.kit.kit import Kit
from fieldapp.prints.common import EDGE_MM, HEAD_MM, SheetPageMaker, WorkshopSheet, finished, ruler
from fieldapp.prints.workshop.drawn import has_outline
from fieldapp.prints.workshop.pictures import true_size
from fieldapp.prints.workshop.turns import Blank
from fieldapp.statics.make import hub_material
from fieldapp.wording.place import handed_words
from labels.page import Mark, Page, PageItem, Picture
from labels.page_text import BODY_MM, SMALL_MM, fitting_size_mm, heading_bar
from labels.pieces import Words

TEMPLATE_SIDE_MM = 6.0
"""Margin of templates at the sides: a printer leaves about 4 mm blank [mm].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""
RULER_MM = 14.0
RULER_LENGTH_MM = 100


def dip_points(blanks: Sequence[Blank], kit: Kit) -> Iterator[str]:
    """Where the dip comes from, in sentences."""
    design = kit.design
    workshop = design.hub.held_by.workshop
    yield from (_(text).format(reach=shortest(design.hub.reach_mm)) for text in workshop.dips)
    if not workshop.sheet:
        return
    sizes = hub_sizes(design)
    steep = max(blanks, key=lambda blank: max(blank.dips_deg))
    yield _("The blank is flat, but every strut dips inward from the hub's face by the angle in the tables. A flat arm "
            "has no dip of its own: give it by packing or by a slot cut askew, not by force.")
    for name, of in zip(kit.frame.sections, kit.struts, strict=True):
        words = _packing(Building(design.model_copy(update={"strut": of}), kit.frame))
        yield from words if len(kit.struts) == 1 else (f"[{table_of(name)}] {each}" for each in words)
    yield _("Columns \"at end\" and \"at tip\": how far the strut's axis lies outside the middle of the sheet, at the "
            "strut's end and at the arm's tip. With a minus it lies inside.")
    if not run_together(steep, sizes):
        yield from _bending(steep, sizes, design)
    yield _("The struts' axes meet {mm} mm outside the middle of the sheet (class {name}). All lengths are counted "
            "from there, so make all hubs the same way.").format(
        mm=decimal(sizes.meeting_mm(steep)), name=steep.hub_class.name)


def _packing(of: Building) -> Iterator[str]:
    """Wedges in a tube, or a slot in a pole; what does not fit is said on the first page."""
    strut, sizes = of.design.strut, of.sizes
    if strut.wall_mm is None:
        yield _("Solid poles: saw a slot {width} mm wide and {deep} mm deep into the end, not along the pole but askew "
                "by the dip: over its depth it runs off by the length in column \"wedge\".").format(
            width=shortest(sizes.thickness_mm), deep=decimal(sizes.insertion_mm))
        if (cheek := cheek_mm(of, sizes)) >= LEAST_CHEEK_MM:
            yield _("That leaves {mm} mm of wood beside the slot where it is thinnest: bind or sleeve the end against "
                    "splitting, and break some such joints before you trust them.").format(mm=decimal(cheek, 1))
        return
    bore, need = strut.outer_mm - 2 * strut.wall_mm, bore_needed_mm(of, sizes)
    yield _("Tubes: glue a wedge on each face of the inserted arm. Outer face: thick at the strut's end, thin at the "
            "arm's tip. Inner face: the other way round. Each tapers by the length in column \"wedge\".")
    if need <= bore:
        yield _("An arm needs {need} mm of bore, the tubes have {bore} mm: it fits with its packing.").format(
            need=decimal(need, 1), bore=decimal(bore, 1))


def _bending(blank: Blank, sizes: HubSizes, design: Design) -> Iterator[str]:
    """What bending the arm instead would do to it."""
    material = hub_material(design)
    strain = bending_strain(blank, sizes, design.hub.ply_mm)
    breaks = material.bending_mpa / material.youngs_modulus_mpa
    words = _("Do not bend arms into place: over their free length the face of a layer would stretch by {strain}; "
              "{material} breaks at about {breaks} (bending strength over stiffness), so that is more than it bears.") \
        if strain > breaks else \
        _("Do not bend arms into place: over their free length the face of a layer would stretch by {strain}; "
          "{material} breaks at about {breaks} (bending strength over stiffness), so that is {share} of what it bears, "
          "and missing ever after when somebody leans on it.")
    yield words.format(strain=percent(strain, 1), material=_(material.name), breaks=percent(breaks, 1),
                       share=percent(strain / breaks))


def measure_points(design: Design) -> Iterator[str]:
    """How to measure what was made."""
    flat = design.hub.held_by.workshop.sheet
    lay = _("Directions: lay the printed template on the hub, centre on centre, up on up.")
    gauge = _("Dips: set a bevel gauge to the axial angle: that is the angle between strut and the hub's own axis, on "
              "the inner side.")
    if flat:
        lay += " " + _("Or measure between the middles of neighbouring strut ends: column \"ends apart\".")
        gauge = _("Or set a bevel gauge to the axial angle: that is the angle between strut and the hub's own axis, on "
                  "the inner side.")
    yield lay
    if flat:
        yield _straight_edge(design)
    yield gauge
    yield _("Check the first hub of every class with all its struts, then every tenth, then the last.")


def _straight_edge(design: Design) -> str:
    """How a dip is measured on a flat hub."""
    slack = DROP_OVER_MM * math.tan(math.radians(design.hub.angle_error_deg))
    return _("Dips: push a strut home. Stand a straight edge on two equal blocks on the hub's outer face, so that it "
             "runs above the strut. Measure down to the strut at two places {apart} mm apart. The second is larger by "
             "the length in column \"drop\"; {slack} mm more or less is what the design allows ({angle}).").format(
        apart=decimal(DROP_OVER_MM), slack=decimal(slack, 1), angle=shortest(design.hub.angle_error_deg, "°"))


def template_maker(blank: Blank, *, first: bool) -> SheetPageMaker:
    """The page of one class; the first one is the bookmark of all."""
    def make(sheet: WorkshopSheet, number: int) -> Page:
        width, height = sheet.paper_mm
        left, top = TEMPLATE_SIDE_MM, EDGE_MM + HEAD_MM
        window = (width - 2 * left, height - EDGE_MM - HEAD_MM - RULER_MM - top - 10.0)
        drawing, whole = true_size(sheet.kit, blank, window)
        items: list[PageItem] = [
            *heading_bar(_template_title(blank), (sheet.area[0], top, sheet.width_mm, 8.0), BODY_MM * 1.15),
            Picture(drawing, left, top + 9.0), *_template_foot(sheet, blank, whole=whole)]
        name = blank.hub_class.name
        marks = (Mark("templates", _("Templates in true size")),) if first else ()
        return finished(sheet, number, items, marks=(
            *marks, Mark(f"template-{name}", _("Class {name}").format(name=name), level=1)))
    return make


def _template_title(blank: Blank) -> str:
    """What the template is for."""
    words = [_("hub class {name}").format(name=blank.hub_class.name)]
    words += [handed_words(blank.hub_class.handed)] if blank.hub_class.handed else []
    words += [] if len(blank.turns) == 1 else [_("turn {n}").format(n=1)]
    return _("Template in true size: {what}, seen from outside").format(what=", ".join(words))


def _template_foot(sheet: WorkshopSheet, blank: Blank, *, whole: bool) -> Iterator[PageItem]:
    """The ruler, and what the paper could not hold."""
    left, right, bottom = sheet.area[0], *sheet.area[2:]
    y = bottom - RULER_MM + 6.0
    yield from ruler(left, y, RULER_LENGTH_MM)
    longest = max(hub_sizes(sheet.kit.design).length_mm(dip) for dip in blank.dips_deg)
    lines = [_("Print at 100 %: the ruler must measure 100 mm."), _("Dashed: where arms point.")]
    if has_outline(blank, sheet.kit.design):
        lines.append(_("Prick through centre, strut ends, roots.") if whole else
                     _("Arms end beyond the paper, {mm} mm from the centre.").format(mm=decimal(longest, 1)))
    for row, text in enumerate(lines):
        size = fitting_size_mm(text, right - left - RULER_LENGTH_MM - 4.0, SMALL_MM)
        yield Words(text, right, y - 0.5 + row * 4.2, size, anchor="end")
