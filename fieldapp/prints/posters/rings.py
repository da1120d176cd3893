"""The ring chart: a box for every step, the ground at the bottom, to tick with a pencil when phones stay in pockets."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.words import _
from fieldapp.plan.plan import Step
from fieldapp.prints.common import SIDE_MM
from fieldapp.prints.common.book import Book
from fieldapp.prints.pictures import Showing, plan_view
from fieldapp.wording.pegs import peg_before
from fieldapp.wording.place import sentence
from fieldapp.wording.raising import glued, step_runs
from labels.page import Mark, Outline, Page, PageItem, Picture
from labels.page_forms import field
from labels.page_text import BODY_MM, CLEAR_MM, Column, fitting_size_mm
from labels.pieces import ThinLine, Words

TOP_MM, BOTTOM_MM = 10.0, 10.0
TITLE_ROOM_MM = 24.0
LARGEST_CELL_MM, LEAST_CELL_MM = 15.0, 11.0
CELL_HEIGHT_MM = 12.5
HEAD_MM = 9.0
"""Line above the boxes of a ring [mm]."""

AFTER_MM = 3.5
LEAST_PLAN_MM = 70.0
"""The plan is drawn if so much room is left [mm]."""


@dataclass(frozen=True, slots=True)
class Strip:
    """The boxes of a ring, in rows."""

    title: str
    steps: tuple[Step, ...]
    across: int
    """Boxes in a row."""

    @property
    def height_mm(self) -> float:
        """Room that it takes [mm]."""
        return HEAD_MM + CELL_HEIGHT_MM * math.ceil(len(self.steps) / self.across) + AFTER_MM


def rings_pages(book: Book) -> Iterator[Page]:
    """As many pages as it needs, the ground on the first."""
    pages = _broken(book, tuple(_strips(book)))
    for number, strips in enumerate(pages, start=1):
        words = _(" · sheet {number} of {count}").format(number=number, count=len(pages)) if len(pages) > 1 else ""
        mark = Mark(f"rings{number}", _(book.frame.words.chart) + words)
        yield Page(tuple(_page_items(book, strips, words)), (mark,))


def _width_mm(book: Book) -> float:
    """Width between the margins."""
    return book.paper_mm[0] - 2 * SIDE_MM


def _strips(book: Book) -> Iterator[Strip]:
    """One strip for each ring of each piece, in the order of the raise; long ones are parted."""
    most = int(_width_mm(book) // LEAST_CELL_MM)
    rows = int(_room_mm(book) // CELL_HEIGHT_MM) - 2
    for run in step_runs(book.frame, book.plan):
        count = len(run.steps)
        across = math.ceil(count / math.ceil(count / most))
        for start in range(0, count, across * rows):
            title = _("{name}: {what}").format(name=sentence(run.name), what=run.size_words)
            yield Strip(title, run.steps[start:start + across * rows], across)


def _room_mm(book: Book) -> float:
    """Height for strips on a page [mm]."""
    return book.paper_mm[1] - max(TOP_MM + TITLE_ROOM_MM, _title(book, "").y_mm + 2.0) - BOTTOM_MM


def _broken(book: Book, strips: Sequence[Strip]) -> list[list[Strip]]:
    """Strips page by page."""
    pages: list[list[Strip]] = [[]]
    room = _room_mm(book)
    for strip in strips:
        if strip.height_mm > room and pages[-1]:
            pages.append([])
            room = _room_mm(book)
        pages[-1].append(strip)
        room -= strip.height_mm
    return pages


def _page_items(book: Book, strips: Sequence[Strip], words: str) -> Iterator[PageItem]:
    """Title, the plan if there is room, the strips from the bottom up."""
    column = _title(book, words)
    yield from column.items
    y = book.paper_mm[1] - BOTTOM_MM
    for strip in strips:
        y -= strip.height_mm
        yield from _strip_items(book, strip, y)
    room = min(y - column.y_mm - 2.0, column.width_mm)
    if room >= LEAST_PLAN_MM:
        hubs = frozenset(book.plan.step_of)
        plan = plan_view(book.frame, Showing(hubs, left_out=frozenset(book.plan.left_out)), size_mm=room)
        yield Picture(plan, SIDE_MM + (column.width_mm - room) / 2, column.y_mm + 1.0)


def _title(book: Book, words: str) -> Column:
    """What the chart is, how to use it, and what must be pegged before which step."""
    column = Column(SIDE_MM, TOP_MM, _width_mm(book))
    title = _("{name}: how far are we?").format(name=book.name) + words
    column.line(title, fitting_size_mm(title, column.width_mm, 2 * CLEAR_MM, bold=True), bold=True)
    column.text(_("Tick a box when the hub and its struts are in. Build from the bottom up, each row from the left."))
    for pegging in book.plan.peggings:
        steps = len(book.plan.steps)
        column.text(glued(peg_before(book.ground, pegging.feet, step=pegging.before, steps=steps)), bold=True)
    return column


def _strip_items(book: Book, strip: Strip, top_mm: float) -> Iterator[PageItem]:
    """Title and times, then the boxes."""
    width = _width_mm(book)
    yield ThinLine((SIDE_MM, top_mm), (SIDE_MM + width, top_mm), 0.25)
    yield Words(strip.title, SIDE_MM, top_mm + HEAD_MM - 2.0, 1.15 * BODY_MM, bold=True)
    for number, label in enumerate((_("begun"), _("done"))):
        yield from field(label, (SIDE_MM + width - 76.0 + 39.0 * number, top_mm, 37.0, HEAD_MM - 2.0))
    cell = min(LARGEST_CELL_MM, width / strip.across)
    for place, step in enumerate(strip.steps):
        row, column = divmod(place, strip.across)
        yield from _cell(step, (SIDE_MM + column * cell, top_mm + HEAD_MM + row * CELL_HEIGHT_MM, cell))


def _cell(step: Step, place: tuple[float, float, float]) -> Iterator[PageItem]:
    """A box: the hub, its step, how many struts come with it."""
    x, y, width = place
    size = fitting_size_mm(step.hub, width - 3.0, BODY_MM, bold=True)
    yield Outline(x, y, width - 1.2, CELL_HEIGHT_MM - 1.4, 0.4)
    yield Words(step.hub, x + 0.9, y + 4.1, size, bold=True)
    yield Words(str(step.number), x + 0.9, y + CELL_HEIGHT_MM - 2.5, 2.8)
    if step.struts:
        yield Words(f"+{len(step.struts)}", x + width - 2.1, y + CELL_HEIGHT_MM - 2.5, 2.8, anchor="end")
