"""The record of an inspection round as PDF, to be signed, and the tags of its bundles: same log, same bytes."""

from collections.abc import Iterator, Sequence
from urllib.parse import quote

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _, marked
from fieldapp.kit.kit import Kit
from fieldapp.prints.common import Head, WorkshopSheet, warned
from fieldapp.prints.inspection import InspectedBundle, InspectionSheets, UsedLine
from fieldapp.prints.inspection.flow import Flow
from fieldapp.prints.sheets.labels import about_kit, print_options, short_address
from fieldapp.wording.breaking import accepted_line
from fieldapp.wording.counted import parts_words
from labels import LabelError
from labels.document import About
from labels.fonts import CAP_HEIGHT, missing_characters, text_width_mm
from labels.label import Label
from labels.page import Outline, PageItem
from labels.page_forms import field
from labels.page_pdf import document_bytes
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, fitting_size_mm
from labels.pdf import pdf_bytes, sheet_page
from labels.pieces import Words
from labels.sheet import Sheet, lay_out_sheets
from labels.stock import SheetStock, cut_stock

CAUTION = marked(
    "The list is a guide to looking. This record does not replace a competent person, local rules, the makers' "
    "instructions or, where the frame is open to the public, a licensed engineer.")
"""What the computed limits say of themselves elsewhere, said here of looking; once in the record."""

TITLE_MM = 9.0
FACT_MM = 30.0
"""Least width of the words before a fact [mm]."""

COUNT_MM = 15.0
"""Height of the boxes with the counts [mm]."""

SIGN_MM = 15.0
"""Height of a line to sign on [mm].
Source: common practice, no source. Test: tests/prints/inspection/test_inspection_pdf.py"""


def inspection_bytes(kit: Kit, record: InspectionSheets) -> bytes:
    """The record as PDF, in the paper size of the design.

    Raises
    ------
    PaperError
        If a text has characters that the font lacks, and cannot do without them.
    """
    flow = Flow(WorkshopSheet(kit, _("Inspection record of kit {prefix}: {round}").format(
        prefix=kit.design.frame.prefix, round=printable(record.round))))
    _front(flow, record)
    _defects(flow, record)
    _lists(flow, record)
    _results(flow, record)
    _not_seen(flow, record)
    name = kit.design.frame.name
    about = About(_("{name}: inspection record").format(name=name), record.round,
                  (name, kit.design.frame.prefix, _("inspection")), kit.design.site.language, "long edge")
    try:
        pages = warned(flow.pages(), flow.sheet.paper_mm, accepted_line(kit.design))
        return document_bytes(pages, flow.sheet.paper_mm, about)
    except LabelError as error:
        raise PaperError(str(error)) from error


def printable(text: str) -> str:
    """What people typed on their phones, with a question mark for each sign that the font lacks.

    Examples
    --------
    >>> printable("dry, 12 %")
    'dry, 12 %'
    """
    lost = set(missing_characters(text))
    return "".join("?" if sign in lost else sign for sign in text)


def _front(flow: Flow, record: InspectionSheets) -> None:
    """Which kit and round, the counts, the statement, and room to sign."""
    kit, column = flow.sheet.kit, flow.column
    column.text(_("{name} (kit {prefix})").format(
        name=printable(kit.design.frame.name), prefix=kit.design.frame.prefix), TITLE_MM, bold=True)
    column.text(_("Inspection round: {round}").format(round=printable(record.round)), CLEAR_MM, bold=True)
    column.gap(2.0)
    beside = max((FACT_MM, *(text_width_mm(label, BODY_MM, bold=True) + 2.0 for label, _value in record.facts)))
    for label, value in record.facts:
        top = column.y_mm
        column.line(label, bold=True)
        column.y_mm = top
        column.text(printable(value), indent_mm=beside)
    column.gap(3.0)
    column.items += _counts(flow, record)
    column.gap(COUNT_MM + 5.0)
    column.text(printable(record.statement))
    column.gap(1.0)
    column.text(_(CAUTION), SMALL_MM)
    for words in record.signatures:
        flow.need(SIGN_MM + 2.0)
        column = flow.column
        column.gap(2.0)
        column.items += field(printable(words), (column.x_mm, column.y_mm, column.width_mm, SIGN_MM))
        column.gap(SIGN_MM)


def _counts(flow: Flow, record: InspectionSheets) -> Iterator[PageItem]:
    """A box for each count."""
    column = flow.column
    share = column.width_mm / max(1, len(record.counts))
    for number, (word, count) in enumerate(record.counts):
        x = column.x_mm + number * share
        yield Outline(x, column.y_mm, share - 3.0, COUNT_MM, 0.5)
        baseline = column.y_mm + (COUNT_MM + CAP_HEIGHT * TITLE_MM) / 2
        yield Words(str(count), x + 3.0, baseline, TITLE_MM, bold=True)
        start = 5.5 + text_width_mm(str(count), TITLE_MM, bold=True)
        yield Words(word, x + start, baseline, fitting_size_mm(word, share - 4.0 - start, BODY_MM))


