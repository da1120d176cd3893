"""The pages of the lifts: each a page of its own going up, and one coming down."""

from collections.abc import Iterator
from functools import partial

from fieldapp.base.words import _
from fieldapp.kit.kit import Kit
from fieldapp.plan.hand_lifts import HandLift, hand_lifts
from fieldapp.plan.plan import Plan, Step
from fieldapp.prints.common.book import Book, Chapter, finished_page
from fieldapp.prints.pictures import lift_view
from fieldapp.reports.raising.lifts import lift_lag
from fieldapp.wording.lifts import Direction, against, lift_page_lines, lift_title
from fieldapp.wording.raising import glued
from labels.page import Mark, Page, PageItem, Picture
from labels.page_forms import TICK_MM, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, Column, heading_bar

BAR_MM = 9.5
PICTURE_SHARE = 0.36
"""Of the page's height, for the picture."""


def lifts_chapter(kit: Kit, plan: Plan) -> tuple[Chapter, ...]:
    """Every lift going up, then every one coming down in the order of the strike; none where nothing is lifted."""
    lifts = hand_lifts(kit, plan)
    makers = (*(partial(lift_page, lift, "up") for lift in lifts),
              *(partial(lift_page, lift, "down") for lift in reversed(lifts)))
    return (Chapter("lifts", _("Lifts, up and down"), makers),) if makers else ()


def lift_page_words(book: Book, step: Step, way: Direction) -> str:
    """Where the lift of a step, or its lowering, has a page of its own; empty for a step without."""
    lifts = hand_lifts(book.kit, book.plan) if step.lift_mm > 0.0 else ()
    order = lifts if way == "up" else lifts[::-1]
    at = next((place for place, lift in enumerate(order) if lift.step == step.number), None)
    if at is None:
        return ""
    return _("All of it: page {page}.").format(
        page=book.first.get("lifts", 0) + at + (0 if way == "up" else len(lifts)))


def lift_page(lift: HandLift, way: Direction, book: Book, number: int) -> Page:
    """One lift, or one lowering."""
    left, top, _right, bottom = book.area
    title = lift_title(lift, way)
    marks = [Mark("lifts", _("Lifts, up and down"))] if number == book.first["lifts"] else []
    items: list[PageItem] = [*heading_bar(title, (left, top, book.width_mm, BAR_MM), CLEAR_MM)]
    size = (book.width_mm, (bottom - top) * PICTURE_SHARE)
    items.append(Picture(lift_view(book.frame, book.plan, lift, up=way == "up", size_mm=size), left,
                         top + BAR_MM + 2.0))
    items += _ticked(lift, way, book, top + BAR_MM + size[1] + 5.0)
    return finished_page(book, number, title, items, marks=(*marks, Mark(f"lift{way}{lift.step}", title, 1)))


def _ticked(lift: HandLift, way: Direction, book: Book, top_mm: float) -> Iterator[PageItem]:
    """What speaks against it, then each line with its box."""
    column = Column(book.area[0] + TICK_MM + 3.0, top_mm, book.width_mm - TICK_MM - 3.0)
    lag = lift_lag(book.kit, book.plan, lift.step)
    for line in against(lift, book.kit.design.crew, lag):
        column.text(glued(line), bold=True)
        column.gap(2.4)
    for line in lift_page_lines(lift, way, lag):
        yield tick_box(book.area[0], column.y_mm + 0.64 * BODY_MM + 0.6)
        column.text(glued(line))
        column.gap(2.4)
    yield from column.items
