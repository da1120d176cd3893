"""Blank forms: damage, repair, exchanged parts, notes. What is written here goes into the log afterwards."""

from collections.abc import Generator, Iterator, Sequence
from functools import partial

from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import number_width
from fieldapp.log.damage import HUB_DAMAGES, STRUT_DAMAGES
from fieldapp.prints.common.book import Book, Chapter, finished_page
from labels.fonts import CAP_HEIGHT
from labels.page import Item, Mark, Outline, Page
from labels.page_forms import ID_BOX_MM, choices, choices_width_mm, field, id_boxes, id_boxes_width_mm, writing_lines
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, heading_bar
from labels.pieces import Words

DAMAGE_PAGES, REPAIR_PAGES = 2, 2
FORMS_A_PAGE = 2
FORM_GAP_MM = 5.0
BAR_MM = 9.0
LINE_MM = 9.5
"""From line to line where people write by hand [mm]."""

CHOICE_MM = 7.4
EXCHANGES = 12


def forms_chapters() -> tuple[Chapter, ...]:
    """Damage, repair, exchanges."""
    return (Chapter("damage", "Damage forms", (partial(form_page, "damage"),) * DAMAGE_PAGES),
            Chapter("repair", "Repair forms", (partial(form_page, "repair"),) * REPAIR_PAGES),
            Chapter("exchange", "Exchanged parts", (exchange_page,)))


def notes_chapter(count: int) -> Chapter:
    """Lined pages that fill the booklet up to a multiple of four."""
    return Chapter("notes", "Notes", (_notes_page,) * count, in_contents=False)


def form_page(kind: str, book: Book, number: int) -> Page:
    """Blank forms of one kind, "damage" or "repair", one below the other."""
    left, top, _, bottom = book.area
    height = (bottom - top - (FORMS_A_PAGE - 1) * FORM_GAP_MM) / FORMS_A_PAGE
    items: list[Item] = []
    for place in range(FORMS_A_PAGE):
        items += _form(kind, book, (left, top + place * (height + FORM_GAP_MM), book.width_mm, height))
    marks = (Mark(kind, f"{kind.capitalize()} forms"),) if number == book.first[kind] else ()
    return finished_page(book, number, f"{kind.capitalize()} forms · copy into the log when the laptop runs", items,
                         marks=marks)


def _form(kind: str, book: Book, place: tuple[float, float, float, float]) -> Iterator[Item]:
    """One form in its frame."""
    x, y, width, height = place
    title, fill = FORMS[kind]
    yield from heading_bar(title, (x, y, width, BAR_MM), CLEAR_MM)
    yield Outline(x, y, width, height, 0.4)
    yield from fill(book.kit, (x + 3.0, y + BAR_MM + 3.0, width - 6.0, height - BAR_MM - 5.0))


def _id_row(kit: Kit, label: str, place: tuple[float, float, float], after: Sequence[str]) -> Iterator[Item]:
    """Boxes for a part ID, then fields to the right of it."""
    x, y, width = place
    kinds = 1 + max(number_width(kit.frame, "hub"), number_width(kit.frame, "strut"))
    prefix = kit.design.frame.prefix
    yield Words(label, x, y + (1.2 * ID_BOX_MM + CAP_HEIGHT * BODY_MM) / 2, BODY_MM, bold=True)
    yield from id_boxes(prefix, kinds, x + 18.0, y)
    start = x + 18.0 + id_boxes_width_mm(prefix, kinds) + 5.0
    share = (x + width - start) / max(len(after), 1)
    for number, word in enumerate(after):
        yield from field(word, (start + number * share, y, share - 3.0, 1.1 * ID_BOX_MM))


