"""Sheets for the workshop, and files for the machine that cuts hubs.

`write_workshop` writes `paper/cut-list.pdf`, `paper/hub-sheets.pdf`, `paper/break-test.pdf` and
`workshop/hub-<class>.dxf` and `.svg`. Paper speaks the language of the design; what a machine reads stays as it is.
The same kit gives the same bytes.
"""

import re
from collections.abc import Sequence
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.cutting import CuttingPlans
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.prints import in_kit_language
from fieldapp.prints.common import SheetPageMaker, WorkshopSheet, warned
from fieldapp.prints.workshop.blank import blank_drawing
from fieldapp.prints.workshop.break_test import break_pages
from fieldapp.prints.workshop.cuts import cut_pages
from fieldapp.prints.workshop.hubs import hub_pages
from fieldapp.prints.workshop.strut_test import strut_test_pages
from fieldapp.prints.workshop.turns import Blank, blanks
from fieldapp.wording.breaking import breaking_line
from labels import LabelError
from labels.cut_files import dxf_bytes, true_size_svg
from labels.document import About
from labels.page_pdf import document_bytes

CUT_LIST, HUB_SHEETS, BREAK_TEST = "cut-list.pdf", "hub-sheets.pdf", "break-test.pdf"
PAPER, WORKSHOP = "paper", "workshop"
KINDS = ("dxf", "svg")
OWN_NAME = re.compile(rf"hub-\d+[LR]?\.({'|'.join(KINDS)})")
"""Names of the files of hub classes; others in the folder are the maker's own."""


def write_workshop(kit: Kit, cutting: CuttingPlans, folder: Path, *, plan: Plan | None = None) -> None:
    """Write all sheets and files for the workshop; blanks of classes that the kit no longer has are removed.

    Parameters
    ----------
    kit : Kit
    cutting : CuttingPlans
    folder : Path
        The kit's folder; its subfolders are made.
    plan : Plan, optional
        The way of raising: where it breaks, every sheet says so.

    Raises
    ------
    PaperError
        If a text has characters that the font lacks.
    KitError
        If a file cannot be written; an older one is then still there.
    """
    found = blanks(kit.frame, kit.design.frame.tolerance_deg)
    write_cut_list(kit, cutting, folder / PAPER / CUT_LIST, plan=plan)
    write_hub_sheets(kit, found, folder / PAPER / HUB_SHEETS, plan=plan)
    write_break_test(kit, folder / PAPER / BREAK_TEST, plan=plan)
    write_blanks(kit, found, folder / WORKSHOP)
    remove_other_blanks(folder, frozenset(f"hub-{blank.hub_class.name}.{kind}" for blank in found for kind in KINDS))


@in_kit_language
def write_cut_list(kit: Kit, cutting: CuttingPlans, path: Path, *, plan: Plan | None = None) -> None:
    """Lengths, the cutting plan drawn to scale, and every strut to tick off."""
    sheet = WorkshopSheet(kit, _("Cut list"), breaking_line(plan, kit.design))
    _write(path, sheet, cut_pages(sheet, cutting), about=_("{name}: cut list"),
           subject=_("Lengths, cutting plan, pieces to tick off"))


@in_kit_language
def write_hub_sheets(kit: Kit, found: Sequence[Blank], path: Path, *, plan: Plan | None = None) -> None:
    """Hub classes at true angles, dips, templates in true size, and every hub to tick off."""
    sheet = WorkshopSheet(kit, _("Hub sheets"), breaking_line(plan, kit.design))
    _write(path, sheet, hub_pages(sheet, found), about=_("{name}: hub sheets"),
           subject=_("Hub classes, dips, templates, hubs to tick off"))


@in_kit_language
def write_break_test(kit: Kit, path: Path, *, plan: Plan | None = None) -> None:
    """How to break hub arms and struts safely, and where to write the loads."""
    sheet = WorkshopSheet(kit, _("Break test"), breaking_line(plan, kit.design))
    _write(path, sheet, (*break_pages(sheet), *strut_test_pages(sheet)), about=_("{name}: break test"),
           subject=_("How to test hub arms and struts, and forms for the loads"))


def write_blanks(kit: Kit, found: Sequence[Blank], folder: Path) -> None:
    """Every hub class as DXF and SVG in true size."""
    for blank in found:
        drawing = blank_drawing(kit, blank)
        name = f"hub-{blank.hub_class.name}"
        for path, content in ((folder / f"{name}.dxf", dxf_bytes(drawing)),
                              (folder / f"{name}.svg", true_size_svg(drawing).encode())):
            write_atomic(path, content)


def blank_names(folder: Path) -> frozenset[str]:
    """Names of the files of hub blanks in a kit's folder."""
    there = folder / WORKSHOP
    return frozenset(path.name for path in there.iterdir() if OWN_NAME.fullmatch(path.name)) if there.is_dir() \
        else frozenset()


def remove_other_blanks(folder: Path, kept: frozenset[str]) -> None:
    """Remove the blanks of classes that the kit no longer has."""
    for name in blank_names(folder) - kept:
        (folder / WORKSHOP / name).unlink()


def _write(path: Path, sheet: WorkshopSheet, makers: Sequence[SheetPageMaker], *, about: str, subject: str) -> None:
    """All pages of one document."""
    frame = sheet.kit.design.frame
    title = About(about.format(name=frame.name), subject, (frame.name, frame.prefix, _("workshop")),
                  sheet.kit.design.site.language)
    try:
        pages = (make(sheet, number) for number, make in enumerate(makers, start=1))
        content = document_bytes(warned(pages, sheet.paper_mm, sheet.warning), sheet.paper_mm, title)
    except LabelError as error:
        raise PaperError(str(error)) from error
    write_atomic(path, content)
