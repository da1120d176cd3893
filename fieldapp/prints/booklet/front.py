"""The booklet's first pages: cover, safety and contents, how to read a step."""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from fieldapp.base.duration import Stands
from fieldapp.base.joints.joint import Assembly
from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words
from fieldapp.base.units import m_from_mm
from fieldapp.base.words import _, marked
from fieldapp.frame.frame import Frame
from fieldapp.kit.sections import classes_by_section, classes_drawn
from fieldapp.plan.plan import Step
from fieldapp.plan.teams import TEAM_PEOPLE
from fieldapp.plan.ways import named
from fieldapp.plan.words import SAFETY
from fieldapp.prints.booklet.panel import stage_picture, standing_before
from fieldapp.prints.common.book import Book, Chapter, finished_page
from fieldapp.prints.pictures import Showing, hub_dial, plan_view
from fieldapp.prints.pictures.signs import PERSON_HEIGHT_MM, Sample, legend
from fieldapp.wording.counted import (
    hubs_words,
    people_words,
    places_words,
    spares_words,
    steps_words,
    struts_words,
    teams_words,
)
from fieldapp.wording.facing import facing
from fieldapp.wording.fit import fit_rules, joint_rules, strength_rules
from fieldapp.wording.pegs import peg_rules
from fieldapp.wording.raising import glued
from fieldapp.wording.site_rules import site_rules
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Mark, Page, PageItem, Picture
from labels.page_forms import band_marks
from labels.page_text import BODY_MM, CLEAR_MM, Column, fitting_size_mm
from labels.pieces import ThinLine, Words
from labels.textblock import BAND_GAP, band_widths, bands_width

TITLE_MM = 15.0
"""Largest type size of the name on the cover [mm]."""

PLAN_SCALE = 1.3
"""The plan on the cover is drawn small and printed larger, for larger names."""

TALK_MM = 5.2
"""Type size of what is read aloud before the work [mm]."""

TALK_SIZES_MM = (TALK_MM, 5.0, 4.8, 4.6, 4.4)
"""The same where there is more to say: the largest that fits the page [mm]."""

FACT_LABEL_MM = 38.0
"""Least room for the words before a fact [mm]."""

MANY_BANDS = 8
"""More classes than this are shown by the first ones only."""


def front_chapters() -> tuple[Chapter, ...]:
    """Cover, safety, how to read."""
    return (Chapter("cover", _("Cover"), (cover_page,), in_contents=False),
            Chapter("safety", _("Safety and contents"), (safety_page,), in_contents=False),
            Chapter("read", _("How to read a step"), (reading_page,)))


def cover_page(book: Book, number: int) -> Page:
    """The name, the plan with the front mark, the figures."""
    left, right, bottom = book.area[0], *book.area[2:]
    column = book.column()
    column.gap(2.0)
    column.line(book.name, fitting_size_mm(book.name, column.width_mm, TITLE_MM, bold=True), bold=True)
    column.line(_("Booklet for raising and striking"), CLEAR_MM)
    facts = tuple(_facts(book))
    facts_mm = 1.6 * BODY_MM * len(facts)
    size = min(right - left, bottom - facts_mm - column.y_mm - 8.0)
    showing = Showing(standing=_filled(book), left_out=frozenset(book.plan.left_out),
                      labels=tuple(hub.name for hub in book.frame.hubs if hub.name not in book.plan.left_out))
    plan = plan_view(book.frame, showing, size_mm=size / PLAN_SCALE)
    picture = Picture(plan, (left + right - size) / 2, column.y_mm + 3.0, PLAN_SCALE)
    items = (*column.items, picture, *_fact_rows(facts, (left, bottom - facts_mm, right)))
    return Page(items, (Mark("cover", _("Cover")),))


def _filled(book: Book) -> frozenset[str]:
    """All places that the plan fills."""
    return frozenset(book.plan.step_of)


def _size(frame: Frame) -> str:
    """Of a sphere its width, of a drawn frame width and depth."""
    high = decimal(m_from_mm(frame.height_mm), 2)
    if not frame.drawn:
        return _("{across} m across, {high} m high").format(
            across=decimal(m_from_mm(2 * frame.radius_mm), 2), high=high)
    wide_mm, deep_mm, _up = np.ptp(frame.nodes_mm, axis=0)
    return _("{wide} m wide at the front mark, {deep} m deep, {high} m high").format(
        wide=decimal(m_from_mm(wide_mm), 2), deep=decimal(m_from_mm(deep_mm), 2), high=high)


