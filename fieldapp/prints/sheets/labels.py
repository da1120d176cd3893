"""Labels of a kit: what is printed on each, in which order, on the sheets of the design."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.numbers import shortest
from fieldapp.base.said import say
from fieldapp.base.words import _, marked
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame, HubPlace
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.ids import named_part
from fieldapp.kit.kit import Kit, Part
from fieldapp.prints import in_kit_language
from fieldapp.prints.common import warning_pieces
from fieldapp.wording.breaking import accepted_line
from fieldapp.wording.facing import facing
from labels import LabelError, StartError
from labels.calibration import TRIAL_MODULES_MM, CheckWords, calibration_pieces
from labels.curve import module_on_tube_mm
from labels.document import About
from labels.fonts import missing_characters
from labels.label import Label, Tag
from labels.pdf import pdf_bytes, sheet_page
from labels.pieces import Warned
from labels.sheet import PrintOptions, Sheet, sheet_warnings
from labels.stock import RollStock, SheetStock
from labels.symbol import make_symbol

STRAIGHT_UP = 0.999
"""Vertical part of the outside direction from which on a hub has no "up" of its own (see `Arm`)."""

UP, BACK = marked("up the frame"), marked("to the back")
SHORT = {UP: marked("up"), BACK: marked("back")}
"""Words of a hub's arrow, and the same for small labels."""

THIS_END = marked("this end")

MOST_BANDS = 20
"""Classes with a higher number have no bands: nobody counts that far."""


def write_sheets(kit: Kit, path: Path, sheets: Sequence[Sheet], stock: SheetStock | RollStock, *,
                 title: str) -> tuple[Warned, ...]:
    """Write label sheets as PDF; `title` has a gap for the name of the kit. What did not fit, by label."""
    pages = [sheet_page(sheet) for sheet in sheets]
    write_atomic(path, pdf_bytes(pages, stock.paper_mm, about_kit(kit, title)))
    return sheet_warnings(sheets)


def about_kit(kit: Kit, title: str) -> About:
    """What a sheet of a kit says of itself; `title` has a gap for the name of the kit."""
    frame = kit.design.frame
    return About(title.format(name=frame.name), keywords=(frame.name, frame.prefix), lang=kit.design.site.language)


def kit_warnings(kit: Kit) -> tuple[Warned, ...]:
    """What concerns all labels: a name that the font cannot print, struts too thin for symbols."""
    return (*name_warnings(kit.design), *_pole_warnings(kit))


def name_warnings(design: Design) -> Iterator[Warned]:
    """The name of the frame stands in margins."""
    name, missing = design.frame.name, missing_characters(design.frame.name)
    if missing:
        yield Warned("margin", name, f'the font has no {" ".join(missing)}, needed for "{name}"; choose another '
                                     f"frame.name in design.toml")


def _pole_warnings(kit: Kit) -> Iterator[Warned]:
    """Symbols that are lost on the curve of every strut."""
    strut = next((part for part in kit.parts if part.kind == "strut"), None)
    for outer_mm in dict.fromkeys(of.outer_mm for of in kit.struts):
        if strut and not module_on_tube_mm(outer_mm, make_symbol(symbol_text(kit.design, strut, 1)).size):
            which = "all struts" if len(kit.struts) == 1 else f"struts of {outer_mm:g} mm"
            yield Warned(which, "QR symbol", f"struts of {outer_mm:g} mm are too thin for a symbol "
                         f"that can be read round the curve; fold each label into a flag, or print tags (--kind tag)")


@in_kit_language
def write_calibration(kit: Kit, path: Path) -> None:
    """Write the sheet that shows, on plain paper, whether printer and label sheet agree.

    Raises
    ------
    PaperError
        If the labels do not fit the paper.
    """
    with printable():
        stock = sheet_stock(kit.design)
        pieces = tuple(calibration_pieces(stock, symbol_text(kit.design, kit.parts[0]), _check_words()))
    about = about_kit(kit, _("{name}: printer check"))
    head = warning_pieces(accepted_line(kit.design), stock.paper_mm)
    write_atomic(path, pdf_bytes([(((*head, *pieces), 0.0, 0.0),)], stock.paper_mm, about))


