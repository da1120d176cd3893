"""The break-test sheet: how to load an arm until it breaks without hurting anybody, and where to write it down."""

from collections.abc import Iterable, Iterator, Sequence

from fieldapp.base.duration import SHORTEST
from fieldapp.base.joints.joint import BreakTest
from fieldapp.base.numbers import decimal, shortest
from fieldapp.base.units import newton_from_kg
from fieldapp.base.words import _
from fieldapp.frame.design import Design
from fieldapp.frame.struts import NamedStrut, table_of
from fieldapp.kit.file import DESIGN_FILE
from fieldapp.plan.words import SAFETY
from fieldapp.prints.common import Head, SheetPageMaker, WorkshopSheet, finished, table
from fieldapp.statics.break_tests import FEWEST_UNKNOWN
from fieldapp.statics.make import Make, make_of, with_section
from fieldapp.statics.untested import is_hinged
from labels.drawing import Circle, Drawing, Item, Line, Polygon, Text
from labels.fonts import text_width_mm
from labels.page import Mark, Outline, Page, Picture
from labels.page_text import BODY_MM, SMALL_MM, Column
from labels.pieces import ThinLine, Words

ROWS = 10
ROW_MM = 9.5
LEVERS_MM = (200.0, 300.0, 400.0, 500.0, 600.0, 800.0, 1000.0)
HANDY_N = 150.0
"""A load that a bucket of sand or water gives [N].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""

FIRST_SHARE, STEP_SHARE = 0.25, 0.05
"""First load and further steps, as shares of the load expected [1].
Source: common practice, no source. Test: tests/prints/workshop/test_workshop.py"""

WORD_MM = 3.8


def lever_mm(design: Design) -> float:
    """The lever of the design's own tests, else the shortest at which a handy load breaks the arm [mm]."""
    if design.hub.test_lever_mm is not None:
        return design.hub.test_lever_mm
    moment = expected_moment_nmm(weakest_make(design))
    return next((lever for lever in LEVERS_MM if moment / lever <= HANDY_N), LEVERS_MM[-1])


def weakest_make(design: Design) -> Make:
    """The make whose arms break first: arms of hubs are all alike, ends of struts are as their sections are."""
    names = [name for name in design.section_names if design.section(name) in design.used_sections]
    return min((make_of(with_section(design, name)) for name in names), key=expected_moment_nmm)


def expected_moment_nmm(make: Make) -> float:
    """Moment at which most arms have not broken yet: characteristic strength × section modulus, weak way [N mm]."""
    return make.arm_material.bending_mpa * make.arm.modulus_out_mm3


def break_pages(sheet: WorkshopSheet) -> tuple[SheetPageMaker, ...]:
    """How, and the table; none where struts are hinged: no arm is bent there."""
    return () if is_hinged(sheet.kit.design) else (how_page, table_page)


def how_page(sheet: WorkshopSheet, number: int) -> Page:
    """Picture, cautions, order of work."""
    column = sheet.column()
    design = sheet.kit.design
    column.bar(_(design.hub.held_by.break_test.title))
    view = test_picture(lever_mm(design), sheet.width_mm, design.hub.held_by.break_test)
    column.items.append(Picture(view, column.x_mm, column.y_mm))
    column.gap(view.height_mm + 2.0)
    column.bar(_("Nobody gets hurt"), BODY_MM * 1.2)
    column.points(cautions(_(design.hub.held_by.break_test.sudden)), signs=("!",) * 5)
    column.gap(2.5)
    column.bar(_("How"), BODY_MM * 1.2)
    steps = tuple(_steps(design))
    column.points(steps, signs=tuple(f"{place}" for place in range(1, len(steps) + 1)))
    return finished(sheet, number, column.items, marks=(Mark("how", _("How to test")),))


def cautions(sudden: str) -> Iterator[str]:
    """What comes first; `sudden` is how it breaks."""
    yield sudden
    yield _("The load hangs a hand's width above sand: it cannot fall far. No hand, foot or head goes below it.")
    yield _("Load with a jug or scoop, from the side, never with your own weight. Nobody stands in line with the "
            "lever.")
    yield _("One person loads, one reads and writes, the others and all children stay three metres off.")
    yield _("Pull at both clamps before every test. Stop if the bench tips or the hub slips.")


def _steps(design: Design) -> Iterator[str]:
    """Order of work with the figures of this design."""
    make, lever, test = weakest_make(design), lever_mm(design), design.hub.held_by.break_test
    yield _(test.series).format(fewest=FEWEST_UNKNOWN)
    yield _(test.clamped)
    yield _(test.lever).format(lever=decimal(lever))
    yield _loading(design, make, lever)
    yield _(test.weigh)
    yield _(test.wet)


