"""Pegging in the booklet: a step of its own, with its line, its box to tick, and one small box for every foot."""

from collections.abc import Iterator

from fieldapp.base.words import _
from fieldapp.plan.pegs import Pegging
from fieldapp.prints.common.book import Book
from fieldapp.wording.pegs import each_must, peg_heading, too_little
from fieldapp.wording.raising import glued
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Outline, PageItem
from labels.page_forms import TICK_MM, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, Column, heading_bar
from labels.pieces import Words

BAR_MM = 9.5
FOOT_ROW_MM = 6.6
AFTER_MM = 2.5


def peg_panel(book: Book, pegging: Pegging, top_mm: float) -> tuple[tuple[PageItem, ...], float]:
    """What stands on the page, and its lower edge [mm]."""
    left, width = book.area[0], book.width_mm
    items: list[PageItem] = [*heading_bar(_heading(book, pegging), (left, top_mm, width - 13.0, BAR_MM), CLEAR_MM),
                             tick_box(left + width - BAR_MM, top_mm + BAR_MM / 2, BAR_MM - 0.6)]
    column = Column(left + 3.0, top_mm + BAR_MM + 1.2, width - 6.0)
    column.text(glued(each_must(book.ground, pegging.feet)), bold=True)
    for line in too_little(book.ground, pegging.feet):
        column.text(glued(line))
    column.gap(1.0)
    items += column.items
    for row in _rows(pegging, width - 6.0):
        x = left + 1.5
        for hub in row:
            items += _foot(hub, x, column.y_mm + FOOT_ROW_MM / 2)
            x += _foot_mm(hub)
        column.gap(FOOT_ROW_MM)
    bottom = column.y_mm + AFTER_MM
    return (*items, Outline(left, top_mm, width, bottom - top_mm, 0.4)), bottom


def peg_height_mm(book: Book, pegging: Pegging) -> float:
    """Room that it takes [mm]."""
    return peg_panel(book, pegging, 0.0)[1]


def _heading(book: Book, pegging: Pegging) -> str:
    """In full where the line holds it, else with the number of feet."""
    words = peg_heading(book.ground, pegging.feet)
    if text_width_mm(words, CLEAR_MM, bold=True) <= book.width_mm - 22.0:
        return words
    return _("Before step {step}: hold {n} feet").format(step=pegging.before, n=len(pegging.feet))


def _rows(pegging: Pegging, width_mm: float) -> Iterator[list[str]]:
    """Feet in rows that fit."""
    row: list[str] = []
    for hub in pegging.hubs:
        if row and sum(map(_foot_mm, (*row, hub))) > width_mm:
            yield row
            row = []
        row.append(hub)
    yield row


def _foot(hub: str, x_mm: float, middle_mm: float) -> Iterator[PageItem]:
    yield tick_box(x_mm + 1.5, middle_mm)
    yield Words(hub, x_mm + 1.5 + TICK_MM + 1.4, middle_mm + CAP_HEIGHT * BODY_MM / 2, BODY_MM, bold=True)


def _foot_mm(hub: str) -> float:
    """Room for a foot with its box [mm]."""
    return TICK_MM + 1.4 + text_width_mm(hub, BODY_MM, bold=True) + 6.0
