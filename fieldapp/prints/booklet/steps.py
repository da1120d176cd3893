"""The pages of the raise: one to three steps a page, a check at the end of each ring."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _, marked
from fieldapp.plan.pegs import Pegging
from fieldapp.plan.plan import Step
from fieldapp.prints.booklet.panel import Panel, arranged, panel_items
from fieldapp.prints.booklet.pegs import peg_height_mm, peg_panel
from fieldapp.prints.common.book import Book, Chapter, finished_page
from fieldapp.prints.pictures import Showing, frame_view
from fieldapp.wording.facing import facing
from fieldapp.wording.fit import gap_question
from fieldapp.wording.pegs import hubs_said
from fieldapp.wording.place import sentence
from fieldapp.wording.raising import ON_GROUND_MM, Run, headline, step_runs
from labels.drawing import Drawing
from labels.page import Mark, Outline, Page, PageItem, Picture
from labels.page_forms import TICK_MM, field, tick_box, writing_lines
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, Column, fitting_size_mm, heading_bar
from labels.pieces import Words

BAR_MM = 9.5
ROW_MM = 7.6
FIELD_MM = 11.0
LIST_MM = 115.0
"""Height of a list with a few lines to write on [mm]."""

LEAST_PICTURE_MM = 60.0
"""With so much room left, what stands is shown above the list [mm]."""

STEP_SHARES = (1 / 3, 1 / 2, 0.62)
"""Parts of a page that a step may take: the first for a hub on the ground, the last if there is much to say."""
CHECK_SHARE = 0.38
ROUNDING = 1e-9
GAP_MM = 4.0
"""Between the steps of a page [mm]."""
LIMITS_FOOT = marked("Limits are a guide for planning and for stopping early: see page {page}.")


@dataclass(frozen=True, slots=True)
class RingCheck:
    """Stands after the last step of a run."""

    run: Run
    last: bool
    """True if the frame is complete."""


def ring_check(book: Book, check: RingCheck, rect: tuple[float, float, float, float]) -> Iterator[PageItem]:
    """A framed list to tick within (x, y, width, height), with fields for time and name."""
    x, y, width, height = rect
    title = _("The frame stands: check before anybody goes in") if check.last else \
        _("Check before you go on: {run}").format(run=check.run.name)
    yield from heading_bar(title, (x, y, width, BAR_MM), CLEAR_MM)
    yield Outline(x, y, width, height, 0.4)
    top = y + BAR_MM + 2.5
    if height > LIST_MM + LEAST_PICTURE_MM:
        size = (width - 6.0, height - LIST_MM)
        yield Picture(_stage(book, check.run.steps[-1], size), x + 3.0, top)
        top += size[1]
    for question in _questions(book, check):
        yield tick_box(x + 3.0, top + ROW_MM / 2)
        words = Column(x + 3.0 + TICK_MM + 2.5, top + (ROW_MM - 1.28 * BODY_MM) / 2, width - TICK_MM - 9.0)
        words.line(question, fitting_size_mm(question, words.width_mm, BODY_MM))
        yield from words.items
        top += ROW_MM
    bottom = y + height - 3.0
    lines = int((bottom - FIELD_MM - top - SMALL_MM) // FIELD_MM)
    yield Words(_("To remember"), x + 3.0, top + SMALL_MM + 1.0, SMALL_MM)
    yield from writing_lines(x + 3.0, top + 1.0, width - 6.0, count=lines, pitch_mm=FIELD_MM)
    third = (width - 6.0) / 3
    for number, label in enumerate((_("Begun at"), _("Done at"), _("Checked by"))):
        yield from field(label, (x + 3.0 + number * third, bottom - FIELD_MM, third - 4.0, FIELD_MM))


def _stage(book: Book, last: Step, size_mm: tuple[float, float]) -> Drawing:
    """The frame as it should stand now."""
    done = book.plan.steps[:last.number]
    standing = frozenset(place for step in done for place in (step.hub, *(item.strut for item in step.struts)))
    showing = Showing(standing, hold=frozenset(last.holds), left_out=frozenset(book.plan.left_out))
    return frame_view(book.frame, showing, size_mm=size_mm)


def _questions(book: Book, check: RingCheck) -> Iterator[str]:
    """What to look at."""
    first = check.run.steps[0]
    if first.number == 1 and book.frame.hub(first.hub).on_ground:
        yield _("The ground is level under every hub, and the first hub is at the front mark")
    yield _(facing(book.frame).check)
    yield _(book.how.every_strut)
    yield _(book.how.nothing_broken)
    yield from gap_question(book.told.fit, check.run, book.frame)
    holds = check.run.steps[-1].holds
    yield _("Held now: {hubs}").format(hubs=listed(holds)) if holds else _("Nobody needs to hold a hub now")
    pegged = [foot.hub for foot in book.plan.held_before(check.run.steps[-1].number)]
    if pegged:
        yield _("Pegged or weighed down: {hubs}").format(hubs=in_words(hubs_said(pegged)))
    if check.last:
        yield _("Pegs or ballast are in as the local rules ask; ladders and loose parts are out of the way")
        yield _("A competent person has looked at it and lets people in")


StepOrCheck = Step | RingCheck | Pegging


@dataclass(frozen=True, slots=True)
class StepPage:
    """What stands on one page, all of one run."""

    run: Run
    entries: tuple[StepOrCheck, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """Its steps, without pegs and check."""
        return tuple(entry for entry in self.entries if isinstance(entry, Step))


def step_pages(book: Book) -> tuple[StepPage, ...]:
    """The steps of each page: a new run begins a new page and ends with a check.

    Parameters
    ----------
    book : Book
        Its page numbers may still be missing.
    """
    pages: list[StepPage] = []
    for run in step_runs(book.frame, book.plan):
        room = 0.0
        entries = tuple(_entries(book, run))
        for entry in entries:
            share = _share(book, entry)
            if share > room + ROUNDING:
                pages.append(StepPage(run, ()))
                room = 1.0
            pages[-1] = StepPage(run, (*pages[-1].entries, entry))
            room -= share
    return tuple(pages)


def _entries(book: Book, run: Run) -> Iterator[StepOrCheck]:
    """The steps of a run, before each what is pegged for it, and the check at its end."""
    last = run.steps[-1] is book.plan.steps[-1]
    for step in run.steps:
        yield from _pegged_before(book, step.number)
        yield step
    if last:
        yield from _pegged_before(book, len(book.plan.steps) + 1)
    yield RingCheck(run, last)


def _pegged_before(book: Book, number: int) -> Iterator[Pegging]:
    return (pegging for pegging in book.plan.peggings if pegging.before == number)


def _share(book: Book, entry: StepOrCheck) -> float:
    """The part of a page that an entry needs: the smallest one in which nothing runs into each other."""
    if isinstance(entry, RingCheck):
        return CHECK_SHARE
    if isinstance(entry, Pegging):
        return (peg_height_mm(book, entry) + GAP_MM) / (_height_mm(book, 1.0) + GAP_MM)
    small = entry.height_mm < ON_GROUND_MM and len(entry.struts) <= 1 and not (entry.holds or entry.carried_at)
    for share in STEP_SHARES if small else STEP_SHARES[1:]:
        if arranged(_panel(book, entry, (0.0, _height_mm(book, share)))).fits:
            return share
    return 1.0


def _height_mm(book: Book, share: float) -> float:
    """Height of a part of the page, without the gap that parts it from the next [mm]."""
    _, top, _, bottom = book.area
    return share * (bottom - top + GAP_MM) - GAP_MM


def _panel(book: Book, step: Step, top_height: tuple[float, float]) -> Panel:
    """The panel of a step."""
    before = book.plan.steps[step.number - 2] if step.number > 1 else None
    return Panel(book, step, before, *top_height)


def steps_chapter(pages: Iterable[StepPage]) -> Chapter:
    """The chapter of the raise."""
    return Chapter("raise", _("Raise, step by step"), tuple(partial(steps_page, page) for page in pages))


def steps_page(page: StepPage, book: Book, number: int) -> Page:
    """One page of steps."""
    places = tuple(_places(book, page.entries))
    panels = [_panel(book, entry, place) for entry, place in zip(page.entries, places, strict=True)
              if isinstance(entry, Step)]
    items = [item for panel in panels for item in panel_items(panel)]
    for entry, (top, height) in zip(page.entries, places, strict=True):
        if isinstance(entry, RingCheck):
            items += ring_check(book, entry, (book.area[0], top, book.width_mm, height))
        elif isinstance(entry, Pegging):
            items += peg_panel(book, entry, top)[0]
    limits = any(step.limits for step in page.steps)
    foot = _(LIMITS_FOOT).format(page=book.first["safety"]) if limits else ""
    marks = tuple(_marks(book, number, page, panels))
    return finished_page(book, number, _head(book, page), items, marks=marks, foot=foot)


def _places(book: Book, entries: Sequence[StepOrCheck]) -> Iterator[tuple[float, float]]:
    """Upper edge and height of each [mm].

    Equal parts where they do; a lone step has at least half a page, a lone check all of it. Pegs have what they need.
    """
    lone = len(entries) == 1 and isinstance(entries[0], RingCheck)
    shares = [1.0] if lone else [_share(book, entry) for entry in entries]
    pegs = sum(share for share, entry in zip(shares, entries, strict=True) if isinstance(entry, Pegging))
    others = sum(not isinstance(entry, Pegging) for entry in entries)
    equal, most = (1.0 - pegs) / max(1 if pegs else 2, others), (1.0 - pegs) / max(sum(shares) - pegs, ROUNDING)
    fits = all(share <= equal + ROUNDING or isinstance(entry, Pegging)
               for share, entry in zip(shares, entries, strict=True))
    y = book.area[1]
    for share, entry in zip(shares, entries, strict=True):
        if not isinstance(entry, Pegging):
            share = equal if fits else share * most if others > 1 else share
        yield y, _height_mm(book, share)
        y += _height_mm(book, share) + GAP_MM


def _head(book: Book, page: StepPage) -> str:
    """Ring and steps."""
    steps = page.steps
    if not steps:
        return _("Raise · {run} · after step {n} of {total}").format(
            run=page.run.name, n=page.run.steps[-1].number, total=len(book.plan.steps))
    words = _("Raise · {run} · steps {first} to {last} of {total}") if len(steps) > 1 else \
        _("Raise · {run} · step {first} of {total}")
    return words.format(run=page.run.name, first=steps[0].number, last=steps[-1].number, total=len(book.plan.steps))


def _marks(book: Book, number: int, page: StepPage, panels: Iterable[Panel]) -> Iterator[Mark]:
    """The chapter, a new run, each step."""
    if number == book.first["raise"]:
        yield Mark("raise", _("Raise, step by step"))
    if page.run.steps[0] in page.steps:
        yield Mark(f"run{page.run.steps[0].number}", sentence(page.run.name), 1)
    for panel in panels:
        yield Mark(f"step{panel.step.number}", f"{panel.step.number}  {headline(panel.step)}", 2, panel.top_mm)