def _loading(design: Design, make: Make, lever: float) -> str:
    """How to load, with the load that breaks it where section and strength foretell that; never of old parts."""
    if not design.hub.held_by.break_test.foretold or design.strength.hubs == "unknown":
        return _("Begin with 1 kg, then add half a kilogram at a time and wait ten seconds each.")
    load = expected_moment_nmm(make) / lever
    kilos = load / newton_from_kg(1.0)
    return _("These arms should break at about {load} N ({kilos} kg) or more at that lever. Begin with {first} kg, "
             "then add {more} kg at a time and wait ten seconds each.").format(
        load=decimal(load), kilos=decimal(kilos, 1), first=decimal(FIRST_SHARE * kilos, 1),
        more=decimal(STEP_SHARE * kilos, 2))


def table_page(sheet: WorkshopSheet, number: int) -> Page:
    """Where to write, and what to do with the figures."""
    design = sheet.kit.design
    column = sheet.column()
    column.bar(_("Break loads"))
    series(column)
    part, where = design.hub.held_by.break_test.heads
    heads = (Head("Test", 12.0, "start"), Head(part, 38.0, "start"), Head(where, 14.0, "start"),
             Head("Lever [mm]", 22.0, "start"), Head("Hung in all [kg]", 28.0, "start"),
             Head("Load [N]", 24.0, "start"), Head("Where and how it broke", 44.0, "start"))
    grid(column, heads)
    column.line(_("Load [N] = kilograms × {g}").format(g=decimal(newton_from_kg(1.0), 2)), SMALL_MM)
    column.gap(3.0)
    column.bar(_("What to do with them"), BODY_MM * 1.2)
    _commands(column, design)
    return finished(sheet, number, column.items, marks=(Mark("loads", _("Break loads")),))


def series(column: Column) -> None:
    """What holds for the whole series."""
    for label, share in ((_("Date"), 0.26), (_("Material, batch"), 0.44), (_("Dry or wet"), 0.3)):
        width = share * column.width_mm
        start = column.x_mm + max(len(label) * 2.1, text_width_mm(label, BODY_MM)) + 2.0
        column.items.append(Words(label, column.x_mm, column.y_mm + 6.5, BODY_MM))
        column.items.append(ThinLine((start, column.y_mm + 7.5),
                                 (column.x_mm + width - 4.0, column.y_mm + 7.5), 0.25))
        column.x_mm += width
    column.x_mm -= column.width_mm
    column.y_mm += 11.0


def grid(column: Column, heads: tuple[Head, ...]) -> None:
    """Empty rows with lines between the columns."""
    table(column, heads, ())
    for row in range(1, ROWS + 1):
        x = column.x_mm
        column.items.append(Words(str(row), x + 1.0, column.y_mm + ROW_MM - 3.2, BODY_MM, bold=True))
        for head in heads:
            column.items.append(Outline(x, column.y_mm, head.width_mm, ROW_MM, 0.15))
            x += head.width_mm
        column.y_mm += ROW_MM
    column.y_mm += 1.5


def _commands(column: Column, design: Design) -> None:
    """Evaluate at once, and put the figures into the design."""
    make, lever = weakest_make(design), lever_mm(design)
    factor = make.arm_material.design_factor(design.raising.service_class, SHORTEST)
    column.points((
        _(design.hub.held_by.break_test.one_series),
        _("A look at once, with your loads in newtons:")))
    load = _("LOAD")
    column.line(f"raisebook arm-test {load} {load} {load} --lever {lever:.0f} --factor {factor:.3g}", bold=True,
                indent_mm=1.3 * BODY_MM)
    column.gap(1.0)
    column.points((
        _("The factor {factor} holds for {material} in service class {number}, loads of less than a week (k_mod / γ_M, "
          "EN 1995-1-1).").format(factor=shortest(factor, digits=3), material=_(make.arm_material.name),
                                  number=design.raising.service_class),
        _("For plans and push limits, write into {file} and run raisebook make again:").format(file=DESIGN_FILE)))
    answer_lines(column, _tables(design), (f"test_lever_mm = {lever:.0f}", f"test_loads_n = [{load}, {load}, {load}]"))
    column.gap(2.0)
    column.text(_("The 5 % fractile is taken as EN 1990 Annex D says: fewer arms and more scatter give a lower value.")
                + f" {_(SAFETY)}", SMALL_MM)


def _tables(design: Design) -> tuple[str, ...]:
    """Tables of the design that take break tests of arms: the hub's, or of every section the ends of its struts."""
    own = design.hub.held_by.member.arm_of == "strut"
    return tuple(table_of(of.name) if own and isinstance(of, NamedStrut) else "hub" for of in design.used_sections)


