"""Hub sheets: every class at true angles with its tables, templates in true size, hubs to tick off."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from fieldapp.base.materials import material
from fieldapp.base.numbers import decimal, shortest
from fieldapp.base.words import _, marked, ngettext
from fieldapp.kit.hub_sizes import dips, ends_apart_mm, hub_sizes
from fieldapp.kit.kit import Kit, Part
from fieldapp.prints.common import (
    TABLE_LEADING,
    Head,
    SheetPageMaker,
    Ticks,
    WorkshopSheet,
    finished,
    table,
    tick_makers,
    ticks_of,
)
from fieldapp.prints.workshop.before import before_pages
from fieldapp.prints.workshop.blank import lies_flat
from fieldapp.prints.workshop.dips import dip_points, measure_points, template_maker
from fieldapp.prints.workshop.pictures import hub_picture
from fieldapp.prints.workshop.side import side_view
from fieldapp.prints.workshop.turns import Blank
from fieldapp.wording.counted import classes_words, hubs_words
from fieldapp.wording.facing import facing
from fieldapp.wording.place import handed_words, sentence
from labels.fonts import CAP_HEIGHT
from labels.page import Link, Mark, Page, PageItem, Picture
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, Column
from labels.pieces import ThinLine, Words

PICTURE_MM = 84.0
FRONT_ROWS, ROWS_BESIDE_READING = 34, 22
"""Classes listed on one page, and on one that says how to read the sheets as well."""

MIRROR_GAP_MM = 2.0


def hub_pages(sheet: WorkshopSheet, blanks: Sequence[Blank]) -> tuple[SheetPageMaker, ...]:
    """All pages of the hub sheets."""
    pages = [page for pair in pairs(blanks) for page in class_pages(sheet, pair)]
    fronts = [blanks[at:at + FRONT_ROWS] for at in range(0, len(blanks), FRONT_ROWS)]
    crowded = len(fronts[-1]) > ROWS_BESIDE_READING
    return (*before_pages(sheet),
            *(_front_maker(rows, blanks, reading=rows is fronts[-1] and not crowded) for rows in fronts),
            *([_front_maker((), blanks, reading=True)] if crowded else []), _dips_maker(blanks), *pages,
            *(template_maker(blank, first=blank is blanks[0]) for blank in blanks),
            *tick_makers(tuple(_ticks(sheet.kit)), sheet, Mark("hubs", _("Hubs to tick off"))))


def pairs(blanks: Sequence[Blank]) -> tuple[tuple[Blank, ...], ...]:
    """Classes that share a page: mirror images."""
    return tuple(tuple(group) for _, group in groupby(blanks, key=lambda blank: blank.hub_class.name.rstrip("LR")))


def hubs_of(kit: Kit, name: str) -> tuple[Part, ...]:
    """All hubs of a class, those with a place first."""
    hubs = [part for part in kit.parts if part.kind == "hub" and part.part_class == name]
    return tuple(sorted(hubs, key=lambda part: (part.is_spare, part.number)))


def _ticks(kit: Kit) -> Iterator[Ticks]:
    """IDs by class."""
    for each in kit.frame.hub_classes:
        yield ticks_of(_("Class {name}").format(name=each.name), hubs_words, hubs_of(kit, each.name))


def _front_maker(rows: Sequence[Blank], blanks: Sequence[Blank], *, reading: bool) -> SheetPageMaker:
    def make(sheet: WorkshopSheet, number: int) -> Page:
        column = sheet.column()
        first = bool(rows) and rows[0] is blanks[0]
        if first:
            count = sum(part.kind == "hub" for part in sheet.kit.parts)
            column.bar(_("Make {hubs} in {classes}").format(hubs=hubs_words(count), classes=classes_words(len(blanks))))
            column.text(_material(sheet.kit))
            column.gap(2.0)
        if rows:
            _class_table(column, sheet.kit, rows)
        if reading:
            column.points(_reading(sheet.kit))
        return finished(sheet, number, column.items, marks=(Mark("classes", _("Classes")),) if first else ())
    return make


def _class_table(column: Column, kit: Kit, rows: Sequence[Blank]) -> None:
    """Classes with their counts, each row a link to its page."""
    heads = (Head("Class", 20.0, "start"), Head("Hand", 40.0, "start"), Head("Arms", 18.0),
             Head("For places", 30.0), Head("Spares", 24.0), Head("In all", 24.0), Head("Turns", 26.0))
    top = column.y_mm + TABLE_LEADING * SMALL_MM
    table(column, heads, [_front_row(kit, blank) for blank in rows])
    for place, blank in enumerate(rows):
        words = _("class {name}").format(name=blank.hub_class.name)
        column.items.append(Link(column.x_mm, top + place * TABLE_LEADING * BODY_MM, column.width_mm,
                                 TABLE_LEADING * BODY_MM, _key(blank), words))
    column.gap(3.0)


def _front_row(kit: Kit, blank: Blank) -> tuple[str, ...]:
    """One class in the list."""
    each, hubs = blank.hub_class, hubs_of(kit, blank.hub_class.name)
    hand = _(MIRRORED[each.handed]).format(name=each.mirror) if each.handed else _("no")
    spares = sum(part.is_spare for part in hubs)
    return (each.name, hand, str(len(blank.arms_deg)), str(len(hubs) - spares), str(spares), str(len(hubs)),
            str(len(blank.turns)))


MIRRORED = {"left": marked("left, mirror of {name}"), "right": marked("right, mirror of {name}")}
"""What is said of a class with a twin."""


def _material(kit: Kit) -> str:
    """What hubs are made of and their sizes."""
    hub, sizes = kit.design.hub, hub_sizes(kit.design)
    layers = ngettext("one layer", "{n} layers on each other", hub.plies).format(n=hub.plies)
    return _(hub.held_by.workshop.hub).format(
        material=_(material(hub.material).name), layers=layers, thickness=shortest(sizes.thickness_mm),
        width=shortest(sizes.width_mm), reach=shortest(sizes.reach_mm), deeper=decimal(sizes.insertion_mm),
        root=decimal(sizes.root_mm), middle=decimal(2 * sizes.core_mm))


def _reading(kit: Kit) -> Iterator[str]:
    """How to read the sheets."""
    yield _(facing(kit.frame).sheets)
    if any(each.handed for each in kit.frame.hub_classes):
        yield _("L and R are mirror images. They look alike and do not fit in each other's places, not even turned "
                "over: the dips would point outward. Mark them before you put them down.")
    yield _("A class with more than one turn sits in the frame in different positions. Its blanks are all alike, but "
            "up and the arm numbers are not: mark them from the table of turns, or by the hub's label.")
    yield _("Files for the machine: folder workshop, hub-1.dxf, hub-1.svg …, true size in millimetres. Cut the layer "
            "\"outline\", engrave the others; \"notes not cut\" is for reading.")
    yield _("Tables: angles in degrees, all other figures in millimetres.")
    yield from map(_, kit.design.hub.held_by.workshop.reading)


def _dips_maker(blanks: Sequence[Blank]) -> SheetPageMaker:
    def make(sheet: WorkshopSheet, number: int) -> Page:
        design = sheet.kit.design
        column = sheet.column()
        column.bar(_("Dips: how to give them, how to measure them"))
        column.points(dip_points(blanks, sheet.kit))
        column.gap(2.0)
        if design.hub.held_by.workshop.sheet:
            steep = max(blanks, key=lambda blank: max(blank.dips_deg))
            view = side_view(steep, sheet.kit, (sheet.width_mm, 80.0))
            column.items.append(Picture(view, column.x_mm, column.y_mm))
            column.gap(view.height_mm + 3.0)
        column.points(measure_points(design))
        return finished(sheet, number, column.items, marks=(Mark("dips", _("Dips")),))
    return make


def class_pages(sheet: WorkshopSheet, pair: Sequence[Blank]) -> tuple[SheetPageMaker, ...]:
    """One class, or two that are mirror images: pictures, tables, turns; a second page if the turns need one."""
    column = sheet.column()
    title = _("Hub class {name}").format(name=pair[0].hub_class.name)
    if len(pair) == 2:
        title = _("Hub classes {one} and {other}: mirror images").format(
            one=pair[0].hub_class.name, other=pair[1].hub_class.name)
    column.bar(title)
    _pictures(column, sheet.kit, pair)
    for blank in pair:
        _arm_table(column, blank, sheet.kit, named=len(pair) > 1)
    marks = tuple(Mark(_key(blank), _("Class {name}").format(name=blank.hub_class.name)) for blank in pair)
    for size_mm in (BODY_MM, SMALL_MM):
        turns = Column(column.x_mm, column.y_mm, column.width_mm)
        _turn_words(turns, sheet.kit, pair, size_mm=size_mm)
        if turns.y_mm <= sheet.area[3]:
            return (_page_maker((*column.items, *turns.items), marks),)
    over = sheet.column()
    over.bar(_("{title}, turns").format(title=title))
    _turn_words(over, sheet.kit, pair, size_mm=SMALL_MM)
    return _page_maker(tuple(column.items), marks), _page_maker(tuple(over.items), ())


def _page_maker(items: Sequence[PageItem], marks: Sequence[Mark]) -> SheetPageMaker:
    return lambda sheet, number: finished(sheet, number, items, marks=marks)


def _key(blank: Blank) -> str:
    """Where a class is found."""
    return f"class-{blank.hub_class.name}"


def _pictures(column: Column, kit: Kit, pair: Sequence[Blank]) -> None:
    """Pictures side by side; between mirror images the mirror's line, beside a single one what it is."""
    top = column.y_mm
    half = column.width_mm * (0.5 if len(pair) == 2 else 0.62)
    height = 0.0
    for place, blank in enumerate(pair):
        x = column.x_mm + place * half
        picture = hub_picture(blank, kit.design, (half - MIRROR_GAP_MM, PICTURE_MM * (1.0 if len(pair) == 2 else 1.2)))
        height = max(height, picture.height_mm)
        words = f"{blank.hub_class.name}   {handed_words(blank.hub_class.handed)}" if blank.hub_class.handed else ""
        column.items.append(Words(words, x + half / 2, top + CAP_HEIGHT * CLEAR_MM, CLEAR_MM, bold=True,
                                  anchor="middle"))
        column.items.append(Picture(picture, x, top + CLEAR_MM))
    if len(pair) == 2:
        x = column.x_mm + half
        column.items.append(ThinLine((x, top), (x, top + height + CLEAR_MM), 0.3, dashed=True))
    else:
        beside = Column(column.x_mm + half + 4.0, top + 10.0, column.width_mm - half - 4.0)
        for text in _facts(kit, pair[0]):
            beside.text(text)
            beside.gap(1.5)
        column.items += beside.items
    column.y_mm = top + height + CLEAR_MM + 2.0


