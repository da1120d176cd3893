"""The sheet "what it forgives": may somebody hang from the whole frame, a ladder lean, a strut or hub be lost."""

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.said import in_words
from fieldapp.base.words import _
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.plan.forgives.record import PERSON_N, Forgives, that_bear
from fieldapp.plan.plan import Plan
from fieldapp.plan.words import SAFETY
from fieldapp.prints import in_kit_language
from fieldapp.prints.common import SIDE_MM, KitPaper, warned
from fieldapp.prints.common.book import printed_name
from fieldapp.prints.forgives.table import forgives_csv
from fieldapp.prints.pictures import Showing, frame_view
from fieldapp.statics.governs import Limit
from fieldapp.wording.breaking import breaking_line
from fieldapp.wording.forgives import CARE, Answer, forgives_answers
from labels import LabelError
from labels.document import About
from labels.page import Mark, Page, Picture
from labels.page_pdf import document_bytes
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, Column, fitting_size_mm

SHEET, TABLE = "forgives.pdf", "forgives.csv"
TOP_MM, BOTTOM_MM = 12.0, 10.0
HEAD_MM = 1.2 * CLEAR_MM
"""Type of an answer [mm]."""
LEAST_PICTURE_MM, LARGEST_PICTURE_MM = 45.0, 90.0
AIR_MM = 3.0
"""Above the picture [mm]."""


def write_forgives(kit: Kit, plan: Plan, found: Forgives, folder: Path) -> tuple[Path, Path]:
    """Write `paper/forgives.pdf` and `tables/forgives.csv` into a kit's folder.

    Raises
    ------
    PaperError
        If a text has characters that the font lacks.
    KitError
        If a file cannot be written.
    """
    paper, table = folder / "paper" / SHEET, folder / "tables" / TABLE
    write_atomic(paper, forgives_pdf(kit, plan, found))
    write_atomic(table, forgives_csv(found).encode())
    return paper, table


@in_kit_language
def forgives_pdf(kit: Kit, plan: Plan, found: Forgives) -> bytes:
    """One page, or two where much must be named."""
    sheet, name = KitPaper(kit), printed_name(kit)[0]
    title = _("{name}: what the whole frame forgives").format(name=name)
    about = About(title, _("Who may hang, where a ladder may lean, what may be lost"),
                  (kit.design.frame.name, kit.design.frame.prefix), kit.design.site.language, "long edge")
    try:
        pages = warned(_pages(sheet, title, plan, found), sheet.paper_mm, breaking_line(plan, kit.design))
        return document_bytes(pages, sheet.paper_mm, about)
    except LabelError as error:
        raise PaperError(str(error)) from error


def _pages(sheet: KitPaper, title: str, plan: Plan, found: Forgives) -> Iterator[Page]:
    """The answers with their picture; what does not fit any more goes onto a second page."""
    column = _opened(sheet, title)
    bottom = sheet.paper_mm[1] - BOTTOM_MM
    top = column.y_mm
    parts: tuple[Callable[[Column], None], ...] = (
        *(partial(_answer, answer=answer) for answer in forgives_answers(found)), _care)
    for part in parts:
        trial = _opened(sheet, title)
        part(trial)
        if column.y_mm + trial.y_mm - top > bottom:
            yield Page(tuple(column.items), ())
            column = _opened(sheet, title)
        part(column)
    _picture(column, sheet, plan, found, bottom)
    yield Page(tuple(column.items), (Mark("forgives", title),))


def _opened(sheet: KitPaper, title: str) -> Column:
    """A page with its title."""
    column = Column(SIDE_MM, TOP_MM, sheet.paper_mm[0] - 2 * SIDE_MM)
    column.line(title, fitting_size_mm(title, column.width_mm, 2 * CLEAR_MM, bold=True), bold=True)
    column.gap(3.0)
    return column


def _answer(column: Column, answer: Answer) -> None:
    """What is asked on a bar, the answer large, then where and what governs."""
    column.bar(in_words(answer.about))
    column.text(in_words(answer.head), HEAD_MM, bold=True)
    column.gap(0.5)
    for line in answer.lines:
        column.text(in_words(line), BODY_MM)
    column.gap(4.0)


def _care(column: Column) -> None:
    """What belongs to every limit."""
    for line in CARE:
        column.text(in_words(line), BODY_MM, bold=True)
    column.gap(1.0)
    column.text(_(SAFETY), SMALL_MM)


def _picture(column: Column, sheet: KitPaper, plan: Plan, found: Forgives, bottom_mm: float) -> None:
    """Solid where one person may hang; the weakest place where nobody may; nothing where there is no room."""
    room = min(bottom_mm - column.y_mm - 2 * BODY_MM - AIR_MM, LARGEST_PICTURE_MM)
    if not (found.whole.stands and found.hang) or room < LEAST_PICTURE_MM:
        return
    good, out = frozenset(that_bear(found.hang, PERSON_N)), frozenset(plan.left_out)
    if good:
        words, showing = _("Drawn solid: there one person may hang. Faint: there not."), Showing(good, left_out=out)
    else:
        words = _("Nobody may hang anywhere. Marked: the weakest place.")
        showing = Showing(frozenset(plan.step_of), this=min(found.hang, key=_least).at, left_out=out)
    column.gap(AIR_MM)
    column.text(words, BODY_MM)
    view = frame_view(sheet.kit.frame, showing, size_mm=(room * 100.0 / 78.0, room))
    column.items.append(Picture(view, column.x_mm + (column.width_mm - view.width_mm) / 2, column.y_mm))
    column.gap(room)


def _least(limit: Limit) -> tuple[float, str]:
    """Sorting key: what bears least, then the name."""
    return limit.value, limit.at
