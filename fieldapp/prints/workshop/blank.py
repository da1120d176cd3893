"""Hub blanks to be cut in true size: outline with radiused roots, centre, strut ends, numbers, up, class."""

from collections import Counter
from collections.abc import Iterator

from fieldapp.frame.frame import Frame
from fieldapp.kit.hub_outline import at, corners
from fieldapp.kit.hub_sizes import HubSizes, hub_sizes
from fieldapp.kit.kit import Kit
from fieldapp.prints.workshop.drawn import drawn_sizes, has_outline
from fieldapp.prints.workshop.turns import Blank, BlankPosition, turn_names
from labels.cut_drawing import CutDrawing, CutShape, Layer, Note, Path, Ring, Vertex, bounds, bulge_of, cross, line
from labels.cut_drawing_letters import stroked

OUTLINE, CENTRE, ENDS, PINS, CLASS, UP, NOTES, DIRECTIONS = (
    "outline", "centre mark", "strut ends", "pin marks", "class", "up and arm numbers", "notes not cut", "directions")

STRAIGHT_UP = 0.999
"""Vertical part of the outside direction from which on a hub has no up of its own."""

LETTER_MM = 7.0
NUMBER_SHARE = 0.7
"""Where the number of an arm stands between the round middle and the strut's end."""

CENTRE_MM = 5.0
PIN_MM = 3.0
NOTE_MM = 4.0
NOTE_LINE_MM = 6.5


def blank_drawing(kit: Kit, blank: Blank) -> CutDrawing:
    """The blank of a class, hub centre at (0, 0), seen from outside.

    Notes
    -----
    A hub that is no flat sheet of arms, and one whose arms run into each
    other up to the struts, gets directions and strut ends only.
    """
    sizes = drawn_sizes(blank, kit.design)
    body = tuple((_sheet if has_outline(blank, kit.design) else _directions)(blank, sizes))
    shapes = (*body, *cross(CENTRE, (0.0, 0.0), CENTRE_MM), *_strut_ends(blank, hub_sizes(kit.design), sizes.width_mm),
              *stroked(CLASS, blank.hub_class.name, (0.0, 0.42 * sizes.core_mm), height_mm=LETTER_MM),
              *_turned_marks(blank, sizes))
    room = bounds(shapes)
    notes = tuple(_notes(kit, blank, room.bottom + 2 * NOTE_LINE_MM, left_mm=room.left))
    used = tuple(dict.fromkeys(shape.layer for shape in (*shapes, *notes)))
    return CutDrawing(f"{kit.design.frame.prefix} hub class {blank.hub_class.name}", tuple(map(_layer, used)),
                      (*shapes, *notes))


def _layer(name: str) -> Layer:
    """What is done with a layer; of several turns the first is shown."""
    later = name.startswith(UP) and name not in (UP, layer_of("turn 1"))
    return Layer(name, "cut" if name == OUTLINE else "note" if name == NOTES else "mark", shown=not later)


def outline(blank: Blank, sizes: HubSizes) -> Path:
    """Round the whole blank, clockwise, from the root before arm 1.

    Source: (D3). Test: tests/prints/workshop/test_workshop.py
    """
    return Path(OUTLINE, tuple(Vertex(each.x_mm, each.y_mm, bulge_of(each.turn_rad))
                               for each in corners(blank.arms_deg, blank, sizes)), closed=True)


def _sheet(blank: Blank, sizes: HubSizes) -> Iterator[CutShape]:
    """Outline, and where a pin through strut and arm would sit."""
    yield outline(blank, sizes)
    for angle, dip in zip(blank.arms_deg, blank.dips_deg, strict=True):
        if sizes.insertion_mm > 0:
            middle = (sizes.mouth_mm(dip) + sizes.length_mm(dip)) / 2
            yield from cross(PINS, at(middle, 0.0, angle), PIN_MM)


