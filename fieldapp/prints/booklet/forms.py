"""Blank forms: damage, repair, exchanged parts, notes. What is written here goes into the log afterwards."""

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from fieldapp.base.said import in_words
from fieldapp.base.words import _, marked
from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import number_width
from fieldapp.log.damage import HUB_DAMAGES, STRUT_DAMAGES
from fieldapp.prints.common.book import Book, Chapter, finished_page
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Mark, Outline, Page, PageItem
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
TITLE_MM = 18.0
"""Least room for the titles at the left of a form [mm]."""

EXCHANGES = 12


def forms_chapters() -> tuple[Chapter, ...]:
    """Damage, repair, exchanges."""
    return (Chapter("damage", _(DAMAGE.name), (partial(form_page, "damage"),) * DAMAGE_PAGES),
            Chapter("repair", _(REPAIR.name), (partial(form_page, "repair"),) * REPAIR_PAGES),
            Chapter("exchange", _("Exchanged parts"), (exchange_page,)))


def notes_chapter(count: int) -> Chapter:
    """Lined pages that fill the booklet up to a multiple of four."""
    return Chapter("notes", _("Notes"), (_notes_page,) * count, in_contents=False)


def form_page(kind: str, book: Book, number: int) -> Page:
    """Blank forms of one kind, "damage" or "repair", one below the other."""
    left, top, bottom = *book.area[:2], book.area[3]
    height = (bottom - top - (FORMS_A_PAGE - 1) * FORM_GAP_MM) / FORMS_A_PAGE
    items: list[PageItem] = []
    for place in range(FORMS_A_PAGE):
        items += _form(kind, book, (left, top + place * (height + FORM_GAP_MM), book.width_mm, height))
    marks = (Mark(kind, _(FORMS[kind].name)),) if number == book.first[kind] else ()
    return finished_page(book, number, _(FORMS[kind].head), items, marks=marks)


def _form(kind: str, book: Book, place: tuple[float, float, float, float]) -> Iterator[PageItem]:
    """One form in its frame."""
    x, y, width, height = place
    form = FORMS[kind]
    yield from heading_bar(_(form.title), (x, y, width, BAR_MM), CLEAR_MM)
    yield Outline(x, y, width, height, 0.4)
    yield from form.fill(book.kit, (x + 3.0, y + BAR_MM + 3.0, width - 6.0, height - BAR_MM - 5.0))


def _beside_mm(*titles: str) -> float:
    """Where the boxes of a form begin: right of the longest of their titles [mm]."""
    return max(TITLE_MM, *(text_width_mm(title, BODY_MM, bold=True) + 2.0 for title in titles))


def _id_row(kit: Kit, label: str, place: tuple[float, float, float], after: Sequence[str], *, beside_mm: float
            ) -> Iterator[PageItem]:
    """Boxes for a part ID, then fields to the right of it."""
    x, y, width = place
    kinds = 1 + max(number_width(kit.frame, "hub"), number_width(kit.frame, "strut"))
    prefix = kit.design.frame.prefix
    yield Words(label, x, y + (1.2 * ID_BOX_MM + CAP_HEIGHT * BODY_MM) / 2, BODY_MM, bold=True)
    yield from id_boxes(prefix, kinds, x + beside_mm, y)
    start = x + beside_mm + id_boxes_width_mm(prefix, kinds) + 5.0
    share = (x + width - start) / max(len(after), 1)
    for number, word in enumerate(after):
        yield from field(word, (start + number * share, y, share - 3.0, 1.1 * ID_BOX_MM))


