"""The pages of the raise: one to three steps a page, each with its picture, its hub and its parts in order."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from fieldapp.plan.plan import Plan, Step
from fieldapp.prints.booklet_book import Book, Chapter, Maker, finished_page
from fieldapp.prints.booklet_checks import RingCheck, ring_check
from fieldapp.prints.booklet_words import (
    ON_GROUND_MM,
    StepRow,
    glued,
    headline,
    lead_lines,
    notes,
    ring_words,
    step_rows,
)
from fieldapp.prints.pictures import Showing, frame_view, hub_dial
from labels.drawing import Drawing
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Item, Mark, Page, Picture
from labels.page_forms import TICK_MM, band_marks, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, Column, fitting_size_mm, heading_bar, shifted
from labels.pieces import Rule, Words
from labels.textblock import BAND_GAP, band_widths, bands_width

FULL_A_PAGE, SMALL_A_PAGE = 2, 3
"""Steps on a page: of any kind, and of the small kind."""

BAR_MM = 9.5
ROW_MM = 6.3
TABLE_HEAD_MM = 4.6
GAP_MM = 4.0
"""Between the steps of a page [mm]."""

DIAL_MM = (80.0, 70.0)
"""Size of the hub's picture in its own scale [mm]."""

FULL_DIAL, SMALL_DIAL = 0.9, 0.8
"""Scale of the hub's picture in a full and in a small panel."""

FULL_FROM_MM = 110.0
"""Height from which on a panel is a full one [mm]."""

LIMITS_FOOT = "Limits are a guide for planning and for stopping early: see page {page}."


@dataclass(frozen=True, slots=True)
class Panel:
    """One step and its place on the page [mm]."""

    book: Book
    step: Step
    before: Step | None
    top_mm: float
    height_mm: float

    @property
    def left_mm(self) -> float:
        """Left edge."""
        return self.book.area[0]

    @property
    def dial_scale(self) -> float:
        """Scale of the hub's picture."""
        return FULL_DIAL if self.height_mm > FULL_FROM_MM else SMALL_DIAL

    @property
    def table_mm(self) -> float:
        """Width of picture and parts; the dial has the rest."""
        return self.book.width_mm - self.side_mm - 4.0

    @property
    def side_mm(self) -> float:
        """Width of the dial's column."""
        return self.dial_scale * DIAL_MM[0]

    @property
    def bottom_mm(self) -> float:
        """Lower edge."""
        return self.top_mm + self.height_mm


Entry = Step | RingCheck


def step_groups(plan: Plan) -> tuple[tuple[Entry, ...], ...]:
    """The steps of each page: a new ring or piece begins a new page, a ring ends with a check."""
    pages: list[list[Entry]] = []
    for run in _runs(plan):
        pages.append([])
        entries: tuple[Entry, ...] = (*run, RingCheck(run[-1], run[-1] is plan.steps[-1]))
        for entry in entries:
            if not _has_room(pages[-1], entry):
                pages.append([])
            pages[-1].append(entry)
    return tuple(map(tuple, pages))


def _runs(plan: Plan) -> Iterator[tuple[Step, ...]]:
    """Steps that belong to one ring of one piece."""
    for _, run in groupby(plan.steps, key=lambda step: (step.ring, step.piece, step.joins)):
        yield tuple(run)


def _has_room(page: Sequence[Entry], entry: Entry) -> bool:
    """True if an entry goes onto a page."""
    small = all(_is_small(each) for each in (*page, entry))
    return len(page) < (SMALL_A_PAGE if small else FULL_A_PAGE)


def _is_small(entry: Entry) -> bool:
    """True for a hub on the ground with one strut and nothing to hold."""
    return (isinstance(entry, Step) and entry.height_mm < ON_GROUND_MM and len(entry.struts) <= 1
            and not (entry.holds or entry.carried_at))


def only_steps(group: Iterable[Entry]) -> tuple[Step, ...]:
    """The steps of a page."""
    return tuple(entry for entry in group if isinstance(entry, Step))


def steps_chapter(groups: Iterable[Sequence[Entry]]) -> Chapter:
    """The chapter of the raise."""
    return Chapter("raise", "Raise, step by step", tuple(_maker(group) for group in groups))


def _maker(entries: Sequence[Entry]) -> Maker:
    def make(book: Book, number: int) -> Page:
        return steps_page(book, number, entries)
    return make