def _directions(blank: Blank, sizes: HubSizes) -> Iterator[CutShape]:
    """The middle and a line in every arm's direction."""
    yield Ring(DIRECTIONS, (0.0, 0.0), sizes.core_mm)
    for angle, dip in zip(blank.arms_deg, blank.dips_deg, strict=True):
        core, long = sizes.core_mm, sizes.mouth_mm(dip) - sizes.core_mm
        for start, stop in ((0.0, NUMBER_SHARE - 0.17), (NUMBER_SHARE + 0.17, 1.0)):     # room for the number
            yield line(DIRECTIONS, at(core + start * long, 0.0, angle), at(core + stop * long, 0.0, angle))


def _strut_ends(blank: Blank, sizes: HubSizes, width_mm: float) -> Iterator[Path]:
    """Where the struts end, as a line across."""
    for angle, dip in zip(blank.arms_deg, blank.dips_deg, strict=True):
        mouth = sizes.mouth_mm(dip)
        if mouth > CENTRE_MM:
            yield line(ENDS, at(mouth, -width_mm / 2, angle), at(mouth, width_mm / 2, angle))


def layer_of(name: str) -> str:
    """Layer of the marks of a turn."""
    return f"{UP} {name}".strip()


def _turned_marks(blank: Blank, sizes: HubSizes) -> Iterator[Path]:
    """Up and arm numbers, a layer for every turn."""
    for name, turn in turn_names(blank):
        yield from _marks(layer_of(name), blank, turn, sizes=sizes)


def _marks(layer: str, blank: Blank, turn: BlankPosition, *, sizes: HubSizes) -> Iterator[Path]:
    """An arrow that points up, and a number on each arm, its head outward."""
    core, up = sizes.core_mm, turn.up_deg
    head = [at(0.92 * core, 0.0, up), at(0.70 * core, 0.16 * core, up), at(0.70 * core, -0.16 * core, up)]
    yield Path(layer, tuple(Vertex(*point) for point in head), closed=True)
    yield from stroked(layer, "UP", at(0.54 * core, 0.0, up), height_mm=0.7 * LETTER_MM, turn_deg=up)
    for angle, dip, number in zip(blank.arms_deg, blank.dips_deg, turn.arm_numbers, strict=True):
        middle = core + NUMBER_SHARE * (sizes.mouth_mm(dip) - core)
        yield from stroked(layer, str(number), at(middle, 0.0, angle), height_mm=LETTER_MM, turn_deg=angle)


def _notes(kit: Kit, blank: Blank, top_mm: float, *, left_mm: float) -> Iterator[Note]:
    """What the maker must know, below the blank."""
    for row, text in enumerate(note_lines(kit, blank)):
        yield Note(NOTES, (left_mm, top_mm + row * NOTE_LINE_MM), text, NOTE_MM)


def note_lines(kit: Kit, blank: Blank) -> Iterator[str]:
    """Name, number of blanks, material, face, and the places of each turn."""
    hub = kit.design.hub
    name = blank.hub_class.name
    count = Counter(part.part_class for part in kit.parts if part.kind == "hub")[name]
    yield f"{kit.design.frame.name}: hub class {name}, {count} to make, spares included. True size, millimetres."
    if blank.hub_class.handed:
        yield (f"{blank.hub_class.handed.capitalize()}-handed: the mirror image of {blank.hub_class.mirror}. "
               f"Do not turn the sheet over.")
    layers = "one layer" if hub.plies == 1 else f"{hub.plies} layers, engrave the outer one only"
    yield f"{hub.material}, {layers}. The engraved face is the outside of the frame."
    yield "The blank is flat; each strut dips inward. Angles and packing: paper/hub-sheets.pdf."
    if len(blank.turns) > 1:
        yield "Places of this class are turned against each other: engrave only the layer that belongs to the place."
    for title, turn in turn_names(blank):
        which = f'Layer "{layer_of(title)}"' if title else "All places"
        flat = ". Up is away from the front mark there" if lies_flat(kit.frame, turn.places[0]) else ""
        yield f"{which}: {' '.join(turn.places)}{flat}"


def lies_flat(frame: Frame, place: str) -> bool:
    """Whether a hub faces straight up, so that its up is a direction on the ground (see `frame.Arm`)."""
    return abs(float(frame.outward[frame.hub_index[place]][2])) > STRAIGHT_UP