def _facts(kit: Kit, blank: Blank) -> Iterator[str]:
    """What a class that is its own mirror image is."""
    each = blank.hub_class
    yield _("{n} to make, spares included.").format(n=len(hubs_of(kit, each.name)))
    yield _("The same as its mirror image, but not to be turned over.") if not each.handed else \
        _("{hand}; its mirror image does not occur in this frame.").format(hand=sentence(handed_words(each.handed)))
    if each.symmetry > 1:
        yield _("Fits on itself in {n} positions: any of them will do.").format(n=each.symmetry)


def _arm_table(column: Column, blank: Blank, kit: Kit, *, named: bool) -> None:
    """Every arm with what is cut, packed and measured."""
    if named:
        hubs = hubs_of(kit, blank.hub_class.name)
        column.line(_("{name}, {hand}: {n} to make, spares included").format(
            name=blank.hub_class.name, hand=handed_words(blank.hub_class.handed), n=len(hubs)), bold=True)
    flat = kit.design.hub.held_by.workshop.sheet
    kept = range(len(HEADS)) if flat else ANGLES
    table(column, [HEADS[at] for at in kept], [[row[at] for at in kept] for row in _arm_rows(blank, kit)])
    column.gap(2.5)


HEADS = (Head("Arm", 11.0, "start"), Head("Strut", 13.0, "middle"), Head("Direction", 20.0), Head("To next", 20.0),
         Head("Ends apart", 20.0), Head("Dip", 18.0), Head("Axial angle", 21.0), Head("Drop", 16.0),
         Head("Wedge", 15.0), Head("At end", 14.0), Head("At tip", 14.0))