def steps_page(book: Book, number: int, entries: Sequence[Entry]) -> Page:
    """One page of steps."""
    steps = only_steps(entries)
    places = tuple(_places(book, entries))
    panels = [Panel(book, entry, _before(book.plan, entry), top, height)
              for entry, (top, height) in zip(entries, places, strict=True) if isinstance(entry, Step)]
    items = [item for panel in panels for item in panel_items(panel)]
    for entry, (top, height) in zip(entries, places, strict=True):
        if isinstance(entry, RingCheck):
            items += ring_check(book, entry, (book.area[0], top, book.width_mm, height))
    limits = any(step.push_limit_n is not None or step.free_end_limit_n for step in steps)
    foot = LIMITS_FOOT.format(page=book.first["safety"]) if limits else ""
    return finished_page(book, number, _head(book, entries), items, marks=tuple(_marks(book, number, panels)),
                         foot=foot)


def _before(plan: Plan, step: Step) -> Step | None:
    """The step before."""
    return plan.steps[step.number - 2] if step.number > 1 else None


def _places(book: Book, entries: Sequence[Entry]) -> Iterator[tuple[float, float]]:
    """Upper edge and height of each: three places on a page for small steps, else two [mm]."""
    _, top, _, bottom = book.area
    room = SMALL_A_PAGE if len(entries) > FULL_A_PAGE else FULL_A_PAGE
    height = (bottom - top - (room - 1) * GAP_MM) / room
    yield from ((top + place * (height + GAP_MM), height) for place in range(len(entries)))


def _head(book: Book, entries: Sequence[Entry]) -> str:
    """Ring and steps."""
    steps = only_steps(entries)
    first = steps[0] if steps else next(entry.step for entry in entries if isinstance(entry, RingCheck))
    where = f"{first.piece}, " if first.piece else ""
    numbers = f"steps {first.number} to {steps[-1].number}" if len(steps) > 1 else f"step {first.number}"
    return f"Raise · {where}{ring_words(book.frame, first.ring)} · {numbers} of {len(book.plan.steps)}"


def _marks(book: Book, number: int, panels: Iterable[Panel]) -> Iterator[Mark]:
    """The chapter, a new ring, each step."""
    if number == book.first["raise"]:
        yield Mark("raise", "Raise, step by step")
    for panel in panels:
        step, before = panel.step, panel.before
        if before is None or (before.ring, before.piece, before.joins) != (step.ring, step.piece, step.joins):
            name = ring_words(book.frame, step.ring)
            title = f"{step.piece}, {name}" if step.piece else name.capitalize()
            yield Mark(f"ring{step.piece}{step.ring}at{step.number}", title, 1)
        yield Mark(f"step{step.number}", f"{step.number}  {headline(step)}", 2, panel.top_mm)


def panel_items(panel: Panel) -> Iterator[Item]:
    """The step from its first line down: picture and parts on the left, the hub on the right."""
    yield from _bar(panel)
    lead, rows = _lead(panel), step_rows(panel.book.kit, panel.step)
    top, x = lead.y_mm + 1.0, panel.left_mm + panel.table_mm + 4.0
    dial = panel.dial_scale * DIAL_MM[1]
    beside, below = _notes(panel, (x, top + dial + 1.5))
    table = TABLE_HEAD_MM + ROW_MM * len(rows) + 1.0
    picture = panel.bottom_mm - top - table - below.y_mm
    yield from (*lead.items, *beside.items, *shifted(below.items, panel.left_mm, panel.bottom_mm - below.y_mm))
    yield Picture(stage_picture(panel.book, panel.step, (panel.table_mm, picture - 1.0)), panel.left_mm, top)
    yield Picture(_dial(panel), x, top, panel.dial_scale)
    yield from _table(panel, rows, top + picture)


def _lead(panel: Panel) -> Column:
    """Who holds what, where to stand: across the panel below its first line."""
    column = Column(panel.left_mm, panel.top_mm + BAR_MM + 1.2, panel.book.width_mm)
    hold, stand = lead_lines(panel.step, panel.before, panel.book.frame)
    column.text(glued(hold), bold=True)
    column.text(glued(stand))
    return column


def _notes(panel: Panel, at: tuple[float, float]) -> tuple[Column, Column]:
    """Notes below the dial as far as there is room; the others for the whole width, at their own origin."""
    beside, below = Column(*at, panel.side_mm), Column(0.0, 0.0, panel.book.width_mm)
    for note in map(glued, notes(panel.step)):
        tried = Column(beside.x_mm, beside.y_mm, beside.width_mm)
        tried.points((note,))
        if below.items or tried.y_mm > panel.bottom_mm + 0.5:
            below.points((note,))
        else:
            beside.items += tried.items
            beside.y_mm = tried.y_mm
    return beside, below


