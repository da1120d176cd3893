"""The pages of the strike: the same steps backwards, a few lines each, a box for every part that is stored."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.reach import GROUND
from fieldapp.prints.booklet.lifts import lift_page_words
from fieldapp.prints.booklet.panel import standing_before
from fieldapp.prints.common.book import Book, Chapter, finished_page
from fieldapp.prints.pictures import Showing, frame_view
from fieldapp.reports.verdict import Verdict, planned_strike
from fieldapp.wording.pegs import then_let_go
from fieldapp.wording.place import sentence
from fieldapp.wording.raising import Run, glued, step_runs
from fieldapp.wording.strike import not_computed, strike_lines, strike_order
from labels.drawing import Drawing, Text
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Link, Mark, Page, PageItem, Picture
from labels.page_forms import TICK_MM, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, Column, heading_bar, wrapped
from labels.pieces import ThinLine, Words

NUMBER_MM = 13.0
"""Room for the step's number [mm]."""

TOKEN_ROW_MM = 6.6
NOTE_ROW_MM = 1.28 * BODY_MM
AFTER_MM = 2.6
HEAD_MM = 62.0
"""Heading of a ring with its picture [mm]."""

PICTURE_MM = (86.0, 49.0)


@dataclass(frozen=True, slots=True)
class Block:
    """One step to undo, or the heading of a run."""

    step: Step
    """For a heading: the run's step that is undone first."""
    run: Run | None = None
    """For a heading only."""
    found: Verdict | None = None
    """For a step: may it come out, in which order, who holds what; as the pages of the strike give it. None where
    nobody worked it out."""


def _rules(book: Book) -> tuple[str, ...]:
    """What holds for the whole strike."""
    return (
        _("The raise backwards: last in, first out. Start only with everybody there and the wind below the limit."),
        _(book.how.strike),
        _(book.frame.words.stack))


def strike_pages(kit: Kit, plan: Plan) -> tuple[tuple[Block, ...], ...]:
    """Blocks page by page; a heading is never the last thing on a page."""
    book = Book(kit, plan, "")
    _, top, _, bottom = book.area
    pages: list[list[Block]] = [[]]
    room = bottom - top
    for block in _blocks(kit, plan):
        height = block_height_mm(book, block)
        need = height + (30.0 if block.run else 0.0)
        if need > room and pages[-1]:
            pages.append([])
            room = bottom - top
        pages[-1].append(block)
        room -= height
    return tuple(map(tuple, pages))


def _blocks(kit: Kit, plan: Plan) -> Iterator[Block]:
    """Runs from the top, each with its heading and its steps backwards."""
    found = planned_strike(kit, plan)
    for run in reversed(step_runs(kit.frame, plan)):
        yield Block(run.steps[-1], run)
        for step in reversed(run.steps):
            yield Block(step, found=found.get(step.number))


def struck(pages: Iterable[Sequence[Block]]) -> tuple[tuple[Step, ...], ...]:
    """The steps undone on each page."""
    return tuple(tuple(block.step for block in page if block.run is None) for page in pages)


def block_height_mm(book: Book, block: Block) -> float:
    """Room that a block takes [mm]."""
    if block.run:
        return HEAD_MM + NOTE_ROW_MM * len(_not_computed_lines(book, block))
    return TOKEN_ROW_MM * len(_token_rows(book, block)) + NOTE_ROW_MM * len(_note_lines(book, block)) + AFTER_MM


def _not_computed_lines(book: Book, block: Block) -> tuple[str, ...]:
    """Under the first heading, where nobody worked the strike out."""
    if block.step is not book.plan.steps[-1] or planned_strike(book.kit, book.plan):
        return ()
    return wrapped(not_computed(), book.width_mm, BODY_MM)


def _token_rows(book: Book, block: Block) -> list[list[str]]:
    """Places of a step in rows that fit beside its number."""
    rows: list[list[str]] = [[]]
    room = width = book.width_mm - NUMBER_MM
    for token in strike_order(block.step, block.found):
        need = _token_mm(token)
        if need > room and rows[-1]:
            rows.append([])
            room = width
        rows[-1].append(token)
        room -= need
    return rows


def _token_mm(token: str) -> float:
    """Room for a place with its box [mm]."""
    return TICK_MM + 1.4 + text_width_mm(token, BODY_MM, bold=True) + 5.0


def _note_lines(book: Book, block: Block) -> tuple[str, ...]:
    """What to stand on, what to hold, what is lowered."""
    step = block.step
    text = " ".join(filter(None, (
        _stand_words(step), *strike_lines(book.kit, book.plan, step, block.found), lift_page_words(book, step, "down"),
        then_let_go(book.plan, step.number))))
    return wrapped(glued(text), book.width_mm - NUMBER_MM, BODY_MM)