def _facts(book: Book) -> Iterator[tuple[str, str]]:
    """What the frame is, in figures."""
    frame, design = book.frame, book.kit.design
    hubs = len({step.hub for step in book.plan.steps})
    struts = sum(len(step.struts) for step in book.plan.steps)
    spares = sum(part.is_spare for part in book.kit.parts)
    yield _("Part IDs begin"), f"{design.frame.prefix}-"
    yield _("Size"), _size(frame)
    yield _("Parts"), _("{hubs}, {struts}, {spares}; {mass} kg").format(
        hubs=hubs_words(hubs), struts=struts_words(struts), spares=spares_words(spares),
        mass=decimal(book.kit.mass_kg))
    yield _("Way"), f"{in_words(named(book.plan.way))}, {steps_words(len(book.plan.steps))}"
    yield _("Reckoned for"), f"{_(STANDS[design.raising.stands])}, {_(DAMP[design.raising.service_class])}"
    yield _("Crew"), f"{people_words(design.crew.people)}, {teams_words(design.crew.teams)}"
    if book.plan.left_out:
        hubs_out = [place for place in book.plan.left_out if place in frame.hub_index]
        yield _("Left out"), _("{hub} with its struts").format(hub=hubs_out[0]) if len(hubs_out) == 1 else \
            _("{places}, listed with the parts").format(places=places_words(len(book.plan.left_out)))
    yield _("Phone page"), design.site.address


STANDS: dict[Stands, str] = {"hours": marked("some hours"), "a weekend": marked("a week at most"),
                             "weeks": marked("half a year at most"), "for good": marked("standing for good")}
DAMP = {1: marked("indoors"), 2: marked("under a roof or in dry weather"), 3: marked("rain")}
"""How long it stands, and how damp: what the limits are reckoned for."""


def _fact_rows(facts: Sequence[tuple[str, str]], place: tuple[float, float, float]) -> Iterator[PageItem]:
    """Label and figure, a thin rule between."""
    left, y, right = place
    beside = max(FACT_LABEL_MM, *(text_width_mm(label, BODY_MM) + 3.0 for label, _words in facts))
    for label, words in facts:
        y += 1.6 * BODY_MM
        yield Words(label, left, y - 1.6, BODY_MM)
        yield Words(words, left + beside, y - 1.6,
                    fitting_size_mm(words, right - left - beside, BODY_MM, bold=True), bold=True)
        yield ThinLine((left, y), (right, y), 0.2)


def safety_page(book: Book, number: int) -> Page:
    """The caution that belongs to every limit, the rules of the site, and the contents; as large as there is room."""
    columns = (_safety(book, size_mm) for size_mm in TALK_SIZES_MM)
    column = next((column for column in columns if column.y_mm <= book.area[3]), None) or _safety(book, BODY_MM)
    title = _("Safety and contents")
    return finished_page(book, number, title, column.items, marks=(Mark("safety", title),))


def _safety(book: Book, size_mm: float) -> Column:
    """All that stands on the page, in letters of this size."""
    column = book.column()
    column.bar(_("Read this first"))
    column.text(_(SAFETY), size_mm, bold=True)
    column.gap(3.0)
    terrain = book.kit.design.raising.terrain
    rules = (*strength_rules(book.kit.design), *site_rules(book.how, book.told.wind_limit_m_s, terrain),
             *peg_rules(book.plan, book.ground), *fit_rules(book.told.fit), *joint_rules(book.kit.design))
    column.points(map(glued, rules), size_mm)
    column.gap(3.0)
    column.bar(_("Contents"))
    for key, title in book.contents:
        column.link_line(title, key, size_mm, right=str(book.first[key]))
    return column


