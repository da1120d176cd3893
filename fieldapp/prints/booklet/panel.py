"""One step of the booklet: its first line, who holds what, the stage, the hub, the parts in order, limits."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.words import _
from fieldapp.plan.plan import Plan, Step
from fieldapp.prints.booklet.lifts import lift_page_words
from fieldapp.prints.common.book import Book
from fieldapp.prints.pictures import Showing, frame_view, hub_dial
from fieldapp.wording.raising import StepRow, glued, headline, lead_lines, notes, step_rows, waits_note
from labels.drawing import Drawing
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import PageItem, Picture
from labels.page_forms import TICK_MM, band_marks, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, Column, fitting_size_mm, heading_bar, shifted, shortened
from labels.pieces import ThinLine, Words
from labels.textblock import BAND_GAP, band_widths, bands_width

BAR_MM = 9.5
ROW_MM = 6.3
TABLE_HEAD_MM = 4.6
NOTE_SLACK_MM = 0.6
LEAST_PICTURE_MM = 33.0
"""A step whose picture would be lower gets more room [mm]."""

LARGEST_PICTURE = 0.85
"""Largest height of a picture as a share of its width."""

DIAL_MM = (80.0, 70.0)
"""Size of the hub's picture in its own scale [mm]."""

FULL_DIAL, SMALL_DIAL = 0.9, 0.8
"""Scale of the hub's picture in a full and in a small panel."""

SHORT_NAME = 3
"""Signs of a hub's name in a frame of fewer than a hundred."""

MOST_BANDS_MM = 14.0
"""Classes whose bands are wider are named by their letter alone [mm]."""

MOST_MARKS_MM = 22.0
"""Room beside an ID for what the part carried before [mm]."""

FULL_FROM_MM = 110.0
"""Height from which on a panel is a full one [mm]."""


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
        """Scale of the hub's picture: smaller in a small panel, and where long names need a wide table."""
        long_names = len(self.book.frame.hubs[0].name) > SHORT_NAME
        return SMALL_DIAL if long_names or self.height_mm < FULL_FROM_MM else FULL_DIAL

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


def panel_items(panel: Panel) -> Iterator[PageItem]:
    """The step from its first line down: picture and parts on the left, the hub on the right."""
    parts = arranged(panel)
    yield from _bar(panel)
    yield from (*parts.lead.items, *parts.beside.items,
                *shifted(parts.below.items, panel.left_mm, panel.bottom_mm - parts.below.y_mm))
    size = (panel.table_mm, parts.picture_mm - 1.0)
    yield Picture(stage_picture(panel.book, panel.step, size), panel.left_mm, parts.top_mm)
    yield Picture(_dial(panel), parts.beside.x_mm, parts.top_mm, panel.dial_scale)
    yield from _table(panel, parts.rows, parts.top_mm + parts.picture_mm)


@dataclass(frozen=True, slots=True)
class Arranged:
    """Where the parts of a panel go [mm]."""

    lead: Column
    rows: tuple[StepRow, ...]
    beside: Column
    below: Column
    top_mm: float
    """Upper edge of both pictures."""
    picture_mm: float
    """Height left for the picture of the stage."""
    fits: bool
    """False if notes run into each other or the picture gets too small."""


def arranged(panel: Panel) -> Arranged:
    """Lead, pictures, parts and notes within the panel."""
    lead, rows = _lead(panel), step_rows(panel.book.kit, panel.step)
    top = lead.y_mm + 1.0
    beside, below = _notes(panel, (panel.left_mm + panel.table_mm + 4.0, top + panel.dial_scale * DIAL_MM[1] + 1.5))
    floor = panel.bottom_mm - below.y_mm
    picture = min(floor - top - TABLE_HEAD_MM - ROW_MM * len(rows) - 1.0, LARGEST_PICTURE * panel.table_mm)
    fits = beside.y_mm <= floor + NOTE_SLACK_MM and picture >= LEAST_PICTURE_MM
    return Arranged(lead, rows, beside, below, top, picture, fits)


def _lead(panel: Panel) -> Column:
    """Who holds what and what must be in before, where to stand: across the panel below its first line."""
    column = Column(panel.left_mm, panel.top_mm + BAR_MM + 1.2, panel.book.width_mm)
    hold, stand = lead_lines(panel.step, panel.before, panel.book.frame)
    waits = " ".join(filter(None, (lift_page_words(panel.book, panel.step, "up"), waits_note(panel.step))))
    column.text(glued(f"{hold} {waits}" if hold and waits else hold), bold=True)
    column.text(glued(f"{stand} {waits}" if waits and not hold else stand))
    return column