def answer_lines(column: Column, tables: Iterable[str], answers: Sequence[str]) -> None:
    """What to write into each table of the design file."""
    for name in dict.fromkeys(tables):
        for line in (f"[{name}]", *answers):
            column.line(line, bold=True, indent_mm=1.3 * BODY_MM)


def test_picture(lever: float, width_mm: float, test: BreakTest) -> Drawing:
    """Bench, clamped hub, lever, load close above the ground."""
    edge, top, reach = 66.0, 22.0, width_mm - 66.0 - 26.0
    words = _(test.measured).format(mm=decimal(lever))
    end = edge + reach
    items: tuple[Item, ...] = (
        *_bench(edge, top), *bucket(end, top),
        Polygon(((14.0, top - 4.0), (edge + 26.0, top - 4.0), (edge + 26.0, top), (14.0, top)), "this", filled=True),
        Polygon(((edge + 14.0, top - 6.5), (end + 8.0, top - 6.5), (end + 8.0, top + 2.5), (edge + 14.0, top + 2.5)),
                "standing", width_mm=0.5),
        *dimension(edge, end, top - 13.0, words=words),
        Text((edge + 52.0, top + 8.5), _(test.strut), "text", WORD_MM),
        Text((edge + 4.0, top + 12.0), _(test.root), "text", WORD_MM, "start"),
        Line((edge + 3.0, top + 10.0), (edge + 0.4, top + 0.8), "note", 0.25),
        Text((33.5, top + 30.0), _("two clamps,"), "text", WORD_MM),
        Text((33.5, top + 35.0), _("a firm bench"), "text", WORD_MM))
    return Drawing(width_mm, 84.0, items,
                   _("A hub clamped to a bench, a strut on its arm, a bucket hanging from it"))


def _bench(edge: float, top: float) -> Iterator[Item]:
    """Table top, leg, blocks, clamps, the ground."""
    yield Polygon(((2.0, top), (edge, top), (edge, top + 8.0), (2.0, top + 8.0)), "standing", width_mm=0.5)
    for x in (8.0, edge - 12.0):
        yield Polygon(((x, top + 8.0), (x + 5.0, top + 8.0), (x + 5.0, 82.0), (x, 82.0)), "later", width_mm=0.4)
    yield Line((0.0, 82.0), (edge + 112.0, 82.0), "ground", 0.5)
    for x in (24.0, edge - 10.0):
        yield Polygon(((x - 5.0, top - 9.0), (x + 5.0, top - 9.0), (x + 5.0, top - 4.0), (x - 5.0, top - 4.0)), "later",
                      filled=True)
        yield Polygon(((x - 1.5, top - 15.0), (x + 1.5, top - 15.0), (x + 1.5, top - 9.0), (x - 1.5, top - 9.0)),
                      "standing", width_mm=0.4)
        yield Line((x - 4.5, top - 15.0), (x + 4.5, top - 15.0), "standing", 0.8)
        yield Polygon(((x - 1.5, top + 8.0), (x + 1.5, top + 8.0), (x + 1.5, top + 13.0), (x - 1.5, top + 13.0)),
                      "standing", width_mm=0.4)


def bucket(x: float, top: float) -> Iterator[Item]:
    """Cord, bucket, crate with sand close below it."""
    yield Circle((x, top - 2.0), 1.4, "standing", filled=True)
    yield Line((x, top - 2.0), (x, top + 26.0), "standing", 0.5)
    yield Polygon(((x - 11.0, top + 30.0), (x + 11.0, top + 30.0), (x + 8.0, top + 46.0), (x - 8.0, top + 46.0)),
                  "standing", width_mm=0.6)
    yield Line((x - 10.0, top + 30.0), (x, top + 26.0), "standing", 0.4)
    yield Line((x + 10.0, top + 30.0), (x, top + 26.0), "standing", 0.4)
    yield Text((x, top + 39.5), _("load"), "text", WORD_MM, bold=True)
    yield Polygon(((x - 16.0, top + 50.0), (x + 16.0, top + 50.0), (x + 16.0, 82.0), (x - 16.0, 82.0)), "later",
                  width_mm=0.4)
    yield Text((x, 76.0), _("sand"), "text", WORD_MM)
    yield Text((x - 18.0, top + 49.5), _("a hand's width"), "text", WORD_MM, "end")


def dimension(left: float, right: float, y: float, *, words: str) -> Iterator[Item]:
    """A length between two ends, with arrows."""
    yield Line((left, y), (right, y), "mark", 0.3)
    for x, way in ((left, 1.0), (right, -1.0)):
        yield Polygon(((x, y), (x + 3.0 * way, y - 1.1), (x + 3.0 * way, y + 1.1)), "mark", filled=True)
        yield Line((x, y - 2.5), (x, y + 8.0), "note", 0.25)
    yield Text(((left + right) / 2, y - 1.6), words, "text", WORD_MM, bold=True)
