"""The poster that brings phones onto the site's Wi-Fi and onto its page."""

from collections.abc import Iterator

from fieldapp.base.words import _
from fieldapp.frame.site import SiteSection
from fieldapp.kit.site_key import address_text, wifi_text
from fieldapp.prints.common import SIDE_MM
from fieldapp.prints.common.book import Book
from labels.page import Mark, Page, PageItem
from labels.page_forms import field
from labels.page_text import Column, distance_size_mm, fitting_size_mm, heading_bar
from labels.pieces import SymbolMark, Words
from labels.symbol import make_symbol

TITLE_MM = distance_size_mm(2000.0, glance=True)
"""Read at a glance from 2 m [mm]."""

WORDS_MM = distance_size_mm(1500.0)
"""Read from 1.5 m [mm]."""

SYMBOL_MM = 66.0
"""Side of a symbol with its quiet zone: read from about ten times as far [mm].
Source: common practice, no standard. Test: tests/prints/posters/test_posters.py"""

BAR_MM = 14.0
TOP_MM, BOTTOM_MM = 12.0, 10.0
STAY_SHARES = (0.82, 0.74, 0.66, 0.58, 0.5)
"""Sizes that are tried for the last words, in sizes of the others."""


def join_page(book: Book, join_code: str = "") -> Page:
    """Three things to do, from top to bottom; a phone that opens the page with the join code may write."""
    width, height = book.paper_mm
    column = Column(SIDE_MM, TOP_MM, width - 2 * SIDE_MM)
    title = _("Join with your phone")
    column.line(title, fitting_size_mm(title, column.width_mm, TITLE_MM, bold=True), bold=True)
    column.line(book.name, fitting_size_mm(book.name, column.width_mm, WORDS_MM))
    column.gap(4.0)
    site = book.kit.design.site
    first, second, third = _("Join the Wi-Fi"), _("Open the page"), _("Stay connected")
    items = [*column.items, *_part(f"1  {first}", wifi_text(site), _wifi_words(site), column)]
    items += _part(f"2  {second}", address_text(site, join_code), _page_words(site, join_code), column)
    items += heading_bar(f"3  {third}", (column.x_mm, column.y_mm, column.width_mm, BAR_MM), WORDS_MM)
    words = _stay(Column(column.x_mm, column.y_mm + BAR_MM + 3.0, column.width_mm), height - BOTTOM_MM)
    return Page((*items, *words.items), (Mark("join", title),))


def _stay(column: Column, bottom_mm: float) -> Column:
    """The last words as large as the paper is long."""
    for share in STAY_SHARES:
        filled = Column(column.x_mm, column.y_mm, column.width_mm)
        for words in _stay_words():
            filled.text(words, share * WORDS_MM)
            filled.gap(1.5)
        if filled.y_mm <= bottom_mm:
            break
    return filled


def _stay_words() -> tuple[str, ...]:
    """What phones do with a Wi-Fi that leads nowhere, and what to answer."""
    return (_("The phone will say that there is no internet: stay connected all the same. Switch mobile data off."),
            _("Then point the camera at any label, or type its ID on the page."))


def _part(title: str, symbol: str, words: tuple[tuple[str, str], ...], column: Column) -> Iterator[PageItem]:
    """A heading, a symbol on the left, what to type on the right; moves the column below it."""
    yield from heading_bar(title, (column.x_mm, column.y_mm, column.width_mm, BAR_MM), WORDS_MM)
    top = column.y_mm + BAR_MM + 1.0
    column.y_mm = top + SYMBOL_MM + 2.0
    if symbol:
        mark = make_symbol(symbol, "Q")
        yield SymbolMark(mark, column.x_mm, top, SYMBOL_MM / mark.full_size)
    left = column.x_mm + (SYMBOL_MM + 4.0 if symbol else 4.0)
    yield from _typed(words, (left, top + 10.0, column.x_mm + column.width_mm - left))


def _typed(words: tuple[tuple[str, str], ...], place: tuple[float, float, float]) -> Iterator[PageItem]:
    """What to type, its name above it; a line to write on if it is not known."""
    x, y, width = place
    for label, text in words:
        if text:
            size = fitting_size_mm(text, width, 1.3 * WORDS_MM, bold=True)
            yield Words(label, x, y + 0.6 * WORDS_MM, 0.7 * WORDS_MM)
            yield Words(text, x, y + 2.1 * WORDS_MM, size, bold=True)
        else:
            yield from field(label, (x, y, width, 2.0 * WORDS_MM), size_mm=0.9 * WORDS_MM)
        y += 2.9 * WORDS_MM


def _page_words(site: SiteSection, join_code: str) -> tuple[tuple[str, str], ...]:
    """The address, and the code where there is one."""
    if not join_code:
        return ((_("Scan this, or type"), address(site)),)
    return ((_("Scan this, or type"), f"{address(site)}/join"), (_("and the join code"), join_code))


def _wifi_words(site: SiteSection) -> tuple[tuple[str, str], ...]:
    """Name and password; empty where the design has none."""
    if site.wifi_name and not site.wifi_password:
        return ((_("Name, no password"), site.wifi_name),)
    return ((_("Name"), site.wifi_name or ""), (_("Password"), site.wifi_password or ""))


def address(site: SiteSection) -> str:
    """The site's address as it is typed."""
    return site.address.rstrip("/")