def _notes(panel: Panel, at: tuple[float, float]) -> tuple[Column, Column]:
    """Notes below the dial as far as there is room, the others across the panel, at their own origin."""
    texts = tuple(map(glued, notes(panel.step)))
    for count in range(len(texts), -1, -1):
        beside, below = Column(*at, panel.side_mm), Column(0.0, 0.0, panel.book.width_mm)
        beside.points(texts[:count])
        below.points(texts[count:])
        if beside.y_mm <= panel.bottom_mm - below.y_mm + NOTE_SLACK_MM:
            break
    return beside, below


def _bar(panel: Panel) -> Iterator[PageItem]:
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


def _table(panel: Panel, rows: Sequence[StepRow], top_mm: float) -> Iterator[PageItem]:
    """Parts in the order in which they go in."""
    x = panel.left_mm
    columns = _column_edges_mm(rows, panel.table_mm)
    for word, at in zip((_("in this order"), _("class"), _("first onto"), _("then onto")), columns, strict=False):
        yield Words(word, x + at, top_mm + TABLE_HEAD_MM - 1.4, SMALL_MM)
    yield ThinLine((x, top_mm + TABLE_HEAD_MM), (x + panel.table_mm, top_mm + TABLE_HEAD_MM), 0.25)
    for number, row in enumerate(rows):
        middle = top_mm + TABLE_HEAD_MM + (number + 0.5) * ROW_MM
        yield from _row(row, number + 1, (x, middle), columns, panel.table_mm)


def _column_edges_mm(rows: Sequence[StepRow], width_mm: float) -> tuple[float, ...]:
    """Left edges of ID, class and both ends; the ends share what is left [mm]."""
    ids = TICK_MM + 2.0 + 4.0 + max(map(_id_width_mm, rows)) + 2.5
    classes = max(10.0, *(_class_width_mm(row) + 2.8 for row in rows))
    rest = (width_mm - ids - classes) / 2
    return 0.0, ids, ids + classes, ids + classes + rest


def _id_width_mm(row: StepRow) -> float:
    """Width of the ID and of what the part carried before [mm]."""
    name = text_width_mm(row.part_id or row.place, BODY_MM, bold=True)
    return name + (1.5 + text_width_mm(_marks(row), SMALL_MM) if row.carries else 0.0)


def _marks(row: StepRow) -> str:
    """What the part carried before, as far as the column of IDs may grow for it."""
    return shortened(row.carries, MOST_MARKS_MM, SMALL_MM)


def _class_width_mm(row: StepRow) -> float:
    """Width of the class and its bands [mm]."""
    if not row.bands:
        return 0.0
    letter = text_width_mm(row.part_class, BODY_MM, bold=True)
    return letter + ((0.6 + bands_width(row.bands)) * CAP_HEIGHT * BODY_MM if _shows_bands(row) else 0.0)


def _shows_bands(row: StepRow) -> bool:
    """True if the bands of the class are few enough to be counted and to leave room for the words."""
    return bands_width(row.bands) * CAP_HEIGHT * BODY_MM <= MOST_BANDS_MM


def _row(row: StepRow, number: int, at: tuple[float, float], columns: Sequence[float], panel_mm: float
         ) -> Iterator[PageItem]:
    """One part."""
    x, middle = at
    baseline = middle + CAP_HEIGHT * BODY_MM / 2
    yield tick_box(x, middle)
    yield Words(str(number), x + TICK_MM + 2.0, baseline, BODY_MM)
    yield Words(row.part_id or row.place, x + TICK_MM + 6.0, baseline, BODY_MM, bold=True)
    if row.carries:
        after = x + TICK_MM + 7.5 + text_width_mm(row.part_id, BODY_MM, bold=True)
        yield Words(_marks(row), after, baseline, SMALL_MM)
    if row.bands:
        yield Words(row.part_class, x + columns[1], baseline, BODY_MM, bold=True)
        after = x + columns[1] + text_width_mm(row.part_class, BODY_MM, bold=True) + 0.6 * CAP_HEIGHT * BODY_MM
        if _shows_bands(row):
            yield from band_marks(band_widths(row.bands), after, middle, CAP_HEIGHT * BODY_MM, BAND_GAP)
    if row.then:
        room = (panel_mm - columns[2]) / 2
        yield Words(row.first, x + columns[2], baseline, fitting_size_mm(row.first, room - 1.5, BODY_MM))
        yield Words(row.then, x + columns[3], baseline, fitting_size_mm(row.then, room, BODY_MM))
    else:
        yield Words(row.first, x + columns[1], baseline, fitting_size_mm(row.first, panel_mm - columns[1], BODY_MM))