def _stand_words(step: Step) -> str:
    """What to stand on, or that nothing reaches so high; empty on the ground."""
    if not step.reachable:
        return _("{hub} is {where}.").format(hub=step.hub, where=in_words(step.stand_on))
    return _("Stand on {what}.").format(what=in_words(step.stand_on)) if step.stand_on not in ("", GROUND) else ""


def strike_chapter(pages: Iterable[Sequence[Block]]) -> Chapter:
    """The chapter of the strike."""
    return Chapter("strike", _("Strike, step by step"), tuple(partial(strike_page, page) for page in pages))


def strike_page(blocks: Sequence[Block], book: Book, number: int) -> Page:
    """One page of the strike."""
    items: list[PageItem] = []
    marks = [Mark("strike", _("Strike, step by step"))] if number == book.first["strike"] else []
    y = book.area[1]
    for block in blocks:
        marks.append(_mark(block, y))
        items += _heading(book, block, block.run, y) if block.run else _undo(book, block, y)
        y += block_height_mm(book, block)
    return finished_page(book, number, _("Strike · last in, first out · tick what is stored"), items, marks=marks)


def _mark(block: Block, top_mm: float) -> Mark:
    """Runs are bookmarks, steps are marks for the index."""
    if block.run:
        return Mark(f"strike run{block.step.number}", sentence(block.run.name), 1, top_mm)
    return Mark(f"strike{block.step.number}", y_mm=top_mm)


def _heading(book: Book, block: Block, run: Run, top_mm: float) -> Iterator[PageItem]:
    """A run about to be struck: its name, its picture, the rules of the strike."""
    left, first = book.area[0], run.steps[-1]
    words = _("Take down {run}: {what}").format(run=run.name, what=run.size_words)
    yield from heading_bar(words, (left, top_mm, book.width_mm, 9.5), CLEAR_MM)
    standing = standing_before(book.plan, run.steps[0])
    out = frozenset(place for step in run.steps for place in step.places) - standing
    showing = Showing(standing, new=out, left_out=frozenset(book.plan.left_out))
    picture = frame_view(book.frame, showing, facing=first.hub, size_mm=PICTURE_MM)
    yield Picture(_unlettered(picture), left, top_mm + 11.0)
    beside = Column(left + PICTURE_MM[0] + 4.0, top_mm + 12.0, book.width_mm - PICTURE_MM[0] - 4.0)
    beside.points(_rules(book) if first is book.plan.steps[-1] else _run_notes(book, run))
    below = Column(left, top_mm + HEAD_MM - 1.0, book.width_mm)
    for line in _not_computed_lines(book, block):
        below.line(line)
    yield from (*beside.items, *below.items)


def _run_notes(book: Book, run: Run) -> Iterator[str]:
    """What is done in this run, and what must be held below it."""
    first, last = run.steps[-1].number, run.steps[0].number
    words = _("Steps {first} to {last}, backwards.") if first != last else _("Step {first}.")
    yield words.format(first=first, last=last)
    yield _("The dark parts come out. Tick each one when it is stored.")
    below = book.plan.steps[last - 2].holds if last > 1 else ()
    if below:
        yield _("When all of it is out, {hubs} must still be held.").format(hubs=listed(below))


def _unlettered(drawing: Drawing) -> Drawing:
    """The picture without its words: a whole ring of names would only crowd it."""
    kept = (item for item in drawing.items if item.role not in ("text", "halo", "note"))
    return replace(drawing, items=tuple(item for item in kept if not isinstance(item, Text)))


def _undo(book: Book, block: Block, top_mm: float) -> Iterator[PageItem]:
    """One step to undo: parts in the order in which they come out, then what to hold."""
    step, left = block.step, book.area[0]
    middle = top_mm + TOKEN_ROW_MM / 2
    yield Words(str(step.number), left, middle + CAP_HEIGHT * CLEAR_MM / 2, CLEAR_MM, bold=True)
    yield Link(left, top_mm, NUMBER_MM, TOKEN_ROW_MM, f"step{step.number}",
               _("Step {n} of the raise").format(n=step.number))
    for row in _token_rows(book, block):
        x = left + NUMBER_MM
        for token in row:
            yield tick_box(x, middle)
            yield Words(token, x + TICK_MM + 1.4, middle + CAP_HEIGHT * BODY_MM / 2, BODY_MM, bold=token == step.hub)
            x += _token_mm(token)
        middle += TOKEN_ROW_MM
    words = Column(left + NUMBER_MM, middle - TOKEN_ROW_MM / 2, book.width_mm - NUMBER_MM)
    for line in _note_lines(book, block):
        words.line(line)
    yield from words.items
    bottom = top_mm + block_height_mm(book, block) - AFTER_MM / 2
    yield ThinLine((left, bottom), (left + book.width_mm, bottom), 0.15)
