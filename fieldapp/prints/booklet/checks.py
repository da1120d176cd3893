"""The check at the end of a ring: look at it, write down when and who, go on."""

from collections.abc import Iterator
from dataclasses import dataclass

from fieldapp.base.words import _
from fieldapp.plan.plan import Step
from fieldapp.prints.common.book import Book
from fieldapp.prints.pictures import Showing, frame_view
from fieldapp.wording.place import joined
from fieldapp.wording.raising import Run
from labels.drawing import Drawing
from labels.page import Outline, PageItem, Picture
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
    yield _("Every hub: marked face outward, its arrow up the frame")
    yield _(book.how.every_strut)
    yield _(book.how.nothing_broken)
    holds = check.run.steps[-1].holds
    yield _("Held now: {hubs}").format(hubs=joined(holds)) if holds else _("Nobody needs to hold a hub now")
    if check.last:
        yield _("Pegs or ballast are in as the local rules ask; ladders and loose parts are out of the way")
        yield _("A competent person has looked at it and lets people in")
