"""Templates in true size: to lay on a blank, prick centre and strut ends, and check what was cut."""

from collections.abc import Iterator

from fieldapp.base.numbers import decimal
from fieldapp.base.words import _
from fieldapp.prints.common import EDGE_MM, HEAD_MM, SheetPageMaker, WorkshopSheet, finished, ruler
from fieldapp.prints.workshop.pictures import true_size
from fieldapp.prints.workshop.sizes import has_outline, hub_sizes
from fieldapp.prints.workshop.turns import Blank
from fieldapp.wording.place import handed_words
from labels.page import Mark, Page, PageItem, Picture
from labels.page_text import BODY_MM, SMALL_MM, fitting_size_mm, heading_bar
from labels.pieces import Words

TEMPLATE_SIDE_MM = 6.0
"""Margin of templates at the sides: a printer leaves about 4 mm blank [mm].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""

RULER_MM = 14.0
RULER_LENGTH_MM = 100


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
