"""Tags to tie on bundles and boxes: the evidence of the last inspection that goes with them."""

from collections.abc import Iterator, Sequence
from urllib.parse import quote

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _
from fieldapp.kit.kit import Kit
from fieldapp.prints.inspection import InspectedBundle
from fieldapp.prints.inspection.pdf import printable
from fieldapp.prints.sheets.labels import print_options, short_address
from labels import LabelError
from labels.label import Label
from labels.pdf import pdf_bytes, sheet_page
from labels.sheet import Sheet, lay_out_sheets
from labels.stock import SheetStock, cut_stock


def tags_bytes(kit: Kit, bundles: Sequence[InspectedBundle], *, start: int = 1) -> bytes:
    """The tags as PDF, to cut apart; raises PaperError as `tag_sheets`."""
    sheets, stock = tag_sheets(kit, bundles, start=start)
    return pdf_bytes([sheet_page(sheet) for sheet in sheets], stock.paper_mm,
                     title=_("{name}: inspection tags").format(name=kit.design.frame.name))


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