def reading_page(book: Book, number: int) -> Page:
    """A step explained with this frame's own pictures."""
    step = _example(book.plan.steps)
    column, title = book.column(), _("How to read a step")
    column.bar(title)
    column.points(_step_words(book.how), TALK_MM)
    column.gap(1.5)
    top, half = column.y_mm, (book.width_mm - 6.0) / 2
    items = [*column.items, Picture(stage_picture(book, step, (half, 62.0)), column.x_mm, top)]
    right = Column(column.x_mm + half + 6.0, top, half)
    items += legend(_samples(step), (right.x_mm, top, half))
    below = Column(column.x_mm, top + 66.0, book.width_mm)
    items += _dial_words(book, step, below)
    items += _band_words(book, below)
    return finished_page(book, number, title, (*items, *below.items), marks=(Mark("read", title),))


def _step_words(how: Assembly) -> tuple[str, ...]:
    """What each step shows, from its first line down."""
    return (_("The black line says what to do. Tick the box at its end when the step is in."),
            _("Below it, in bold: who holds which hub, and what must be in before. Then where the hub is and what to "
              "stand on."),
            _("The parts are listed in the order in which they go in. Compare the whole ID with the label, then tick."),
            _("{all} people work at a step: 1 at the hub, {rest} at the struts. Others hold.").format(
                all=TEAM_PEOPLE, rest=TEAM_PEOPLE - 1),
            _(how.talk),
            _("If another part sits at a place, write it on the page for exchanges: from then on the place counts."))


def _example(steps: Sequence[Step]) -> Step:
    """A step that shows most: a held hub and struts; the one nearest to the middle of the raise."""
    middle = len(steps) / 2
    return min(steps, key=lambda step: (not step.holds, len(step.struts) < 2, abs(step.number - middle)))


def _samples(step: Step) -> tuple[Sample, ...]:
    """What the lines and signs of the picture mean."""
    return (Sample("this", _("the hub of this step, here {hub}").format(hub=step.hub)),
            Sample("new", _("struts of this step")),
            Sample("standing", _("stands already")), Sample("far", _("stands, on the far side")),
            Sample("later", _("comes later")), Sample("hold", _("hub that somebody or a prop holds")),
            Sample("mark", _("front mark: everybody counts from here")),
            Sample("person", _("{height} m, for scale").format(height=decimal(m_from_mm(PERSON_HEIGHT_MM), 2))))


def _dial_words(book: Book, step: Step, column: Column) -> Iterable[PageItem]:
    """The dial with what it means beside it."""
    scale = 0.9
    dial = hub_dial(book.frame, step.hub, size_mm=(80.0, 70.0),
                    standing=standing_before(book.plan, step) | {step.hub, *(item.strut for item in step.struts)})
    picture = Picture(dial, column.x_mm, column.y_mm, scale)
    words = Column(column.x_mm + 80.0 * scale + 6.0, column.y_mm, column.width_mm - 80.0 * scale - 6.0)
    seen = facing(book.frame)
    words.line(_(seen.heading), bold=True)
    words.points((_(seen.turn),
                  _("Arms are numbered clockwise. Arm 1 is the first one at straight up or clockwise of it."),
                  _("Thick arms have their strut when the step is in; dashed arms wait."),
                  _("Beside each arm: its strut and the strut's class.")))
    column.y_mm = max(words.y_mm, column.y_mm + 70.0 * scale) + 2.0
    return (picture, *words.items)


def _band_words(book: Book, column: Column) -> Iterator[PageItem]:
    """Classes by letter and bands, and the ends of a strut."""
    column.line(_("Strut classes and ends"), bold=True)
    middle, x, cap = column.y_mm + 4.0, column.x_mm, CAP_HEIGHT * CLEAR_MM
    for each in book.frame.strut_classes[:MANY_BANDS]:
        if x + 5.5 + bands_width(each.bands) * cap > column.x_mm + column.width_mm:
            break
        yield Words(each.letter, x, middle + cap / 2, CLEAR_MM, bold=True)
        yield from band_marks(band_widths(each.bands), x + 5.5, middle, cap, BAND_GAP)
        x += 5.5 + bands_width(each.bands) * cap + 8.0
    column.gap(9.5)
    column.text(_("Letter and bands say how long a strut is, A being the shortest. End 1 is the lower one; on a level "
                  "strut it is the right-hand one for somebody outside. The label at each end says where that end "
                  "goes; a spare's says which part it is, and no more."))
    for letters, of in (*classes_by_section(book.kit), *classes_drawn(book.frame)):
        column.text(f"{', '.join(letters)}: {in_words(of)}")
