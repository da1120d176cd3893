"""Labels for the outside face of a hub, round or hexagonal: every arm marked at its true direction.

Stuck on so that the marks point along the arms, the label itself shows which way is up: there is only one way in
which the marks of an uneven hub meet its arms, and the arrow then points up the frame.
"""

import math
from collections.abc import Iterator

from labels.drawing import Circle, Drawing, Item, Polygon, Text
from labels.face_middle import Middle, find_middle
from labels.face_room import EDGE_MM, MARK_HALF_MM, MARK_MM, NUMBER_CAP_MM, WORDS_CAP_MM, Face, spoke_boxes
from labels.fonts import CAP_HEIGHT
from labels.label import Label, Spoke
from labels.layout import strange_warnings
from labels.pieces import Composition, Piece, PlacedDrawing, SymbolMark, Warned, Words
from labels.room import whole_dots_mm
from labels.symbol import Level, Symbol, make_symbol
from labels.textblock import POST_BODY, draw_up_post


def hexagon_mm(across_flats_mm: float) -> tuple[float, float]:
    """Width and height of a regular hexagon with a corner at the top [mm].

    Examples
    --------
    >>> hexagon_mm(90.0)[1].__round__(2)
    103.92
    """
    return across_flats_mm, across_flats_mm * 2.0 / math.sqrt(3.0)


def compose_face(label: Label, size_mm: tuple[float, float], *, level: Level = "M", printer_dpi: int | None = None
                 ) -> Composition:
    """Lay out one face. Arguments and errors as `layout.compose`; a hexagon's size comes from `hexagon_mm`.

    The address is not printed: the symbol holds it, and the room goes to the arms.
    """
    face = Face(*size_mm, label.form == "hexagon")
    symbol = make_symbol(label.symbol_text, level) if label.symbol_text else None
    taken = tuple(obstacle for spoke in label.spokes for obstacle in spoke_boxes(face, spoke))
    middle = find_middle(label, face, taken, modules_dpi=(symbol.full_size if symbol else 0, printer_dpi))
    picture = PlacedDrawing(_rim(label, face), 0.0, 0.0)
    pieces = (picture, *_centre(label, face, middle, symbol_dpi=(symbol, printer_dpi)))
    return Composition(*size_mm, pieces, (*_warnings(label, face, middle), *strange_warnings(label)))


def _rim(label: Label, face: Face) -> Drawing:
    """The edge to cut along and the marks of the arms."""
    items = (_outline(face), *(item for spoke in label.spokes for item in _spoke(face, spoke)))
    return Drawing(face.width, face.height, items, f"Arms of {label.headline}")


def _outline(face: Face) -> Item:
    """The edge of the label."""
    if not face.hexagon:
        return Circle(face.middle, face.radius - 0.1, "note", width_mm=0.15)
    return Polygon(tuple(face.at(face.edge_mm(corner) - 0.1, corner) for corner in range(0, 360, 60)), "note",
                   width_mm=0.15)


def _spoke(face: Face, spoke: Spoke) -> Iterator[Item]:
    """A mark that points along the arm, its number, and what goes there."""
    tip = face.edge_mm(spoke.azimuth_deg) - EDGE_MM
    base = [face.at(tip - MARK_MM, spoke.azimuth_deg, across) for across in (-MARK_HALF_MM, MARK_HALF_MM)]
    yield Polygon((face.at(tip, spoke.azimuth_deg), *base), "mark", filled=True)
    if spoke.headline:
        words = spoke_boxes(face, spoke)[1]
        x = (words.left + words.right) / 2
        yield Text((x, words.top + NUMBER_CAP_MM), spoke.headline, "text", NUMBER_CAP_MM / CAP_HEIGHT, bold=True)
        yield Text((x, words.bottom), spoke.words, "text", WORDS_CAP_MM / CAP_HEIGHT, bold=True)


def _centre(label: Label, face: Face, middle: Middle, *, symbol_dpi: tuple[Symbol | None, int | None]
            ) -> Iterator[Piece]:
    """ID, symbol, arrow and words."""
    symbol, dpi = symbol_dpi
    x, y = face.middle
    for text, slot in middle.texts:
        size = slot.cap / CAP_HEIGHT
        if slot.turned:
            yield Words(text, x + slot.box.right, y + (slot.box.top + slot.box.bottom) / 2, size, bold=slot.bold,
                        anchor="middle", turned=True)
        else:
            yield Words(text, x + (slot.box.left + slot.box.right) / 2, y + slot.box.bottom, size, bold=slot.bold,
                        anchor="middle")
    if middle.post:
        post = middle.post
        yield from draw_up_post(middle.post_words, (x + post.left, y + post.top), post.bottom - post.top,
                                cap_mm=(post.right - post.left) / POST_BODY)
    if symbol and middle.symbol:
        yield SymbolMark(symbol, whole_dots_mm(x + middle.symbol.left, dpi), whole_dots_mm(y + middle.symbol.top, dpi),
                         middle.module_mm)


def _warnings(label: Label, face: Face, middle: Middle) -> Iterator[Warned]:
    """What found no room between the arms."""
    said = {text for text, _ in middle.texts}
    wanted = [(label.headline, label.headline in said), ("QR symbol", not label.symbol_text or middle.symbol),
              (label.arrow, middle.post), *((text, text in said) for text in (label.band_letter, *label.lines))]
    for text, found in wanted:
        if text and not found:
            yield Warned(label.title, text, f'"{text}" finds no room between the arms on a label {face.width:g} mm '
                                            f"wide and is left out; choose a larger labels.hub_label_mm")