def _heads(flow: Flow, *shares: tuple[str, float]) -> list[Head]:
    """Columns of a table; the last takes what is left."""
    known = sum(width for _name, width in shares)
    *first, (name, _width) = shares
    rest = flow.column.width_mm - known + shares[-1][1]
    return [*(Head(text, width, "start") for text, width in first), Head(name, rest, "start")]


def _defects(flow: Flow, record: InspectionSheets) -> None:
    flow.chapter(_("Open defects: {n}").format(n=len(record.defects)), "defects")
    if not record.defects:
        flow.text(_("None: no part is quarantined, watched or missing."))
        return
    heads = _heads(flow, (_("part"), 30.0), (_("class"), 20.0), (_("state"), 28.0), (_("box"), 28.0),
                   (_("what is known"), 0.0))
    flow.table(heads, [tuple(map(printable, (row.part, row.part_class, row.state, row.box, row.words)))
                       for row in record.defects], size_mm=BODY_MM)


def _lists(flow: Flow, record: InspectionSheets) -> None:
    flow.chapter(_("The lists that were used"), "lists", room_mm=70.0)
    heads = _heads(flow, (_("item"), 32.0), (_("weight"), 28.0), (_("must be"), 28.0), (_("how to look (source)"), 0.0))
    for title, lines in record.lists:
        flow.need(20.0)
        flow.column.line(title, BODY_MM, bold=True)
        flow.table(heads, [_list_row(line) for line in lines])
        flow.column.gap(2.0)


def _list_row(line: UsedLine) -> tuple[str, ...]:
    return tuple(map(printable, (line.item, line.weight, line.limits, f"{line.look} ({line.source})")))


def _results(flow: Flow, record: InspectionSheets) -> None:
    flow.chapter(_("Results: {parts}, one by one").format(parts=parts_words(len(record.results))), "results")
    heads = _heads(flow, (_("part"), 22.0), (_("class"), 17.0), (_("box"), 22.0), (_("checked (UTC)"), 28.0),
                   (_("by"), 22.0), (_("seen"), 16.0), (_("result"), 0.0))
    flow.table(heads, [tuple(map(printable, (
        row.part, row.part_class, row.box, row.at, row.by, row.seen, row.result if row.sound else f"» {row.result}")))
        for row in record.results])


def _not_seen(flow: Flow, record: InspectionSheets) -> None:
    total = sum(len(ids) for _box, ids in record.not_seen)
    flow.chapter(_("Not seen in this round: {n}").format(n=total), "not-seen")
    if not total:
        flow.text(_("None: every part of the kit was seen."))
    for box, ids in record.not_seen:
        flow.text(_("{name}: {what}").format(name=printable(box), what=", ".join(ids)))
        flow.column.gap(1.0)


def tags_bytes(kit: Kit, bundles: Sequence[InspectedBundle], *, start: int = 1) -> bytes:
    """The tags as PDF, to cut apart; raises PaperError as `tag_sheets`."""
    sheets, stock = tag_sheets(kit, bundles, start=start)
    return pdf_bytes([sheet_page(sheet) for sheet in sheets], stock.paper_mm,
                     about_kit(kit, _("{name}: inspection tags")))


def tag_sheets(kit: Kit, bundles: Sequence[InspectedBundle], *, start: int = 1) -> tuple[tuple[Sheet, ...], SheetStock]:
    """One tag for each bundle, on the tags of the design.

    Raises
    ------
    PaperError
        If there is no bundle, or a tag does not fit the paper.
    """
    if not bundles:
        raise PaperError("no part is in a bundle, so there is nothing to tag. Write down on the phones which part goes "
                         "into which bundle first.")
    section = kit.design.labels
    try:
        stock = cut_stock(section.paper, (section.tag_width_mm, section.tag_height_mm))
        return lay_out_sheets(tuple(_tags(kit, bundles)), stock, print_options(kit.design, start)), stock
    except LabelError as error:
        raise PaperError(str(error)) from error


def _tags(kit: Kit, bundles: Sequence[InspectedBundle]) -> Iterator[Label]:
    for bundle in bundles:
        lines = (*bundle.words, *((_("by {who}").format(who=bundle.by),) if bundle.by else ()))
        yield Label(printable(bundle.bundle), tuple(map(printable, lines)),
                    band_letter="" if bundle.complete else _("not complete"), symbol_text=bundle_address(kit, bundle),
                    footnote=f"{kit.design.frame.prefix} · {short_address(kit.design)}", form="tag",
                    name=_("tag of bundle {bundle}").format(bundle=bundle.bundle))


def bundle_address(kit: Kit, bundle: InspectedBundle) -> str:
    """The page that lists what is in the bundle."""
    return f"{kit.design.site.address.rstrip('/')}/bundle?name={quote(bundle.bundle)}"
