"""Documents as PDF by reportlab: bookmarks, links, metadata; or imposed, two pages a side, to fold into a booklet.

Same input, same bytes. Fonts are embedded; a character that the font lacks is an error, never an empty box.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from io import BytesIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels import LabelError
from labels.document import About, new_document
from labels.fonts import missing_characters
from labels.page import Link, Mark, Outline, Page, Picture, page_texts
from labels.pdf import draw_pieces, paint_items

MARK_ROOM_MM = 3.0
"""How much of the page above a mark is still shown when it is jumped to [mm]."""

Tell = Callable[[int, int], None]
"""Called with the pages done and the pages in all."""


def document_bytes(pages: Iterable[Page], paper_mm: tuple[float, float], about: About, *, tell: Tell | None = None,
                   total: int = 0) -> bytes:
    """A document with bookmarks and links.

    Parameters
    ----------
    pages : iterable of Page
        Drawn one by one, so a generator keeps large documents small.
    paper_mm : (width, height)
        [mm]
    tell : callable or None
        Told (done, total) after each page.

    Raises
    ------
    LabelError
        If the font lacks a character, or a link leads nowhere.
    """
    buffer = BytesIO()
    canvas = new_document(buffer, paper_mm, about)
    known: set[str] = set()
    wanted: set[str] = set()
    for number, page in enumerate(pages, start=1):
        _check(page)
        for mark in page.marks:
            _set_mark(canvas, mark, paper_mm[1])
        known |= {mark.key for mark in page.marks}
        wanted |= {item.target for item in page.items if isinstance(item, Link)}
        draw_page(canvas, page, paper_mm)
        canvas.showPage()
        if tell:
            tell(number, total)
    if lost := sorted(wanted - known):
        raise LabelError(f"links lead to {', '.join(lost)}, which is on no page of {about.title}")
    canvas.save()
    return buffer.getvalue()


def imposed_bytes(pages: Iterable[Page], paper_mm: tuple[float, float], about: About, *, tell: Tell | None = None,
                  total: int = 0) -> bytes:
    """The same pages, smaller, two a side on paper laid across, in the order of a folded booklet.

    To be printed on both sides, turned over the short edge, whatever `about` says; fold the pile in the middle.
    Links are for screens and are left out. Raises what `document_bytes` raises, and LabelError if the pages are no
    multiple of 4.
    """
    buffer = BytesIO()
    width, height = paper_mm
    canvas = new_document(buffer, (height, width), replace(about, sides="short edge"))
    names: list[str] = []
    for number, page in enumerate(pages, start=1):
        _check(page)
        names.append(f"page{number}")
        canvas.beginForm(names[-1], 0, 0, width * mm, height * mm)
        draw_page(canvas, page, paper_mm, links=False)
        canvas.endForm()
        if tell:
            tell(number, total)
    for left, right in folded_order(len(names)):
        _draw_side(canvas, (names[left], names[right]), paper_mm)
    canvas.save()
    return buffer.getvalue()


def folded_order(count: int) -> tuple[tuple[int, int], ...]:
    """Which pages (from 0) lie left and right on each side of the sheets, outermost sheet first, front before back.

    Raises
    ------
    LabelError
        If `count` is no multiple of 4.

    Examples
    --------
    >>> folded_order(8)
    ((7, 0), (1, 6), (5, 2), (3, 4))
    """
    if count % 4:
        raise LabelError(f"a folded booklet needs a multiple of 4 pages, got {count}; add empty pages")
    return tuple((count - 1 - side, side) if side % 2 == 0 else (side, count - 1 - side) for side in range(count // 2))


def _draw_side(canvas: Canvas, names: Sequence[str], paper_mm: tuple[float, float]) -> None:
    """Two pages side by side, each in the middle of its half."""
    width, height = paper_mm
    half, low = height / 2, width
    scale = min(half / width, low / height)
    for number, name in enumerate(names):
        canvas.saveState()
        canvas.translate((number * half + (half - scale * width) / 2) * mm, (low - scale * height) / 2 * mm)
        canvas.scale(scale, scale)
        canvas.doForm(name)
        canvas.restoreState()
    canvas.showPage()


def _check(page: Page) -> None:
    """LabelError if the font lacks a character of the page."""
    for text in page_texts(page):
        if missing := missing_characters(text):
            raise LabelError(f'the font has no {" ".join(missing)}, needed for "{text}"; choose other words')


def _set_mark(canvas: Canvas, mark: Mark, height_mm: float) -> None:
    """A place to jump to, and its bookmark."""
    top = (height_mm - max(0.0, mark.y_mm - MARK_ROOM_MM)) * mm
    canvas.bookmarkPage(mark.key, fit="XYZ", left=0, top=top)
    if mark.title:
        canvas.addOutlineEntry(mark.title, mark.key, mark.level, closed=mark.level > 0)


def draw_page(canvas: Canvas, page: Page, paper_mm: tuple[float, float], *, links: bool = True) -> None:
    """Draw one page on a canvas in points with its origin at the lower left."""
    height = paper_mm[1]
    canvas.saveState()
    canvas.transform(mm, 0, 0, -mm, 0, height * mm)
    for item in page.items:
        match item:
            case Picture():
                _draw_picture(canvas, item)
            case Outline():
                canvas.setLineWidth(item.line_mm)
                canvas.rect(item.x_mm, item.y_mm, item.width_mm, item.height_mm)
            case Link():
                if links:
                    _draw_link(canvas, item, height)
            case _:
                draw_pieces(canvas, (item,), (0.0, 0.0))
    canvas.restoreState()


def _draw_picture(canvas: Canvas, picture: Picture) -> None:
    """A drawing, upright again on the flipped page."""
    canvas.saveState()
    canvas.transform(picture.scale, 0, 0, -picture.scale, picture.x_mm, picture.y_mm)
    paint_items(canvas, picture.drawing)
    canvas.restoreState()


def _draw_link(canvas: Canvas, link: Link, height_mm: float) -> None:
    """A rectangle that leads elsewhere; nothing is to be seen of it."""
    left, top = link.x_mm * mm, (height_mm - link.y_mm) * mm
    canvas.linkAbsolute(link.words, link.target, (left, top - link.height_mm * mm, left + link.width_mm * mm, top),
                        Border="[0 0 0]")