def _check_words() -> CheckWords:
    """What the printer check says, and which label sticks on what.

    Source: common practice, no source. Test: tests/prints/sheets/test_labels.py
    """
    return CheckWords(
        _("Printer check"),
        (_("Print this sheet on plain paper at 100 %, not fitted to the page."),
         _("1. Lay a steel rule against both rulers: they must measure true.\n"
           "If they do not, switch off every scaling in the print window."),
         _("2. Hold the sheet and a label sheet against the light, edge on edge:\n"
           "the outlines must lie on the edges of the labels.\n"
           "Measure what is off and change [labels] in design.toml."),
         _("3. Scan the symbols below with the oldest phone of the crew.\n"
           "Labels must not be smaller than what it reads at once.")),
        _("Which label sticks"),
        (_("Everywhere: matt film rather than paper, printed by laser or resin ribbon;\n"
           "stick on dry, clean and not cold, press hard, leave a day before rain."),
         _("Cardboard: film with strong permanent acrylic glue, right round the tube so that\n"
           "it sticks to itself. Waxed or dusty tube: tie a tag on."),
         _("Wood: sand and dust one spot; film with rubber glue, which fills a rough face.\n"
           "Oily, wet or sawn faces: staple or tie a tag."),
         _("Aluminium: wipe with spirit and let dry; film with permanent acrylic glue,\n"
           "away from edges and from where clamps rub.")),
        tuple(shortest(module, "mm") for module in TRIAL_MODULES_MM))


@contextmanager
def printable() -> Iterator[None]:
    """While inside, what labels cannot be printed on or with is a PaperError, for people to read."""
    try:
        yield
    except StartError as error:
        raise PaperError(say("start must be 1 to {last} (the labels of one sheet), got {given}", last=error.last,
                             given=error.given)) from error
    except LabelError as error:
        raise PaperError(str(error)) from error


def print_options(design: Design, start: int) -> PrintOptions:
    """How the design wants labels printed."""
    section = design.labels
    return PrintOptions(start, "Q" if section.scratch_resistant else "M", section.printer_dpi,
                        design.frame.name, _("{title} labels · sheet {number} of {count} · from {first} to {last}"),
                        accepted_line(design))


def sheet_stock(design: Design) -> SheetStock:
    """The label sheet that the design describes; LabelError if it does not fit the paper."""
    s = design.labels
    return SheetStock(s.paper, s.columns, s.rows, s.label_width_mm, s.label_height_mm, s.margin_left_mm,
                      s.margin_top_mm, s.gap_x_mm, s.gap_y_mm)


def part_labels(kit: Kit, part_ids: Sequence[str] | None = None) -> tuple[Label, ...]:
    """Labels in the order of sticking: hubs, then struts, one class (one pile) after the other.

    Of all parts, those that carry a mark of their own get none, but for the tags of a hub's arms: ask for them by ID.

    Raises
    ------
    PartIdError
        If an ID is not of this kit.
    """
    return tuple(label for part, end in chosen_parts(kit, part_ids) for label in _labels_of(kit, part, end)
                 if label.tags or part_ids is not None or not part.own_mark)


def chosen_parts(kit: Kit, part_ids: Sequence[str] | None) -> list[tuple[Part, int | None]]:
    """All parts, or those that typed IDs mean, with the end if one was named, pile by pile.

    Raises
    ------
    PartIdError
        If an ID is not of this kit.
    """
    chosen = [(part, None) for part in kit.parts] if part_ids is None else list(_found(kit, part_ids))
    return sorted(chosen, key=lambda item: _pile(kit, item))


def _found(kit: Kit, part_ids: Iterable[str]) -> Iterator[tuple[Part, int | None]]:
    """The parts that typed IDs mean, each once, with the end if one was named."""
    seen = set()
    for text in part_ids:
        named = named_part(text, kit)
        if named not in seen:
            seen.add(named)
            yield named


def _pile(kit: Kit, item: tuple[Part, int | None]) -> tuple[str, int, int, int]:
    """Sorting key: kind, class in the frame's order, number, end."""
    part, end = item
    frame = kit.frame
    names = ([c.name for c in frame.hub_classes] if part.kind == "hub" else [c.letter for c in frame.strut_classes])
    order = names.index(part.part_class) if part.part_class in names else len(names)
    return part.kind, order, part.number, end or 0


