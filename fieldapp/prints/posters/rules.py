"""The poster of the rules, with room for what must be known in an emergency."""

from collections.abc import Iterator

from fieldapp.base.words import _, marked
from fieldapp.plan.words import SAFETY
from fieldapp.prints.common.book import Book
from fieldapp.prints.common.kit_paper import SIDE_MM
from fieldapp.wording.raising import glued
from fieldapp.wording.site_rules import site_rules
from labels.page import Item, Mark, Page
from labels.page_forms import field
from labels.page_text import Column, distance_size_mm, fitting_size_mm
from labels.pieces import Rule

DISTANCES_MM = (1500.0, 1400.0, 1300.0, 1200.0, 1100.0, 1000.0, 900.0, 800.0)
"""Reading distances that are tried, the farthest first [mm]."""

TOP_MM = 12.0
BOTTOM_MM = 10.0
FIELD_MM = 12.0
FIELDS = ((marked("Emergency number"), marked("In charge today")), (marked("First aid: who and where"),),
          (marked("Where we are, for the ambulance"),), (marked("Meeting point"),))


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
    column.items.append(Rule((column.x_mm, column.y_mm), (column.x_mm + column.width_mm, column.y_mm), 0.8))
    column.gap(3.0)
    rules = tuple(map(glued, site_rules(book.how, book.wind_limit_m_s)))
    column.points(rules, size_mm, signs=[str(number) for number in range(1, len(rules) + 1)])
    column.gap(1.5)
    column.text(_(SAFETY), 0.62 * size_mm)
    return column


def _fields(column: Column, top_mm: float) -> Iterator[Item]:
    """What is written in on site."""
    y = top_mm
    for row in FIELDS:
        share = column.width_mm / len(row)
        for number, label in enumerate(row):
            yield from field(_(label), (column.x_mm + number * share, y, share - 4.0, FIELD_MM - 2.0), size_mm=5.0)
        y += FIELD_MM