def _bar(panel: Panel) -> Iterator[Item]:
    """What to do: number, words, box to tick when done."""
    step, width = panel.step, panel.book.width_mm
    yield from heading_bar(f"{step.number}   {headline(step)}", (panel.left_mm, panel.top_mm, width - 13.0, BAR_MM),
                           CLEAR_MM)
    yield tick_box(panel.left_mm + width - BAR_MM, panel.top_mm + BAR_MM / 2, BAR_MM - 0.6)


def stage_picture(book: Book, step: Step, size_mm: tuple[float, float]) -> Drawing:
    """The frame turned so that the work faces you: what stands, what goes in now, what is held."""
    standing = standing_before(book.plan, step)
    showing = Showing(standing, this=step.hub, new=frozenset(item.strut for item in step.struts),
                      hold=frozenset(step.holds), left_out=frozenset(book.plan.left_out))
    return frame_view(book.frame, showing, size_mm=size_mm)


def standing_before(plan: Plan, step: Step) -> frozenset[str]:
    """Places filled before a step."""
    done = plan.steps[:step.number - 1]
    return frozenset(place for each in done for place in (each.hub, *(item.strut for item in each.struts)))


def _dial(panel: Panel) -> Drawing:
    """The hub as it is when the step is done."""
    step = panel.step
    filled = standing_before(panel.book.plan, step) | {step.hub, *(item.strut for item in step.struts)}
    return hub_dial(panel.book.frame, step.hub, standing=filled, size_mm=DIAL_MM)


def _table(panel: Panel, rows: Sequence[StepRow], top_mm: float) -> Iterator[Item]:
    """Parts in the order in which they go in."""
    x = panel.left_mm
    columns = _column_edges_mm(rows, panel.table_mm)
    for word, at in zip(("in this order", "class", "first onto", "then onto"), columns, strict=False):
        yield Words(word, x + at, top_mm + TABLE_HEAD_MM - 1.4, SMALL_MM)
    yield Rule((x, top_mm + TABLE_HEAD_MM), (x + panel.table_mm, top_mm + TABLE_HEAD_MM), 0.25)
    for number, row in enumerate(rows):
        middle = top_mm + TABLE_HEAD_MM + (number + 0.5) * ROW_MM
        yield from _row(row, number + 1, (x, middle), columns, panel.table_mm)


def _column_edges_mm(rows: Sequence[StepRow], width_mm: float) -> tuple[float, ...]:
    """Left edges of ID, class and both ends; the ends share what is left [mm]."""
    ids = TICK_MM + 2.0 + 4.0 + max(text_width_mm(row.part_id or row.place, BODY_MM, bold=True) for row in rows) + 2.5
    classes = max(10.0, *(_class_width_mm(row) + 2.8 for row in rows))
    rest = (width_mm - ids - classes) / 2
    return 0.0, ids, ids + classes, ids + classes + rest


def _class_width_mm(row: StepRow) -> float:
    """Width of the class and its bands [mm]."""
    if not row.bands:
        return 0.0
    return text_width_mm(row.part_class, BODY_MM, bold=True) + (0.6 + bands_width(row.bands)) * CAP_HEIGHT * BODY_MM


def _row(row: StepRow, number: int, at: tuple[float, float], columns: Sequence[float], panel_mm: float
         ) -> Iterator[Item]:
    """One part."""
    x, middle = at
    baseline = middle + CAP_HEIGHT * BODY_MM / 2
    yield tick_box(x, middle)
    yield Words(str(number), x + TICK_MM + 2.0, baseline, BODY_MM)
    yield Words(row.part_id or row.place, x + TICK_MM + 6.0, baseline, BODY_MM, bold=True)
    if row.bands:
        yield Words(row.part_class, x + columns[1], baseline, BODY_MM, bold=True)
        after = x + columns[1] + text_width_mm(row.part_class, BODY_MM, bold=True) + 0.6 * CAP_HEIGHT * BODY_MM
        yield from band_marks(band_widths(row.bands), after, middle, CAP_HEIGHT * BODY_MM, BAND_GAP)
    if row.then:
        room = (panel_mm - columns[2]) / 2
        yield Words(row.first, x + columns[2], baseline, fitting_size_mm(row.first, room - 1.5, BODY_MM))
        yield Words(row.then, x + columns[3], baseline, fitting_size_mm(row.then, room, BODY_MM))
    else:
        yield Words(row.first, x + columns[1], baseline, fitting_size_mm(row.first, panel_mm - columns[1], BODY_MM))
