"""The break-test sheet of struts: on two supports, loaded in the middle, of every section a page to write on."""

from collections.abc import Iterator
from functools import partial

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words
from fieldapp.base.units import newton_from_kg
from fieldapp.base.words import _
from fieldapp.frame.design import Design
from fieldapp.frame.struts import NamedStrut, StrutSection, table_of
from fieldapp.kit.file import DESIGN_FILE
from fieldapp.kit.kit import Kit
from fieldapp.kit.sections import section_words
from fieldapp.plan.words import SAFETY
from fieldapp.prints.common import Head, SheetPageMaker, WorkshopSheet, finished
from fieldapp.prints.workshop.break_test import (
    FIRST_SHARE,
    STEP_SHARE,
    WORD_MM,
    answer_lines,
    bucket,
    cautions,
    dimension,
    grid,
    series,
)
from fieldapp.statics.break_tests import FEWEST_UNKNOWN
from fieldapp.statics.make import make_of, with_section
from fieldapp.statics.strut_tests import SPAN_LEVER
from fieldapp.statics.untested import is_hinged
from labels.drawing import Drawing, Item, Line, Polygon, Text
from labels.page import Mark, Page, Picture
from labels.page_text import BODY_MM, SMALL_MM

SPANS_MM = (300.0, 400.0, 500.0, 600.0, 800.0, 1000.0, 1200.0, 1500.0, 2000.0)
HANDY_N = 500.0
"""A load that two buckets of sand or four of water give [N].
Source: common practice, no source. Test: tests/prints/workshop/test_strut_test.py"""
OVERHANG_MM = 100.0
"""Of a strut beyond each support, so that it does not slip off when it bends [mm].
Source: our choice. Test: tests/prints/workshop/test_strut_test.py"""


def strut_test_pages(sheet: WorkshopSheet) -> tuple[SheetPageMaker, ...]:
    """How, then a table for each section that some strut has."""
    sections = sheet.kit.frame.sections
    return (how_page, *(partial(_table_page, name) for name in sections))


def span_mm(kit: Kit, name: str) -> float:
    """Between the supports: the design's own answer, else the shortest at which a handy load breaks such a strut.

    No longer than its longest struts leave with something beyond either support [mm].
    """
    own = with_section(kit.design, name).strength.strut_span_mm
    longest = max(part.cut_length_mm or 0.0 for part in kit.parts
                  if part.kind == "strut" and kit.frame.strut_class(part.part_class).section == name)
    fit = [span for span in SPANS_MM if span <= longest - 2 * OVERHANG_MM] or [0.8 * longest]
    return own or next((span for span in fit if expected_n(kit.design, name, span) <= HANDY_N), fit[-1])


def expected_n(design: Design, name: str, span: float) -> float:
    """Load in the middle at which most such struts have not broken yet: characteristic strength × W × 4 / L [N].

    Source: (S33). Test: tests/prints/workshop/test_strut_test.py
    """
    make = make_of(with_section(design, name))
    return make.tube_material.bending_mpa * make.tube.modulus_out_mm3 / (SPAN_LEVER * span)


def how_page(sheet: WorkshopSheet, number: int) -> Page:
    """Picture, cautions, order of work."""
    column = sheet.column()
    column.bar(_("Break test: what does a strut bear?"))
    view = strut_picture(sheet.width_mm)
    column.items.append(Picture(view, column.x_mm, column.y_mm))
    column.gap(view.height_mm + 2.0)
    column.bar(_("Nobody gets hurt"), BODY_MM * 1.2)
    sudden = _("Goggles for everybody near. Struts break suddenly: splinters fly, and both halves jump.")
    column.points(cautions(sudden), signs=("!",) * 5)
    column.gap(2.5)
    column.bar(_("How"), BODY_MM * 1.2)
    steps = tuple(_steps(sheet.kit.design))
    column.points(steps, signs=tuple(f"{place}" for place in range(1, len(steps) + 1)))
    return finished(sheet, number, column.items, marks=(Mark("strut how", _("How to test struts")),))


def _steps(design: Design) -> Iterator[str]:
    """Order of work."""
    yield _("Take the struts that look worst: at least {fewest}, better six, all of one section and one state. Never "
            "use a tested strut again.").format(fewest=FEWEST_UNKNOWN)
    yield _("Lay the strut on two firm supports, a hand's length beyond each, with a stop on either side so that it "
            "cannot roll. Put a block of wood under the cord, so that it does not cut in.")
    yield _("Hang the load right in the middle. Load slowly, and wait ten seconds each time; the next page says how "
            "much at a time.")
    yield _("What folds or stays bent has broken: what hung when it first stayed bent is its load. Weigh everything "
            "that hung: bucket, hook, load. Write down also where it broke.")
    if is_hinged(design):
        yield _("Struts are hinged to these hubs: what a joint bears, only pulling it apart along the strut says. Have "
                "that done on a testing machine; the pulls go into [hub] pull_test_n.")


