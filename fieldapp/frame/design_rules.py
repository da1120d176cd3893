"""What two answers of a design demand of each other: one small rule each.

A rule looks at a whole design and answers the problems it sees, as sentences without the file's
name. It also says which answers it looked at, so that a rule is silent about an answer that is
wrong by itself.
"""

from collections.abc import Iterator, Sequence

from fieldapp.base.errors import DesignError
from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.units import mm_from_m
from fieldapp.frame.cuts import rim_row
from fieldapp.frame.design import Design
from fieldapp.frame.ground_rules import GROUND_RULES
from fieldapp.frame.rule import DesignRule
from fieldapp.frame.struts import END_SIZES, NamedStrut, StrutSection, table_of
from labels import PAPERS_MM, SLACK_MM

LAST_PORT = 65535
"""Largest number of a port (in no formula)."""

SIZE_KEYS = ("diameter_m", "height_m", "longest_strut_m")
VAULT_SIZES = ("width_m", "height_m", "length_m")
LOWEST_VAULT, HIGHEST_VAULT = 0.05, 0.75
"""Height of a vault as part of its width [1].
Source: our choice. Test: tests/frame/test_vault.py"""


def broken_rules(design: Design, wrong: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Problems between answers, leaving out rules that read an answer of `wrong` (`section.key`)."""
    return tuple(text for rule in RULES if wrong.isdisjoint(rule.reads) for text in rule.problems(design))


def _cut(design: Design) -> Iterator[str]:
    if not is_sphere(design):
        return
    try:
        rim_row(design.frame.frequency, design.frame.cut)
    except DesignError as error:
        yield f"{error}."


def _one_size(design: Design) -> Iterator[str]:
    given = [key for key in SIZE_KEYS if getattr(design.frame, key) is not None]
    if design.frame.file is not None:
        if given:
            yield (f"frame: {' and '.join(given)} are given, but {shown_file(design)} has its size; allowed is none. "
                   f"Put a # before the lines.")
        return
    if design.frame.shape == "barrel vault":
        if given:
            yield (f"frame: {' and '.join(given)} {'are' if len(given) > 1 else 'is'} given, but a barrel vault has "
                   f"its size in [vault]; allowed is none. Put a # before the lines.")
        return
    if len(given) != 1:
        found = f"{' and '.join(given)} are given" if given else "no size is given"
        yield (f"frame: {found}; allowed is exactly one of {', '.join(SIZE_KEYS)}. "
               f"Keep the one you care about and put a # before the others.")


def shown_file(design: Design) -> str:
    """The file of the frame, as messages name it."""
    return f"frame.file \"{design.frame.file}\""


def _doorway(design: Design) -> Iterator[str]:
    if design.frame.file is not None and design.frame.doorway:
        yield (f"frame.doorway is true, but {shown_file(design)} is no frame from the icosahedron; allowed is false. "
               f"Draw the doorway, or name its hub in raising.leave_out.")


def is_sphere(design: Design) -> bool:
    """True for a frame from the icosahedron."""
    return design.frame.file is None and design.frame.shape == "sphere"


def _vault(design: Design) -> Iterator[str]:
    sizes = {f"vault.{key}": getattr(design.vault, key) for key in VAULT_SIZES}
    given, missing = ([key for key, size in sizes.items() if (size is None) == none] for none in (False, True))
    if design.frame.shape == "sphere":
        if given:
            yield (f"{_listed(given)} given, but frame.shape is \"sphere\"; allowed is none. Put a # before the lines, "
                   f"or set frame.shape to \"barrel vault\".")
        return
    if design.frame.file is not None:
        yield (f"frame.shape is \"barrel vault\", but {shown_file(design)} is the shape; allowed is one of them. Put a "
               f"# before the other.")
    if design.frame.doorway:
        yield "frame.doorway is true, but a barrel vault needs none: its ends are open; allowed is false. Write false."
    if missing:
        yield f"{_listed(missing)} missing; allowed are numbers above 0. Measure where it will stand."
        return
    width_m, height_m = design.vault.width_m or 0.0, design.vault.height_m or 0.0
    low_m, high_m = LOWEST_VAULT * width_m, HIGHEST_VAULT * width_m
    if not low_m <= height_m <= high_m:
        yield (f"vault.height_m is {height_m:g}; allowed are {low_m:g} to {high_m:g}, a part of vault.width_m: a "
               f"flatter one snaps through, a higher one leans out over its feet. Change one of them.")


def _listed(keys: Sequence[str]) -> str:
    """"a, b and c are", "a is"."""
    return f"{', '.join(keys[:-1])} and {keys[-1]} are" if len(keys) > 1 else f"{keys[0]} is"


def _wall(design: Design) -> Iterator[str]:
    yield from _wall_of(design.strut, "strut")


def _wall_of(strut: StrutSection, table: str) -> Iterator[str]:
    if strut.section == "rod" and strut.wall_mm is not None:
        yield (f"{table}.wall_mm is {strut.wall_mm:g}, but a rod is solid; allowed is no wall. "
               f"Put a # before the line, or set {table}.section to \"tube\".")
    if strut.section == "tube" and strut.wall_mm is None:
        yield f"{table}.wall_mm is missing; allowed are numbers above 0. Measure at the end of the tube."
    if strut.section == "tube" and strut.wall_mm is not None and 2.0 * strut.wall_mm > strut.outer_mm:
        yield (f"{table}.wall_mm is {strut.wall_mm:g}, but the tube is only {strut.outer_mm:g} mm thick; allowed is at "
               f"most half of that, {strut.outer_mm / 2.0:g}. Measure at the end of the tube.")


def _strut_material(design: Design) -> Iterator[str]:
    yield from _material("strut.material", design.strut.material)


def _sections(design: Design) -> Iterator[str]:
    """Every section by itself, and what sections need: a file that names them, ends that tests can tell apart."""
    for of in design.struts:
        table = table_of(of.name)
        yield from _wall_of(of, table)
        yield from _material(f"{table}.material", of.material)
        yield from _own_ends(design, of)
        yield from _own_tests(of)
    if not design.struts:
        return
    if design.frame.file is None:
        yield (f"[struts.\"{design.struts[0].name}\"] is given, but the frame comes from no file that names sections; "
               f"allowed is [strut] for all struts. Take the table out, or answer frame.file.")


def _own_ends(design: Design, of: NamedStrut) -> Iterator[str]:
    """Sizes of flattened ends are asked of every section; where arms are the hub's, all are alike."""
    own = design.hub.held_by.member.arm_of == "strut"
    if not own and of.test_loads_n:
        yield (f"{table_of(of.name)}.test_loads_n lists break tests, but with joint \"{design.hub.joint}\" struts have "
               f"no arms of their own; allowed is none: those of the hub's arms stand in [hub]. Take the line out.")
    for key in END_SIZES:
        if own and getattr(of, key) is None:
            yield (f"{table_of(of.name)}.{key} is missing; with joint \"{design.hub.joint}\" every section has ends of "
                   f"its own, and hub.{key} is that of [strut]. {type(of).model_fields[key].title}")
        if not own and getattr(of, key) is not None:
            yield (f"{table_of(of.name)}.{key} is {getattr(of, key):g}, but with joint \"{design.hub.joint}\" struts "
                   f"have no arms of their own; allowed is none: all arms are as in [hub]. Take the line out.")


def _own_tests(of: NamedStrut) -> Iterator[str]:
    """Break loads without the length that they worked on."""
    for loads, length, words in (("strut_loads_n", "strut_span_mm", "the distance between the supports"),
                                 ("test_loads_n", "test_lever_mm", "the distance from the end's root to the load")):
        if getattr(of, loads) and getattr(of, length) is None:
            table = table_of(of.name)
            yield (f"{table}.{length} is missing, but {table}.{loads} lists {len(getattr(of, loads))} loads; allowed "
                   f"are numbers above 0. Give {words}, in mm.")


def _hub_material(design: Design) -> Iterator[str]:
    yield from _material("hub.material", design.hub.material)


def _material(key: str, name: str) -> Iterator[str]:
    try:
        material(name)
    except DesignError as error:
        yield f"{key}: {error}."


def _stock(design: Design) -> Iterator[str]:
    longest_m = design.frame.longest_strut_m
    if longest_m is not None and mm_from_m(longest_m) > design.strut.stock_mm:
        yield (f"strut.stock_mm is {design.strut.stock_mm:g}, but frame.longest_strut_m asks for "
               f"{mm_from_m(longest_m):g} mm; allowed is that or more. Buy longer stock, or ask for shorter struts.")


def _joint(design: Design) -> Iterator[str]:
    for needed in design.hub.held_by.needed:
        if getattr(design.hub, needed.key) is None:
            yield (f"hub.{needed.key} is missing; a hub with joint \"{design.hub.joint}\" needs a number from 0 up. "
                   f"{needed.advice}")


def _tests(design: Design) -> Iterator[str]:
    if design.hub.test_loads_n and design.hub.test_lever_mm is None:
        yield (f"hub.test_lever_mm is missing, but hub.test_loads_n lists {len(design.hub.test_loads_n)} loads; "
               f"allowed are numbers above 0. Give the distance from the arm's root to where the load hung, in mm.")


def _strut_tests(design: Design) -> Iterator[str]:
    strength = design.strength
    if strength.strut_loads_n and strength.strut_span_mm is None:
        yield (f"strength.strut_span_mm is missing, but strength.strut_loads_n lists {len(strength.strut_loads_n)} "
               f"loads; allowed are numbers above 0. Give the distance between the supports, in mm.")


def _lifters(design: Design) -> Iterator[str]:
    crew = design.crew
    if crew.lifters > crew.people:
        yield (f"crew.lifters is {crew.lifters}, but crew.people is {crew.people}; allowed is at most that. "
               f"Count the lifters among the people.")


def _own_order(design: Design) -> Iterator[str]:
    if design.raising.way == "own order" and not design.raising.own_order:
        yield ("raising.own_order is missing, but raising.way is \"own order\"; allowed is a list of all hub places. "
               "List every hub place once, for example [\"H01\", \"H02\"].")


def _sheet(design: Design) -> Iterator[str]:
    labels = design.labels
    paper_width_mm, paper_height_mm = PAPERS_MM[labels.paper]
    width_mm = (labels.margin_left_mm + labels.columns * labels.label_width_mm
                + (labels.columns - 1) * labels.gap_x_mm)
    height_mm = (labels.margin_top_mm + labels.rows * labels.label_height_mm
                 + (labels.rows - 1) * labels.gap_y_mm)
    for words, key, need_mm, have_mm in (("across", "columns", width_mm, paper_width_mm),
                                         ("down", "rows", height_mm, paper_height_mm)):
        if need_mm > have_mm + SLACK_MM:
            yield (f"labels.{key} is {getattr(labels, key)}: margin, labels and gaps take {need_mm:g} mm {words}, but "
                   f"{labels.paper} has {have_mm:g} mm; allowed is what fits. Measure the sheet again.")


def _address(design: Design) -> Iterator[str]:
    host, _, port = design.site.address.split("//")[-1].lower().partition(":")
    if port and not 1 <= int(port) <= LAST_PORT:
        yield (f"site.address is \"{design.site.address}\", but {port} is no port; allowed are numbers from 1 to "
               f"{LAST_PORT}. Leave :8000 unless that is taken on the laptop.")
    if _wrong_number(host):
        yield (f"site.address is \"{design.site.address}\", but {host} is no address in numbers; allowed are four "
               f"numbers from 0 to 255, such as 10.0.0.1. Give the laptop a fixed address in its router.")
    if host.endswith(".local"):
        yield (f"site.address is \"{design.site.address}\", but many phones cannot find names that end in .local; "
               f"allowed are a fixed address such as http://10.0.0.1:8000 or a name that the site's router answers. "
               f"Give the laptop a fixed address in its router.")


def _wrong_number(host: str) -> bool:
    """True for digits and dots that are no IPv4 address."""
    numbers = host.split(".")
    digits = all(number.isdigit() for number in numbers)
    return digits and (len(numbers) != 4 or any(int(number) > 255 for number in numbers))


def _wifi(design: Design) -> Iterator[str]:
    if design.site.wifi_password is not None and design.site.wifi_name is None:
        yield ("site.wifi_name is missing, but site.wifi_password is given; allowed are letters and digits. "
               "Give the name of the network too, or neither.")


RULES: tuple[DesignRule, ...] = (
    DesignRule(("frame.frequency", "frame.cut"), _cut),
    DesignRule(tuple(f"frame.{key}" for key in SIZE_KEYS), _one_size),
    DesignRule(("frame.file", "frame.doorway"), _doorway),
    DesignRule(("frame.shape", "frame.file", "frame.doorway", *(f"vault.{key}" for key in VAULT_SIZES)), _vault),
    DesignRule(("strut.section", "strut.outer_mm", "strut.wall_mm"), _wall),
    DesignRule(("strut.material",), _strut_material),
    DesignRule(("struts", "frame.file", "hub.joint"), _sections),
    DesignRule(("hub.material",), _hub_material),
    DesignRule(("strut.stock_mm", "frame.longest_strut_m"), _stock),
    DesignRule(("hub.joint", *(f"hub.{needed.key}" for joint in JOINTS.values() for needed in joint.needed)), _joint),
    DesignRule(("hub.test_loads_n", "hub.test_lever_mm"), _tests),
    DesignRule(("strength.strut_loads_n", "strength.strut_span_mm"), _strut_tests),
    DesignRule(("crew.lifters", "crew.people"), _lifters),
    DesignRule(("raising.way", "raising.own_order"), _own_order),
    *GROUND_RULES,
    DesignRule(("labels.paper", "labels.columns", "labels.label_width_mm", "labels.margin_left_mm", "labels.gap_x_mm",
          "labels.rows", "labels.label_height_mm", "labels.margin_top_mm", "labels.gap_y_mm"), _sheet),
    DesignRule(("site.address",), _address),
    DesignRule(("site.wifi_name", "site.wifi_password"), _wifi),
)
"""In the order of the sections."""
