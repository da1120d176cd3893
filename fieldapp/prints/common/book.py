"""The booklet's frame: its chapters, which step is on which page, and what every page carries at head and foot."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from fieldapp.base.joints.joint import Assembly
from fieldapp.base.words import _
from fieldapp.frame.frame import Frame
from fieldapp.frame.ground import GroundSection
from fieldapp.kit.kit import Kit
from fieldapp.plan.fitup import FitUp
from fieldapp.plan.plan import Plan, Step
from fieldapp.prints.common import HEAD_MM, KitPaper
from fieldapp.reports.standing.winds import finished_winds
from fieldapp.wording.winds import finished_wind_lines
from labels.page import Link, Mark, Page, PageItem
from labels.page_text import SMALL_MM, printable
from labels.pieces import ThinLine, Words


@dataclass(frozen=True, slots=True)
class Told:
    """What is computed of the raise besides its plan."""

    wind_limit_m_s: float | None = None
    """Lowest gust that a stage bears; None if it is not computed. [m/s]"""
    fit: FitUp | None = None
    """What tolerances do; None if it is not computed."""


NOTHING_TOLD = Told()


@dataclass(frozen=True, slots=True)
class Book(KitPaper):
    """All that a page needs to know."""

    plan: Plan
    name: str
    """The frame's name, in characters that the font has."""
    told: Told = NOTHING_TOLD
    first: dict[str, int] = field(default_factory=dict)
    """Key of a chapter → its first page."""
    contents: tuple[tuple[str, str], ...] = ()
    """Key and title of the chapters that the contents list."""
    step_pages: dict[int, int] = field(default_factory=dict)
    """Number of a step → the page on which it is raised."""
    strike_pages: dict[int, int] = field(default_factory=dict)
    """Number of a step → the page on which it is struck."""
    part_pages: dict[str, int] = field(default_factory=dict)
    """Part ID → its page in the list of parts."""

    @property
    def frame(self) -> Frame:
        """The frame of the kit."""
        return self.kit.frame

    @property
    def ground(self) -> GroundSection:
        """What the frame stands on, and what holds its feet."""
        return self.kit.design.ground

    @property
    def winds(self) -> tuple[str, ...]:
        """Wind on the finished frame in two lines; nothing for a plan whose feet nobody worked out."""
        return finished_wind_lines(finished_winds(self.kit, self.plan)) if self.plan.peggings else ()

    @property
    def how(self) -> Assembly:
        """How the kit is put together, in words."""
        return self.kit.design.hub.held_by.assembly


BookPageMaker = Callable[[Book, int], Page]
"""Draws a page, given the book and the page's number."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """Pages that belong together."""

    key: str
    title: str
    makers: tuple[BookPageMaker, ...]
    in_contents: bool = True


def printed_name(kit: Kit) -> tuple[str, str]:
    """The frame's name as it can be printed, and the characters that the font lacks.

    A name that the font cannot print is replaced by the kit's prefix, never by empty boxes.
    """
    return printable(kit.design.frame.name, _("Kit {prefix}").format(prefix=kit.design.frame.prefix))


def chapter_starts(chapters: Iterable[Chapter]) -> dict[str, int]:
    """First page of each chapter, from 1."""
    starts: dict[str, int] = {}
    number = 1
    for chapter in chapters:
        starts[chapter.key] = number
        number += len(chapter.makers)
    return starts


def pages_of(groups: Sequence[Sequence[Step]], first: int) -> dict[int, int]:
    """Step number → page, for groups of steps that each fill a page."""
    return {step.number: first + index for index, group in enumerate(groups) for step in group}


def finished_page(book: Book, number: int, head: str, items: Iterable[PageItem], *, marks: Sequence[Mark] = (),
                  foot: str = "") -> Page:
    """A page with its running head and foot; the foot's words lead to the safety page."""
    return Page((*_head(book, head), *items, *_foot(book, number, foot)), tuple(marks))


def _head(book: Book, head: str) -> Iterator[PageItem]:
    """What this page is about, and of which kit."""
    left, top, right = book.area[:3]
    baseline = top - HEAD_MM + SMALL_MM
    yield Words(head, left, baseline, SMALL_MM, bold=True)
    yield Words(book.name, right, baseline, SMALL_MM, anchor="end")
    yield ThinLine((left, baseline + 1.2), (right, baseline + 1.2), 0.25)


def _foot(book: Book, number: int, foot: str) -> Iterator[PageItem]:
    """The page number on the outer edge."""
    left, right, bottom = book.area[0], *book.area[2:]
    baseline = bottom + HEAD_MM
    outer = right if number % 2 else left
    yield Words(str(number), outer, baseline, 1.4 * SMALL_MM, bold=True, anchor="end" if number % 2 else "start")
    if foot:
        yield Words(foot, (left + right) / 2, baseline, SMALL_MM, anchor="middle")
        yield Link(left + 20.0, baseline - SMALL_MM, right - left - 40.0, 1.4 * SMALL_MM, "safety", foot)
