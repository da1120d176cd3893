"""Parts by ring, to tick at unloading; and the index from part ID to page."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from fieldapp.base.words import _
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit, Part
from fieldapp.plan.plan import Plan
from fieldapp.prints.common.book import Book, Chapter, finished_page
from fieldapp.wording.counted import hubs_words, parts_words, struts_words
from fieldapp.wording.place import level_words, sentence
from labels import PAPERS_MM
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Link, Mark, Page, PageItem
from labels.page_forms import TICK_MM, band_marks, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, heading_bar, shortened
from labels.pieces import Words
from labels.textblock import BAND_GAP, band_widths, bands_width

COLUMNS = 3
ROW_MM = 6.4
BAR_MM = 8.0
AFTER_BAR_MM = 1.5
AFTER_GROUP_MM = 3.0
LEAST_ROWS = 2
"""A heading stands above at least so many rows, or on the next page."""

INDEX_ROW_MM = 5.7
INDEX_HEAD_MM = 6.0
INDEX_PAGES_MM = 10.0
"""Room for a page number; the head above it may reach into the next column, which is empty there [mm]."""



@dataclass(frozen=True, slots=True)
class PartGroup:
    """Parts under one heading."""

    name: str
    parts: tuple[Part, ...]
    continued: bool = False

    @property
    def title(self) -> str:
        """The heading."""
        return _("{title}, continued").format(title=self.name) if self.continued else self.name

    @property
    def rows(self) -> int:
        """Rows that it takes."""
        return math.ceil(len(self.parts) / COLUMNS)

    @property
    def height_mm(self) -> float:
        """Room that it takes [mm]."""
        return BAR_MM + AFTER_BAR_MM + self.rows * ROW_MM + AFTER_GROUP_MM


def part_groups(kit: Kit, plan: Plan) -> Iterator[PartGroup]:
    """Hubs and struts of each ring, what the plan leaves out, spares."""
    frame = kit.frame
    placed = [(kit.by_place[place], place) for place in (*frame.hub_index, *frame.strut_index)]
    for ring in range(1, frame.level_count + 1):
        parts = tuple(part for part, place in placed if place in plan.step_of and frame.level_of(place) == ring)
        hubs = sum(part.kind == "hub" for part in parts)
        if parts:
            yield _group(sentence(level_words(frame, ring, numbered=True)),
                         f"{hubs_words(hubs)}, {struts_words(len(parts) - hubs)}", parts)
    left = tuple(part for part, place in placed if place not in plan.step_of)
    spares = tuple(part for part in kit.parts if part.is_spare)
    for title, parts in ((_("Left out in this raise"), left), (_("Spares"), spares)):
        if parts:
            yield _group(title, parts_words(len(parts)), parts)


def _group(name: str, what: str, parts: tuple[Part, ...]) -> PartGroup:
    return PartGroup(_("{name}: {what}").format(name=name, what=what), parts)


def part_pages(kit: Kit, plan: Plan) -> tuple[tuple[PartGroup, ...], ...]:
    """Groups page by page; one that does not fit is broken and goes on with its heading repeated."""
    book = Book(kit, plan, "")
    _, top, _, bottom = book.area
    pages: list[list[PartGroup]] = [[]]
    room = bottom - top
    for group in part_groups(kit, plan):
        rest: PartGroup | None = group
        while rest:
            rows = int((room - BAR_MM - AFTER_BAR_MM) // ROW_MM)
            rows = min(rows, rest.rows - LEAST_ROWS) if rows < rest.rows else rows
            if rows < min(LEAST_ROWS, rest.rows):
                pages.append([])
                room = bottom - top
                continue
            part, rest = _broken(rest, rows)
            pages[-1].append(part)
            room -= part.height_mm
    return tuple(map(tuple, pages))


def _broken(group: PartGroup, rows: int) -> tuple[PartGroup, PartGroup | None]:
    """What fits into so many rows, and what does not."""
    count = rows * COLUMNS
    if len(group.parts) <= count:
        return group, None
    return replace(group, parts=group.parts[:count]), replace(group, parts=group.parts[count:], continued=True)


def parts_chapter(frame: Frame, pages: Iterable[Sequence[PartGroup]]) -> Chapter:
    """The chapter of parts by ring."""
    makers = tuple(partial(parts_page, page) for page in pages)
    return Chapter("parts", _("{parts}, to tick at unloading").format(parts=_(frame.words.parts)), makers)


def parts_page(groups: Sequence[PartGroup], book: Book, number: int) -> Page:
    """One page of parts."""
    items: list[PageItem] = []
    by_level = _(book.frame.words.parts)
    marks = [Mark("parts", by_level)] if number == book.first["parts"] else []
    marks.append(Mark(f"parts page {number}"))
    y = book.area[1]
    for group in groups:
        marks.append(Mark(f"parts {number} {group.title}", group.title, 1, y))
        items += _group_items(book, group, y)
        y += group.height_mm
    title = _("{parts} · tick each part that is here and sound").format(parts=by_level)
    return finished_page(book, number, title, items, marks=marks)


def _group_items(book: Book, group: PartGroup, top_mm: float) -> Iterator[PageItem]:
    """A heading and its parts in columns, read downward."""
    yield from heading_bar(group.title, (book.area[0], top_mm, book.width_mm, BAR_MM), CLEAR_MM)
    width = book.width_mm / COLUMNS
    for place, part in enumerate(group.parts):
        column, row = divmod(place, group.rows)
        middle = top_mm + BAR_MM + AFTER_BAR_MM + (row + 0.5) * ROW_MM
        yield from _part_cell(book, part, (book.area[0] + column * width, middle))


def _part_cell(book: Book, part: Part, at: tuple[float, float]) -> Iterator[PageItem]:
    """A box to tick, the ID, the class."""
    x, middle = at
    baseline, cap = middle + CAP_HEIGHT * BODY_MM / 2, CAP_HEIGHT * BODY_MM
    yield tick_box(x, middle)
    yield Words(part.id, x + TICK_MM + 2.0, baseline, BODY_MM, bold=True)
    after = x + TICK_MM + 4.5 + text_width_mm(part.id, BODY_MM, bold=True)
    if part.kind == "hub":
        words = _("class {name}").format(name=part.part_class)
        yield Words(words, after, baseline, BODY_MM)
        yield from _carried(book, part, (after + text_width_mm(words, BODY_MM), baseline, x))
        return
    bands = {each.letter: each.bands for each in book.frame.strut_classes}.get(part.part_class, 0)
    yield Words(part.part_class, after, baseline, BODY_MM)
    first = after + text_width_mm(part.part_class, BODY_MM) + 1.5
    yield from band_marks(band_widths(bands), first, middle, cap, BAND_GAP)
    yield from _carried(book, part, (first + bands_width(bands) * cap, baseline, x))


def _carried(book: Book, part: Part, place: tuple[float, float, float]) -> Iterator[PageItem]:
    """What it carried before, behind its class, as far as the column has room; `place`: from where, line, column."""
    left, baseline, column = place
    room = column + book.width_mm / COLUMNS - left - 2 * CARRIED_GAP_MM
    if words := shortened(part.alias, room, SMALL_MM):
        yield Words(words, left + CARRIED_GAP_MM, baseline, SMALL_MM)


CARRIED_GAP_MM = 2.5
"""Before and behind what a part carried before."""


@dataclass(frozen=True, slots=True)
class IndexLine:
    """One line of the index: an ID and where it leads."""

    part_id: str
    targets: tuple[tuple[int, str], ...]
    """Page and mark: raise, then strike; or the list of parts."""
    carries: str = ""
    """What the part carried before it came into the kit."""


def index_entries(book: Book) -> Iterator[IndexLine]:
    """Every part of the kit, hubs first, by number."""
    for part in book.kit.parts:
        place = part.made_for
        if place is None or place not in book.plan.step_of:
            page = book.part_pages[part.id]
            yield IndexLine(part.id, ((page, f"parts page {page}"),), part.alias)
        else:
            step = book.plan.step_for(place).number
            pages = (book.step_pages[step], f"step{step}"), (book.strike_pages[step], f"strike{step}")
            yield IndexLine(part.id, pages, part.alias)


def index_columns(kit: Kit) -> int:
    """Columns side by side: four if the IDs are short, with what parts carried before."""
    widest = max(text_width_mm(part.id, BODY_MM, bold=True) + text_width_mm(part.alias, SMALL_MM)
                 for part in kit.parts)
    return 4 if widest + 26.0 <= (PAPERS_MM[kit.design.labels.paper][0] - 28.0) / 4 else 3


def index_chapter(kit: Kit, plan: Plan) -> Chapter:
    """The chapter of the index."""
    per_page = _index_rows(Book(kit, plan, "")) * index_columns(kit)
    count = math.ceil(len(kit.parts) / per_page)
    pages = tuple(partial(index_page, slice(page * per_page, (page + 1) * per_page)) for page in range(count))
    return Chapter("index", _("Index: part ID to page"), pages)


def _index_rows(book: Book) -> int:
    """Rows of a page."""
    _, top, _, bottom = book.area
    return int((bottom - top - INDEX_HEAD_MM) // INDEX_ROW_MM)


def index_page(span: slice, book: Book, number: int) -> Page:
    """One page of the index."""
    marks = (Mark("index", _("Index: part ID to page")),) if number == book.first["index"] else ()
    return finished_page(book, number, _("Index · part ID, page of the raise, page of the strike"),
                         _index_items(book, tuple(index_entries(book))[span]), marks=marks)


def _index_items(book: Book, entries: Sequence[IndexLine]) -> Iterator[PageItem]:
    """Entries in columns, read downward."""
    left, top = book.area[:2]
    columns, rows = index_columns(book.kit), _index_rows(book)
    width, strike = book.width_mm / columns, _("strike")
    over = max(0.0, text_width_mm(strike, SMALL_MM) - INDEX_PAGES_MM)
    for column in range(min(columns, math.ceil(len(entries) / rows))):
        x = left + column * width
        for word, right in ((_("raise"), width - 16.0), (strike, width - 5.0 + over)):
            yield Words(word, x + right, top + INDEX_HEAD_MM - 2.0, SMALL_MM, anchor="end")
    for place, entry in enumerate(entries):
        column, row = divmod(place, rows)
        yield from _index_row(entry, (left + column * width, top + INDEX_HEAD_MM + row * INDEX_ROW_MM, width))


def _index_row(entry: IndexLine, place: tuple[float, float, float]) -> Iterator[PageItem]:
    """An ID and its pages, each page number a link."""
    x, top, width = place
    baseline = top + (INDEX_ROW_MM + CAP_HEIGHT * BODY_MM) / 2
    yield Words(entry.part_id, x, baseline, BODY_MM, bold=True)
    after = x + text_width_mm(entry.part_id, BODY_MM, bold=True) + 1.5
    if words := shortened(entry.carries, x + width - INDEX_PAGES_MM - 16.0 - after, SMALL_MM):
        yield Words(words, after, baseline, SMALL_MM)
    yield Link(x, top, width - 27.0, INDEX_ROW_MM, entry.targets[0][1], _page_words(entry.part_id, entry.targets[0][0]))
    for (page, target), right in zip(entry.targets, (width - 16.0, width - 5.0), strict=False):
        yield Words(str(page), x + right, baseline, BODY_MM, anchor="end")
        yield Link(x + right - 10.0, top, 10.5, INDEX_ROW_MM, target, _page_words(entry.part_id, page))


def _page_words(part_id: str, page: int) -> str:
    """Where a link leads."""
    return _("{id}, page {n}").format(id=part_id, n=page)