"""Columns of the table of arms."""

ANGLES = (0, 1, 2, 3, 5, 6)
"""The columns for hubs that are no flat sheets."""


def _arm_rows(blank: Blank, kit: Kit) -> Iterator[tuple[str, ...]]:
    """Figures of every arm."""
    sizes = hub_sizes(kit.design)
    figures, apart = dips(blank, sizes), ends_apart_mm(blank, sizes)
    for arm, (letter, angle, dip) in enumerate(zip(blank.strut_classes, blank.arms_deg, figures, strict=True)):
        yield (str(arm + 1), letter, decimal(angle, 2, "°"), decimal(blank.gaps_deg[arm], 2, "°"),
               decimal(apart[arm], 1), decimal(dip.dip_deg, 2, "°"), decimal(dip.axial_deg, 2, "°"),
               decimal(dip.drop_mm, 1), decimal(dip.wedge_mm, 1), decimal(dip.at_mouth_mm, 1, plus=True),
               decimal(dip.at_tip_mm, 1, plus=True))


def _turn_words(column: Column, kit: Kit, pair: Sequence[Blank], *, size_mm: float) -> None:
    """Which places show the blank in which position."""
    for blank in pair:
        for number, turn in enumerate(blank.turns, start=1):
            which = _("All places") if len(blank.turns) == 1 else _("Turn {n}").format(n=number)
            if len(pair) > 1:
                which = _("{name}: {what}").format(name=blank.hub_class.name, what=which)
            places = " ".join(turn.places)
            column.text(_(TURNED[turn is blank.turns[0], lies_flat(kit.frame, turn.places[0])]).format(
                which=which, angle=decimal(turn.up_deg, 2, "°"), numbers=" ".join(map(str, turn.arm_numbers)),
                places=places), size_mm)
            column.gap(0.25 * size_mm)


TURNED = {
    (True, False): marked("{which}, as drawn: {places}"),
    (True, True): marked("{which}, as drawn; up is away from the front mark: {places}"),
    (False, False): marked("{which}, up lies at {angle} of the drawing, drawn arms 1, 2 … have the numbers {numbers}: "
                           "{places}"),
    (False, True): marked("{which}, up lies at {angle} of the drawing, drawn arms 1, 2 … have the numbers {numbers}; "
                          "up is away from the front mark: {places}")}
"""What is said of a turn: whether it is the one that is drawn, and whether its hubs lie flat."""