def _table_page(name: str, sheet: WorkshopSheet, number: int) -> Page:
    """Where to write, and what to do with the figures, of one section."""
    kit, column = sheet.kit, sheet.column()
    of, span = kit.design.section(name), span_mm(kit, name)
    column.bar(_("Break loads of struts: {section}").format(section=in_words(section_words(of))))
    series(column)
    apart = _("Put the supports {span} mm apart.").format(span=decimal(span))
    column.text(f"{apart} {_loading(kit.design, name, span)}")
    column.gap(2.0)
    grid(column, (Head("Test", 12.0, "start"), Head("Part ID or class", 38.0, "start"),
                  Head("Supports [mm]", 26.0, "start"), Head("Hung in all [kg]", 28.0, "start"),
                  Head("Load [N]", 24.0, "start"), Head("Where and how it broke", 54.0, "start")))
    column.line(_("Load [N] = kilograms × {g}").format(g=decimal(newton_from_kg(1.0), 2)), SMALL_MM)
    column.gap(3.0)
    column.bar(_("What to do with them"), BODY_MM * 1.2)
    column.points((_("Leave out no low value: the low ones are why you test. Wet struts are a series of their own."),
                   _("For plans and limits, write into {file} and run raisebook make again:").format(file=DESIGN_FILE)))
    load = _("LOAD")
    answer_lines(column, (_table(of),), (f"strut_span_mm = {span:.0f}", f"strut_loads_n = [{load}, {load}, {load}]"))
    column.gap(2.0)
    column.text(_(SAFETY), SMALL_MM)
    return finished(sheet, number, column.items, marks=(Mark(f"strut loads {name}", _("Break loads of struts")),))


def _table(of: StrutSection) -> str:
    """The table of the design file that takes break tests of struts of a section."""
    return table_of(of.name) if isinstance(of, NamedStrut) else "strength"


def _loading(design: Design, name: str, span: float) -> str:
    """How to load, with the load that breaks it where section and strength foretell that; never of old parts."""
    if design.strength.struts == "unknown":
        return _("Begin with 1 kg, then add half a kilogram at a time and wait ten seconds each.")
    kilos = expected_n(design, name, span) / newton_from_kg(1.0)
    return _("Such struts should break at about {load} N ({kilos} kg) or more. Begin with {first} kg, then add {more} "
             "kg at a time and wait ten seconds each.").format(
        load=decimal(expected_n(design, name, span)), kilos=decimal(kilos, 1), first=decimal(FIRST_SHARE * kilos, 1),
        more=decimal(STEP_SHARE * kilos, 2))


def strut_picture(width_mm: float) -> Drawing:
    """Two trestles, a strut on them, the load close above sand."""
    top, left, right = 24.0, 38.0, width_mm - 38.0
    middle = (left + right) / 2
    items: tuple[Item, ...] = (
        *_trestle(left, top), *_trestle(right, top), *bucket(middle, top),
        Polygon(((left - 22.0, top - 5.0), (right + 22.0, top - 5.0), (right + 22.0, top), (left - 22.0, top)), "this",
                filled=True),
        Line((0.0, 82.0), (width_mm, 82.0), "ground", 0.5),
        *dimension(left, right, top - 13.0, words=_("distance of the supports")),
        Text((left, top + 30.0), _("firm supports,"), "text", WORD_MM, "end"),
        Text((left, top + 35.0), _("with stops"), "text", WORD_MM, "end"))
    return Drawing(width_mm, 84.0, items, _("A strut on two supports, a bucket hanging from its middle"))


def _trestle(x: float, top: float) -> Iterator[Item]:
    """A support with a stop on either side of the strut."""
    yield Polygon(((x - 4.0, top), (x + 4.0, top), (x + 4.0, top + 4.0), (x - 4.0, top + 4.0)), "standing",
                  width_mm=0.5)
    for foot in (-12.0, 12.0):
        yield Line((x, top + 4.0), (x + foot, 82.0), "standing", 0.8)
    yield Line((x - 4.0, top), (x - 4.0, top - 9.0), "standing", 0.6)
