"""The cut list: lengths, the cutting plan drawn to scale, and a box to tick for every piece."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.materials import material
from fieldapp.base.numbers import decimal, percent, shortest
from fieldapp.base.units import m_from_mm
from fieldapp.base.words import _, marked
from fieldapp.frame.struts import StrutSection
from fieldapp.kit.cutting import CutPattern, CuttingPlan, CuttingPlans
from fieldapp.kit.kit import Kit, Part
from fieldapp.prints.common import (
    BAR_MM,
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
from fieldapp.wording.counted import bars_words, lengths_words, pieces_words, struts_words
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Mark, Outline, Page, PageItem
from labels.page_forms import TICK_MM, tick_box
from labels.page_text import BODY_MM, CLEAR_MM, SMALL_MM, heading_bar
from labels.pieces import ThinLine, Words, box

BAR_HEIGHT_MM = 9.0
PATTERN_MM = 26.0
"""Room of one pattern: words, its bar, the lengths below [mm]."""

LEAST_KERF_MM = 0.35
"""A saw cut is drawn at least so wide [mm]."""

HATCH_MM = 2.0
FRONT_ROWS, ROWS_BESIDE_HOW = 34, 20
"""Lengths listed on one page, and on one that says how to saw as well."""

MOST_BOXES = 24
"""More bars than this are counted by tally."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """All pieces of one class."""

    letter: str
    cut_mm: float
    made: tuple[Part, ...]
    spares: tuple[Part, ...]

    @property
    def count(self) -> int:
        """Pieces to saw."""
        return len(self.made) + len(self.spares)


def lengths(kit: Kit) -> tuple[Lengths, ...]:
    """Struts of the kit by class, shortest first."""
    struts = [part for part in kit.parts if part.kind == "strut"]
    found = []
    for each in kit.frame.strut_classes:
        parts = [part for part in struts if part.part_class == each.letter]
        cut_mm = next(part.cut_length_mm or 0.0 for part in parts)
        found.append(Lengths(each.letter, cut_mm, tuple(p for p in parts if not p.is_spare),
                             tuple(p for p in parts if p.is_spare)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class SawnSection:
    """What is sawn from one kind of stock."""

    name: str
    """Of its [struts.NAME]; "" for [strut]."""
    of: StrutSection
    classes: tuple[Lengths, ...]
    cutting: CuttingPlan
    first: bool
    """Whether it is the first of the list: bookmarks lead there."""


def cut_pages(sheet: WorkshopSheet, cutting: CuttingPlans) -> tuple[SheetPageMaker, ...]:
    """All pages of the cut list: lengths and plan of each section, then all pieces to tick off."""
    classes, frame = lengths(sheet.kit), sheet.kit.frame
    sections = [SawnSection(name, sheet.kit.design.section(name), tuple(
        each for each in classes if frame.strut_class(each.letter).section == name), plan, number == 0)
        for number, (name, plan) in enumerate(cutting.by_section)]
    return (*before_pages(sheet), *(maker for section in sections for maker in _section_makers(section, sheet)),
            *tick_makers(tuple(_ticks(classes)), sheet, Mark("pieces", _("Pieces to tick off"))))


def _section_makers(section: SawnSection, sheet: WorkshopSheet) -> Iterator[SheetPageMaker]:
    """Lengths, how to saw, and the plan."""
    top, bottom = sheet.area[1::2]
    per_page = int((bottom - top - BAR_MM - 10.0) // PATTERN_MM)
    numbered = list(enumerate(section.cutting.patterns, start=1))
    yield from _front_makers(section)
    yield from (_plan_maker(numbered[at:at + per_page], section) for at in range(0, len(numbered), per_page))


def _ticks(classes: Sequence[Lengths]) -> Iterator[Ticks]:
    """IDs by class, spares after those with a place."""
    for each in classes:
        yield ticks_of(f"{each.letter}   {decimal(each.cut_mm, 1, 'mm')}", pieces_words, (*each.made, *each.spares))


def _front_makers(section: SawnSection) -> Iterator[SheetPageMaker]:
    """The table of lengths, then how to saw: on the same page if there is room."""
    classes = section.classes
    parts = [classes[at:at + FRONT_ROWS] for at in range(0, len(classes), FRONT_ROWS)]
    for number, rows in enumerate(parts, start=1):
        last = number == len(parts)
        yield _front_maker(section, rows, everything=number == 1, how=last and len(rows) <= ROWS_BESIDE_HOW)
    if len(parts[-1]) > ROWS_BESIDE_HOW:
        yield _front_maker(section, (), everything=False, how=True)


def _front_maker(section: SawnSection, rows: Sequence[Lengths], *, everything: bool, how: bool) -> SheetPageMaker:
    cutting = section.cutting

    def make(sheet: WorkshopSheet, number: int) -> Page:
        column = sheet.column()
        if everything:
            column.bar(_("Saw {struts} in {lengths} from {bars}").format(
                struts=struts_words(sum(each.count for each in section.classes)),
                lengths=lengths_words(len(section.classes)), bars=bars_words(cutting.bars)))
            column.text(_stock_words(section))
            column.gap(3.0)
        if rows:
            table(column, HEADS, [(each.letter, decimal(each.cut_mm, 1), str(len(each.made)), str(len(each.spares)),
                                   str(each.count), "") for each in rows], size_mm=_table_size(len(rows)))
            column.gap(5.0)
        if how:
            column.bar(_("How"), BODY_MM * 1.2)
            column.points(_how(sheet.kit, section.of))
        marks = (Mark("lengths", _("Lengths")),) if everything and section.first else ()
        return finished(sheet, number, column.items, marks=marks)
    return make


HEADS = (Head("Class", 18.0, "start"), Head("Saw to [mm]", 34.0), Head("For places", 32.0), Head("Spares", 28.0),
         Head("In all", 24.0), Head("Sawn so far (tally)", 44.0, "middle"))
"""Columns of the table of lengths."""


def _table_size(rows: int) -> float:
    """Type size that lets all classes stand on the page [mm]."""
    return CLEAR_MM if rows <= 8 else BODY_MM


def _stock_words(section: SawnSection) -> str:
    """What is bought, and how good the plan is."""
    strut, cutting = section.of, section.cutting
    size = shortest(strut.outer_mm) if strut.wall_mm is None else \
        f"{shortest(strut.outer_mm)} × {shortest(strut.wall_mm)}"
    used_mm = sum((part.cut_length_mm or 0.0) for each in section.classes for part in (*each.made, *each.spares))
    waste = 1.0 - used_mm / (cutting.bars * cutting.stock_mm)
    good = _("no plan needs fewer") if cutting.bars == cutting.least_bars else \
        _("at least {n} are needed").format(n=cutting.least_bars)
    before = f"{section.name}: " if section.name else ""
    words = _("{material} {section}, {size} mm. Buy {bars} of {stock} mm ({metres} m; {good}), and some more for bad "
              "pieces. Saw cut {kerf} mm. Offcuts and sawdust: {waste}.").format(
        material=_(material(strut.material).name), section=_(SECTIONS[strut.section]), size=size,
        bars=bars_words(cutting.bars),
        stock=shortest(cutting.stock_mm), metres=decimal(m_from_mm(cutting.bars * cutting.stock_mm)), good=good,
        kerf=shortest(cutting.kerf_mm), waste=percent(waste, 1))
    return before + words


SECTIONS = {"tube": marked("tube"), "rod": marked("rod")}
"""What struts are called by their section."""


def _how(kit: Kit, strut: StrutSection) -> Iterator[str]:
    """Order of work and cautions."""
    yield _("Measure the first ten bars: all must be as long as the plan says, and the saw cut as wide.")
    yield _("Screw a stop to the bench for one length at a time. Saw one piece, measure it, correct the stop, then saw "
            "the rest. A strut may be wrong by {error} mm at most: measure every tenth.").format(
        error=shortest(strut.length_error_mm))
    yield _("Write class and ID on every piece at once, before it leaves the saw: lengths differ by less than the eye "
            "sees. Stick the label the same day.")
    reach_mm = kit.design.hub.reach_mm
    yield from (_(text).format(reach=shortest(reach_mm), twice=shortest(2 * reach_mm))
                for text in kit.design.hub.held_by.workshop.cutting)
    yield _("Take long pieces first: a piece that was sawn too short can still become a shorter class.")
    yield _("Put aside what is split, knotty, crushed or bent. Keep long offcuts as splints and for trying out hubs.")
    yield _("Goggles, ear protection, no gloves at a turning blade, bars held so that they cannot roll. Whoever works "
            "a power saw has been shown how; the saw's own instructions and local rules come first.")


def _plan_maker(patterns: Sequence[tuple[int, CutPattern]], section: SawnSection) -> SheetPageMaker:
    cutting, cut_mm = section.cutting, {each.letter: each.cut_mm for each in section.classes}

    def make(sheet: WorkshopSheet, number: int) -> Page:
        left, top = sheet.area[:2]
        scale = sheet.width_mm / cutting.stock_mm
        title = " · ".join(filter(None, (_("Cutting plan"), section.name)))
        items: list[PageItem] = [*heading_bar(title, (left, top, sheet.width_mm, BAR_MM), CLEAR_MM)]
        words = _("Bars of {stock} mm drawn 1 : {scale}. Black: saw cut. Hatched: left over.").format(
            stock=shortest(cutting.stock_mm), scale=decimal(1 / scale, 1))
        items.append(Words(words, left, top + BAR_MM + 5.0, SMALL_MM))
        y = top + BAR_MM + 10.0
        for place, pattern in patterns:
            items += _pattern(place, pattern, cutting, cut_mm=cut_mm, corner=(left, y), scale=scale)
            y += PATTERN_MM
        marks = (Mark("plan", _("Cutting plan")),) if patterns[0][0] == 1 and section.first else ()
        return finished(sheet, number, items, marks=marks)
    return make


def _pattern(number: int, pattern: CutPattern, cutting: CuttingPlan, *, cut_mm: dict[str, float],
             corner: tuple[float, float], scale: float) -> Iterator[PageItem]:
    """One way of sawing a bar: how many bars with boxes to tick, the bar, lengths below it."""
    left, y = corner
    title = _("{number}. {bars}:").format(number=number, bars=bars_words(pattern.bars))
    yield Words(title, left, y + 4.4, BODY_MM, bold=True)
    yield from _bar_boxes(pattern.bars, left + text_width_mm(title, BODY_MM, bold=True) + 3.0, y + 3.0)
    y += 7.0
    x = left
    for name, count in pattern.pieces:
        for _piece_number in range(count):
            yield from _piece(name, cut_mm[name], (x, y), scale=scale)
            x += cut_mm[name] * scale
            if x + LEAST_KERF_MM < left + cutting.stock_mm * scale:
                yield box(x, y, max(LEAST_KERF_MM, cutting.kerf_mm * scale), BAR_HEIGHT_MM)
            x += cutting.kerf_mm * scale
    yield from _offcut(pattern.offcut_mm, (min(x, left + cutting.stock_mm * scale), y), scale)
    yield Outline(left, y, cutting.stock_mm * scale, BAR_HEIGHT_MM, 0.4)


def _bar_boxes(count: int, x: float, middle: float) -> Iterator[PageItem]:
    """A box for every bar, or a line for a tally."""
    if count > MOST_BOXES:
        words = _("tally")
        yield Words(words, x, middle + CAP_HEIGHT * BODY_MM / 2, SMALL_MM)
        start = x + max(9.0, text_width_mm(words, SMALL_MM) + 1.5)
        yield ThinLine((start, middle + 2.4), (x + 120.0, middle + 2.4), 0.25)
        return
    for place in range(count):
        yield tick_box(x + place * (TICK_MM + 1.2), middle)


def _piece(name: str, length_mm: float, corner: tuple[float, float], *, scale: float) -> Iterator[PageItem]:
    """Letter in the piece, length below it if there is room."""
    x, y = corner
    width = length_mm * scale
    yield Words(name, x + width / 2, y + (BAR_HEIGHT_MM + CAP_HEIGHT * BODY_MM * 1.3) / 2, 1.3 * BODY_MM, bold=True,
                anchor="middle")
    words = decimal(length_mm, 1)
    if text_width_mm(words, SMALL_MM) < width - 1.0:
        yield Words(words, x + width / 2, y + BAR_HEIGHT_MM + 4.0, SMALL_MM, anchor="middle")


def _offcut(length_mm: float, corner: tuple[float, float], scale: float) -> Iterator[PageItem]:
    """What is left over, hatched."""
    x, y = corner
    width = length_mm * scale
    if width < 0.5:
        return
    for place in range(int((width + BAR_HEIGHT_MM) // HATCH_MM) + 1):
        at = place * HATCH_MM
        start, end = max(0.0, at - BAR_HEIGHT_MM), min(at, width)
        if start < end:
            yield ThinLine((x + start, y + at - start), (x + end, y + at - end), 0.12)
    words = _("{mm} left").format(mm=decimal(length_mm))
    yield Words(words, x + width, y + BAR_HEIGHT_MM + 4.0, SMALL_MM, anchor="end")