def damage_form(kit: Kit, place: tuple[float, float, float, float]) -> Iterator[PageItem]:
    """One part that broke."""
    x, y, width, height = place
    bottom = y + height
    rows = ((_("Hub"), tuple(in_words(each.words) for each in HUB_DAMAGES)),
            (_("Strut"), tuple(in_words(each.words) for each in STRUT_DAMAGES)),
            (_("Where"), (_("arm no. ___"), _("end 1"), _("end 2"), _("middle"))),
            (_("Part is"), (_("taken out"), _("still in the frame, propped"), _("still in, watched"))))
    beside = _beside_mm(_("Part"), *(title for title, _words in rows))
    yield from _id_row(kit, _("Part"), (x, y, width), (_("Place"),), beside_mm=beside)
    y += 1.2 * ID_BOX_MM + 3.0
    for title, words in rows:
        y = yield from _choice_rows(title, words, (x, y, width), beside_mm=beside)
    yield from writing_lines(x, y - 2.0, width, count=int((bottom - y - LINE_MM) // LINE_MM), pitch_mm=LINE_MM)
    yield Words(_("How it happened"), x, y + SMALL_MM - 1.0, SMALL_MM)
    yield from _last_row((_("Date, time"), _("Name"), _("In the log: name")), (x, bottom, width))


def repair_form(kit: Kit, place: tuple[float, float, float, float]) -> Iterator[PageItem]:
    """One part that was mended or replaced."""
    x, y, width, height = place
    bottom = y + height
    beside = _beside_mm(_("Part"), _("Done"), _("New"))
    yield from _id_row(kit, _("Part"), (x, y, width), (_("Date"), _("By")), beside_mm=beside)
    y += 1.2 * ID_BOX_MM + 3.0
    y = yield from _choice_rows(_("Done"), (_("glued"), _("splinted"), _("cut back"), _("dried and measured"),
                                            _("replaced by"), _("new label")), (x, y, width), beside_mm=beside)
    yield from _id_row(kit, _("New"), (x, y, width), (), beside_mm=beside)
    y += 1.2 * ID_BOX_MM + 4.0
    lines = int((bottom - y - 3 * LINE_MM) // LINE_MM)
    yield Words(_("What was done, with which glue and screws"), x, y + SMALL_MM - 1.0, SMALL_MM)
    yield from writing_lines(x, y - 2.0, width, count=lines, pitch_mm=LINE_MM)
    y = bottom - 2 * LINE_MM - CHOICE_MM / 2
    yield from choices((_("sound"), _("watch: look again"), _("quarantined"), _("scrapped")), x, y)
    yield from _last_row((_("Usable from (the glue maker's sheet decides)"),), (x, bottom - LINE_MM, width))
    yield from _last_row((_("Inspected by"), _("Released by"), _("In the log: name")), (x, bottom, width))


@dataclass(frozen=True, slots=True)
class BlankForm:
    """One kind of form: its words, to be translated where they are printed, and what fills it."""

    name: str
    head: str
    """Of the page."""
    title: str
    fill: Callable[[Kit, tuple[float, float, float, float]], Iterator[PageItem]]


DAMAGE = BlankForm(marked("Damage forms"), marked("Damage forms · copy into the log when the laptop runs"),
              marked("Damage: write it down, mark the part, take it out"), damage_form)
REPAIR = BlankForm(marked("Repair forms"), marked("Repair forms · copy into the log when the laptop runs"),
              marked("Repair: what was done, and who releases the part"), repair_form)
FORMS = {"damage": DAMAGE, "repair": REPAIR}


def _choice_rows(title: str, words: Sequence[str], place: tuple[float, float, float], *, beside_mm: float
                 ) -> Generator[PageItem, None, float]:
    """A title and its choices in as many rows as they need; returns the height below them."""
    x, y, width = place
    yield Words(title, x, y + CHOICE_MM / 2 + CAP_HEIGHT * BODY_MM / 2, BODY_MM, bold=True)
    row: list[str] = []
    for word in (*words, ""):
        if not word or choices_width_mm((*row, word)) > width - beside_mm:
            yield from choices(row, x + beside_mm, y + CHOICE_MM / 2)
            y += CHOICE_MM
            row = []
        row.append(word)
    return y + 1.0


def _last_row(labels: Sequence[str], place: tuple[float, float, float]) -> Iterator[PageItem]:
    """Fields side by side on a line at the bottom."""
    x, bottom, width = place
    share = width / len(labels)
    for number, label in enumerate(labels):
        yield from field(label, (x + number * share, bottom - LINE_MM, share - 3.0, LINE_MM))


def exchange_page(book: Book, number: int) -> Page:
    """Which part sits at another place than the one it was made for."""
    left, top, bottom = *book.area[:2], book.area[3]
    kit = book.kit
    items: list[PageItem] = [*heading_bar(_("Exchanged: this part sits at another place"),
                                      (left, top, book.width_mm, BAR_MM), CLEAR_MM)]
    pitch = min(20.0, (bottom - top - BAR_MM - 4.0) / EXCHANGES)
    for row in range(EXCHANGES):
        y = top + BAR_MM + 4.0 + row * pitch
        items += _id_row(kit, _("Part"), (left, y, book.width_mm), (_("now at place"), _("name")),
                         beside_mm=_beside_mm(_("Part")))
    return finished_page(book, number, _("Exchanged parts · copy into the log when the laptop runs"), items,
                         marks=(Mark("exchange", _("Exchanged parts")),))


def _notes_page(book: Book, number: int) -> Page:
    """Lines to write on."""
    left, top, bottom = *book.area[:2], book.area[3]
    lines = writing_lines(left, top, book.width_mm, count=int((bottom - top) // LINE_MM), pitch_mm=LINE_MM)
    marks = (Mark("notes", _("Notes")),) if number == book.first["notes"] else ()
    return finished_page(book, number, _("Notes"), lines, marks=marks)
