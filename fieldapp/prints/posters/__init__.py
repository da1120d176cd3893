"""Posters of the site: how to join with a phone, the rules, and the ring chart that is ticked on wet days."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _, marked
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.plan.words import SAFETY
from fieldapp.prints import in_kit_language
from fieldapp.prints.booklet import name_warnings
from fieldapp.prints.common import SIDE_MM, warned
from fieldapp.prints.common.book import Book, Told, printed_name
from fieldapp.prints.posters.join import join_page
from fieldapp.prints.posters.rings import rings_pages
from fieldapp.wording.breaking import breaking_line
from fieldapp.wording.fit import strength_rules
from fieldapp.wording.pegs import peg_rules
from fieldapp.wording.raising import glued
from fieldapp.wording.site_rules import site_rules
from labels import LabelError
from labels.document import About
from labels.page import Mark, Page, PageItem
from labels.page_forms import field
from labels.page_pdf import document_bytes
from labels.page_text import Column, distance_size_mm, fitting_size_mm
from labels.pieces import ThinLine, Warned

DISTANCES_MM = (1500.0, 1400.0, 1300.0, 1200.0, 1100.0, 1000.0, 900.0, 800.0)
"""Reading distances that are tried, the farthest first [mm]."""
TOP_MM = 12.0
BOTTOM_MM = 10.0
FIELD_MM = 12.0
FIELDS = ((marked("Emergency number"), marked("In charge today")), (marked("First aid: who and where"),),
          (marked("Where we are, for the ambulance"),), (marked("Meeting point"),))


@in_kit_language
def write_posters(kit: Kit, plan: Plan, folder: Path, *, wind_limit_m_s: float | None = None,
                  join_code: str = "") -> tuple[Warned, ...]:
    """Write `join.pdf`, `rules.pdf` and `rings.pdf` into a folder.

    Parameters
    ----------
    kit : Kit
        Its design gives paper, address and Wi-Fi; without a Wi-Fi there are lines to write it on.
    plan : Plan
    folder : Path
        Made if need be.
    wind_limit_m_s : float or None
        Lowest gust that a stage of the plan bears, for the rule about wind; None if it is not computed. [m/s]

    Returns
    -------
    tuple of Warned
        What is printed otherwise than written in the design, and why.

    Raises
    ------
    PaperError
        If a text has characters that the font lacks.
    KitError
        If a file cannot be written.
    """
    book = Book(kit, plan, printed_name(kit)[0], Told(wind_limit_m_s))
    name = kit.design.frame.name
    join_title = _("{name}: join with your phone").format(name=name)
    _write(folder / "join.pdf", book, (join_page(book, join_code),), join_title)
    _write(folder / "rules.pdf", book, (rules_page(book),), _("{name}: rules of the site").format(name=name))
    chart_title = _("{name}: {what}").format(name=name, what=_(kit.frame.words.chart))
    _write(folder / "rings.pdf", book, rings_pages(book), chart_title)
    return name_warnings(kit)


def _write(path: Path, book: Book, pages: Iterable[Page], title: str) -> None:
    """One poster."""
    about = About(title, _("Poster"), (book.kit.design.frame.name, book.kit.design.frame.prefix),
                  book.kit.design.site.language)
    try:
        line = breaking_line(book.plan, book.kit.design)
        content = document_bytes(warned(pages, book.paper_mm, line), book.paper_mm, about)
    except LabelError as error:
        raise PaperError(str(error)) from error
    write_atomic(path, content)


def rules_page(book: Book) -> Page:
    """The rules as large as they fit, then the fields."""
    bottom = book.paper_mm[1] - BOTTOM_MM - FIELD_MM * len(FIELDS)
    for distance in DISTANCES_MM:
        column = _rules(book, distance_size_mm(distance))
        if column.y_mm <= bottom - 3.0:
            break
    fields = _fields(column, bottom)
    return Page((*column.items, *fields), (Mark("rules", _("Rules of the site")),))


def _rules(book: Book, size_mm: float) -> Column:
    """Title, rules, and the caution that belongs to every limit, in one type size."""
    column = Column(SIDE_MM, TOP_MM, book.paper_mm[0] - 2 * SIDE_MM)
    title = _("On this site: {name}").format(name=book.name)
    column.line(title, fitting_size_mm(title, column.width_mm, 2.0 * size_mm, bold=True), bold=True)
    column.items.append(ThinLine((column.x_mm, column.y_mm), (column.x_mm + column.width_mm, column.y_mm), 0.8))
    column.gap(3.0)
    site = (*strength_rules(book.kit.design),
            *site_rules(book.how, book.told.wind_limit_m_s, book.kit.design.raising.terrain))
    rules = tuple(map(glued, (*site, *peg_rules(book.plan, book.ground), *book.winds)))
    column.points(rules, size_mm, signs=[str(number) for number in range(1, len(rules) + 1)])
    column.gap(1.5)
    column.text(_(SAFETY), 0.62 * size_mm)
    return column


def _fields(column: Column, top_mm: float) -> Iterator[PageItem]:
    """What is written in on site."""
    y = top_mm
    for row in FIELDS:
        share = column.width_mm / len(row)
        for number, label in enumerate(row):
            yield from field(_(label), (column.x_mm + number * share, y, share - 4.0, FIELD_MM - 2.0), size_mm=5.0)
        y += FIELD_MM