def _labels_of(kit: Kit, part: Part, end: int | None) -> Iterator[Label]:
    """A strut: one label for each end. A hub: its label and the strip for its arms."""
    if part.kind == "strut":
        for number in (1, 2) if end is None else (end,):
            yield strut_label(kit, part, number)
        return
    yield hub_label(kit, part)
    if part.made_for is not None:
        yield arm_tags(kit.frame.hub(part.made_for), part)


def strut_label(kit: Kit, part: Part, end: int) -> Label:
    """The label of one end of a strut; its arrow points toward that end of the tube."""
    bands = {c.letter: c.bands for c in kit.frame.strut_classes}.get(part.part_class, 0)
    bands = bands if bands <= MOST_BANDS else 0
    this = _(THIS_END)
    lines: tuple[str, ...] = (_("spare"),)
    if part.made_for is not None:
        place = kit.frame.strut(part.made_for)
        here, there = place.end(end), place.end(3 - end)
        this = _("this end: {hub} arm {arm}").format(hub=here.hub, arm=here.arm)
        lines = (_("other end: {hub}").format(hub=there.hub),)
    lines = (*lines, *carried_lines(part))
    return Label(part.id, lines, bands, _("class {name}").format(name=part.part_class), this, arrow_up=False,
                 symbol_text=symbol_text(kit.design, part, end), footnote=short_address(kit.design),
                 tube_mm=kit.strut_of(part).outer_mm, name=_("{part} end {end}").format(part=part.id, end=end))


def hub_label(kit: Kit, part: Part) -> Label:
    """The label of a hub, for its outside face; the arrow points up the frame.

    A spare has no arrow: which way up it goes depends on the place it will take.
    """
    lines = hub_lines(kit.frame, part)
    hub_class = next((c for c in kit.frame.hub_classes if c.name == part.part_class), None)
    if hub_class is not None and hub_class.handed:
        own = _("left-handed, not {name}") if hub_class.handed == "left" else _("right-handed, not {name}")
        lines = (own.format(name=hub_class.mirror), *lines)
    lines = (*lines, *carried_lines(part))
    arrow = "" if part.made_for is None else _up_words(kit.frame, part.made_for)
    return Label(part.id, lines, band_letter=_("class {name}").format(name=part.part_class),
                 arrow=_(arrow) if arrow else "", arrow_short=_(SHORT[arrow]) if arrow else "",
                 symbol_text=symbol_text(kit.design, part), footnote=short_address(kit.design))


def carried_lines(part: Part) -> tuple[str, ...]:
    """What the part carried before it came into this kit, so that who knows it by that finds it."""
    return (_("carries: {marks}").format(marks=part.alias),) if part.alias else ()


def hub_lines(frame: Frame, part: Part) -> tuple[str, ...]:
    """What every label of a hub says of it besides its class."""
    face = _(facing(frame).label)
    return (_("spare"), face) if part.made_for is None else (face,)


def _up_words(frame: Frame, place: str) -> str:
    """What the arrow says: on the topmost hub, "up" is away from the front mark."""
    return BACK if frame.outward[frame.hub_index[place], 2] > STRAIGHT_UP else UP


def arm_tags(hub: HubPlace, part: Part) -> Label:
    """The strip of tags for a hub's arms: arm number, strut, and the hub they belong to."""
    tags = tuple(Tag(str(arm.number), arm.strut, _("{hub} arm {arm}").format(hub=hub.name, arm=arm.number))
                 for arm in hub.arms)
    return Label(part.id, tags=tags, name=_("{part} arms").format(part=part.id))


def symbol_text(design: Design, part: Part, end: int | None = None) -> str:
    """What the symbol says: the part's page, in capitals but for the scheme, so that it stays small.

    Some camera apps take an address as a link only if its scheme is in small letters.
    """
    return site_text(design, f"/P/{part.id}{'' if end is None else f'.{end}'}")


def site_text(design: Design, page: str) -> str:
    """The address of a page of the site, in capitals but for the scheme."""
    scheme, _, host = design.site.address.rstrip("/").partition("://")
    return f"{scheme.lower()}{f'://{host}{page}'.upper()}"


def short_address(design: Design) -> str:
    """The site address as a person types it."""
    return design.site.address.rstrip("/").removeprefix("http://")