def damage_form(kit: Kit, place: tuple[float, float, float, float]) -> Iterator[Item]:
    """One part that broke."""
    x, y, width, height = place
    bottom = y + height
    yield from _id_row(kit, "Part", (x, y, width), ("Place",))
    y += 1.2 * ID_BOX_MM + 3.0
    for title, damages in (("Hub", HUB_DAMAGES), ("Strut", STRUT_DAMAGES)):
        y = yield from _choice_rows(title, tuple(each.words for each in damages), (x, y, width))
    y = yield from _choice_rows("Where", ("arm no. ___", "end 1", "end 2", "middle"), (x, y, width))
    y = yield from _choice_rows("Part is", ("taken out", "still in the frame, propped", "still in, watched"),
                                (x, y, width))
    yield from writing_lines(x, y - 2.0, width, count=int((bottom - y - LINE_MM) // LINE_MM), pitch_mm=LINE_MM)
    yield Words("How it happened", x, y + SMALL_MM - 1.0, SMALL_MM)
    yield from _last_row(("Date, time", "Name", "In the log: name"), (x, bottom, width))


def repair_form(kit: Kit, place: tuple[float, float, float, float]) -> Iterator[Item]:
    """One part that was mended or replaced."""
    x, y, width, height = place
    bottom = y + height
    yield from _id_row(kit, "Part", (x, y, width), ("Date", "By"))
    y += 1.2 * ID_BOX_MM + 3.0
    y = yield from _choice_rows("Done", ("glued", "splinted", "cut back", "dried and measured", "replaced by",
                                         "new label"), (x, y, width))
    yield from _id_row(kit, "New", (x, y, width), ())
    y += 1.2 * ID_BOX_MM + 4.0
    lines = int((bottom - y - 3 * LINE_MM) // LINE_MM)
    yield Words("What was done, with which glue and screws", x, y + SMALL_MM - 1.0, SMALL_MM)
    yield from writing_lines(x, y - 2.0, width, count=lines, pitch_mm=LINE_MM)
    y = bottom - 2 * LINE_MM - CHOICE_MM / 2
    yield from choices(("sound", "watch: look again", "quarantined", "scrapped"), x, y)
    yield from _last_row(("Usable from (the glue maker's sheet decides)",), (x, bottom - LINE_MM, width))
    yield from _last_row(("Inspected by", "Released by", "In the log: name"), (x, bottom, width))


FORMS = {"damage": ("Damage: write it down, mark the part, take it out", damage_form),
         "repair": ("Repair: what was done, and who releases the part", repair_form)}
"""Title and content of each kind of form."""


def _choice_rows(title: str, words: Sequence[str], place: tuple[float, float, float]
                 ) -> Generator[Item, None, float]:
    """A title and its choices in as many rows as they need; returns the height below them."""
    x, y, width = place
    yield Words(title, x, y + CHOICE_MM / 2 + CAP_HEIGHT * BODY_MM / 2, BODY_MM, bold=True)
    row: list[str] = []
    for word in (*words, ""):
        if not word or choices_width_mm((*row, word)) > width - 18.0:
            yield from choices(row, x + 18.0, y + CHOICE_MM / 2)
            y += CHOICE_MM
            row = []
        row.append(word)
    return y + 1.0


def _last_row(labels: Sequence[str], place: tuple[float, float, float]) -> Iterator[Item]:
    """Fields side by side on a line at the bottom."""
    x, bottom, width = place
    share = width / len(labels)
    for number, label in enumerate(labels):
        yield from field(label, (x + number * share, bottom - LINE_MM, share - 3.0, LINE_MM))


def exchange_page(book: Book, number: int) -> Page:
    """Which part sits at another place than the one it was made for."""
    left, top, _, bottom = book.area
    kit = book.kit
    items: list[Item] = [*heading_bar("Exchanged: this part sits at another place",
                                      (left, top, book.width_mm, BAR_MM), CLEAR_MM)]
    pitch = min(20.0, (bottom - top - BAR_MM - 4.0) / EXCHANGES)
    for row in range(EXCHANGES):
        y = top + BAR_MM + 4.0 + row * pitch
        items += _id_row(kit, "Part", (left, y, book.width_mm), ("now at place", "name"))
    return finished_page(book, number, "Exchanged parts · copy into the log when the laptop runs", items,
                         marks=(Mark("exchange", "Exchanged parts"),))


def _notes_page(book: Book, number: int) -> Page:
    """Lines to write on."""
    left, top, _, bottom = book.area
    lines = writing_lines(left, top, book.width_mm, count=int((bottom - top) // LINE_MM), pitch_mm=LINE_MM)
    marks = (Mark("notes", "Notes"),) if number == book.first["notes"] else ()
    return finished_page(book, number, "Notes", lines, marks=marks)
