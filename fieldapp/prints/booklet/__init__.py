"""The booklet: how to raise and strike the frame with paper alone, with forms and an index.

Its pages are a multiple of four. Printed one by one they are read at arm's length; a printer's own booklet setting, or
the file written with `imposed`, prints two a side to fold and keep in a pocket.
"""

from collections.abc import Iterator
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.remembered import remembered
from fieldapp.base.words import _
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.prints import in_kit_language
from fieldapp.prints.booklet.forms import forms_chapters, notes_chapter
from fieldapp.prints.booklet.front import front_chapters
from fieldapp.prints.booklet.lifts import lifts_chapter
from fieldapp.prints.booklet.parts import PartGroup, index_chapter, part_pages, parts_chapter
from fieldapp.prints.booklet.steps import step_pages, steps_chapter
from fieldapp.prints.booklet.strike import strike_chapter, strike_pages, struck
from fieldapp.prints.common import warned
from fieldapp.prints.common.book import NOTHING_TOLD, Book, Chapter, Told, chapter_starts, pages_of, printed_name
from fieldapp.wording.breaking import breaking_line
from labels import LabelError
from labels.document import About
from labels.page import Page
from labels.page_pdf import Tell, document_bytes, imposed_bytes
from labels.pieces import Warned

KEPT_PAGES = 200
"""A booklet of no more pages is made once for both its files; a longer one is not to fold, and takes memory."""

SHEET_PAGES = 4
"""Pages on a sheet that is printed on both sides and folded."""


@in_kit_language
def write_booklet(kit: Kit, plan: Plan, path: Path, *, imposed: bool = False, told: Told = NOTHING_TOLD,
                  tell: Tell | None = None) -> tuple[Warned, ...]:
    """Write the booklet of a kit, raised by a plan, as PDF, in the language of its design.

    Parameters
    ----------
    kit : Kit
        Its design gives paper, name and crew.
    plan : Plan
        Its limits are printed where they are computed.
    path : Path
    imposed : bool
        True: two pages a side in the order of a folded booklet. Print on both sides, turning over the short edge.
    told : Told
        Lowest gust and fit-up, for the rules. The same object for both files: then pages are made once.
    tell : callable or None
        Told (pages done, pages in all) after each page.

    Returns
    -------
    tuple of Warned
        What is printed otherwise than written in the design, and why.

    Raises
    ------
    PaperError
        If a text of the plan has characters that the font lacks.
    KitError
        If the file cannot be written; an older one is then still there.
    """
    book, chapters = _laid_out(kit, plan, told)
    total = sum(len(chapter.makers) for chapter in chapters)
    write = imposed_bytes if imposed else document_bytes
    try:
        made = _made(book, chapters) if total <= KEPT_PAGES else _pages(book, chapters)
        pages = warned(made, book.paper_mm, breaking_line(plan, kit.design))
        content = write(pages, book.paper_mm, _about(kit), tell=tell, total=total)
    except LabelError as error:
        raise PaperError(str(error)) from error
    write_atomic(path, content)
    return name_warnings(kit)


@remembered(1)
def _laid_out(kit: Kit, plan: Plan, told: Told) -> tuple[Book, tuple[Chapter, ...]]:
    """The same for the next file of it."""
    return lay_out(kit, plan, told)


@remembered(1)
def _made(book: Book, chapters: tuple[Chapter, ...]) -> tuple[Page, ...]:
    """All pages, for both files."""
    return tuple(_pages(book, chapters))


def lay_out(kit: Kit, plan: Plan, told: Told = NOTHING_TOLD) -> tuple[Book, tuple[Chapter, ...]]:
    """The chapters, and the book that knows on which page everything is."""
    parts, raises, strikes = part_pages(kit, plan), step_pages(Book(kit, plan, "")), strike_pages(kit, plan)
    chapters = (*front_chapters(), parts_chapter(kit.frame, parts), steps_chapter(raises), strike_chapter(strikes),
                *lifts_chapter(kit, plan), *forms_chapters(), index_chapter(kit, plan))
    short = -sum(len(chapter.makers) for chapter in chapters) % SHEET_PAGES
    chapters = (*chapters, notes_chapter(short)) if short else chapters
    first = chapter_starts(chapters)
    raised, parts_at = tuple(page.steps for page in raises), _part_pages(parts, first["parts"])
    return Book(kit, plan, printed_name(kit)[0], told, first, _contents(chapters),
                pages_of(raised, first["raise"]), pages_of(struck(strikes), first["strike"]), parts_at), chapters


def _contents(chapters: tuple[Chapter, ...]) -> tuple[tuple[str, str], ...]:
    """What the contents list."""
    return tuple((chapter.key, chapter.title) for chapter in chapters if chapter.in_contents)


def _part_pages(pages: tuple[tuple[PartGroup, ...], ...], first: int) -> dict[str, int]:
    """Part ID → its page in the list of parts."""
    return {part.id: first + index for index, groups in enumerate(pages) for group in groups for part in group.parts}


def _pages(book: Book, chapters: tuple[Chapter, ...]) -> Iterator[Page]:
    """All pages, one by one."""
    makers = (maker for chapter in chapters for maker in chapter.makers)
    for number, maker in enumerate(makers, start=1):
        yield maker(book, number)


def _about(kit: Kit) -> About:
    """What the document says of itself; viewers have other fonts, so the name stays as it is written."""
    name = kit.design.frame.name
    return About(_("{name}: booklet for raising and striking").format(name=name), _("Order of erection, part by part"),
                 (name, kit.design.frame.prefix, _("raise"), _("strike"), _("parts")), kit.design.site.language,
                 "long edge")


def name_warnings(kit: Kit) -> tuple[Warned, ...]:
    """A message if the font cannot print the frame's name."""
    name, (printed, missing) = kit.design.frame.name, printed_name(kit)
    if not missing:
        return ()
    return (Warned("frame.name", name, f'the font has no {" ".join(missing)}, needed for "{name}"; "{printed}" is '
                                       f"printed instead. Choose another name in the design file to have it printed."),)
