"""The middle of a hub's face label: what finds room between the words of its arms.

Millimetres from the hub's centre, x to the right, y downward.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from labels.drawing import Box, Point
from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label, Spoke
from labels.room import LEAST_MODULE_MM, whole_dots_mm
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM, POST_BODY, up_post_cap_mm

EDGE_MM: Final = 1.5
"""From the tip of a mark to the edge of the label [mm]."""

MARK_MM: Final = 7.0
MARK_HALF_MM: Final = 2.6
"""Length and half width of the mark of an arm [mm]."""

NUMBER_CAP_MM: Final = CLEAR_CAP_MM
WORDS_CAP_MM: Final = LEAST_CAP_MM
SPOKE_GAP_MM: Final = 1.2
"""Between number and words, and between words and mark [mm]."""

LARGEST_MODULE_MM: Final = 1.2
"""Larger ones are not read from farther away than a hub hangs [mm]."""

TRIES: Final = ((1.5 * CLEAR_CAP_MM, 0.8), (1.2 * CLEAR_CAP_MM, 0.65), (CLEAR_CAP_MM, LEAST_MODULE_MM))
"""Height of the ID's capitals and least module, from comfortable to just legible [mm]."""

SHIFTS_MM: Final = tuple(float(step) for step in (0, 1, -1, 2, -2, 3, -3, 4, -4, 6, -6, 8, -8))
"""How far the symbol may sit below the hub's centre [mm]."""

POST_MM: Final = 26.0
"""Least length of the arrow that points up [mm]."""

AIR_MM: Final = 2.2
"""Between the words of an arm and the rest [mm]."""


@dataclass(frozen=True, slots=True)
class Face:
    """Sizes of one label [mm]."""

    width: float
    height: float
    hexagon: bool

    @property
    def middle(self) -> Point:
        """Of the hub."""
        return self.width / 2, self.height / 2

    @property
    def radius(self) -> float:
        """Of the largest circle on it."""
        return self.width / 2

    def edge_mm(self, azimuth_deg: float) -> float:
        """From the middle to the edge along a direction; a hexagon has a corner at the top."""
        if not self.hexagon:
            return self.radius
        return self.radius / math.cos(math.radians((azimuth_deg % 60.0) - 30.0))

    def at(self, distance_mm: float, azimuth_deg: float, across_mm: float = 0.0) -> Point:
        """A point along a direction, clockwise from the top."""
        a = math.radians(azimuth_deg)
        return (self.middle[0] + distance_mm * math.sin(a) + across_mm * math.cos(a),
                self.middle[1] - distance_mm * math.cos(a) + across_mm * math.sin(a))


@dataclass(frozen=True, slots=True)
class Slot:
    """Where a text stands: the box of its capitals."""

    box: Box
    cap: float
    bold: bool = False
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Middle:
    """What found room."""

    texts: tuple[tuple[str, Slot], ...] = ()
    symbol: Box | None = None
    """With its quiet zone."""
    module_mm: float = 0.0
    post: Box | None = None


def spoke_boxes(face: Face, spoke: Spoke) -> tuple[Box, Box]:
    """Boxes of the mark, and of number and words as far out as the mark lets them, on the label [mm]."""
    tip = face.edge_mm(spoke.azimuth_deg) - EDGE_MM
    corners = [face.at(tip, spoke.azimuth_deg),
               *(face.at(tip - MARK_MM, spoke.azimuth_deg, across) for across in (-MARK_HALF_MM, MARK_HALF_MM))]
    mark = Box(min(x for x, _ in corners), min(y for _, y in corners), max(x for x, _ in corners),
               max(y for _, y in corners))
    if not spoke.headline:
        return mark, mark
    half_width = max(unit_width(spoke.headline, bold=True) * NUMBER_CAP_MM,
                     unit_width(spoke.words, bold=True) * WORDS_CAP_MM) / CAP_HEIGHT / 2
    half_height = (NUMBER_CAP_MM + SPOKE_GAP_MM + WORDS_CAP_MM) / 2
    a = math.radians(spoke.azimuth_deg)
    depth = half_width * abs(math.sin(a)) + half_height * abs(math.cos(a))
    x, y = face.at(tip - MARK_MM - SPOKE_GAP_MM - depth, spoke.azimuth_deg)
    return mark, Box(x - half_width, y - half_height, x + half_width, y + half_height)


def find_middle(label: Label, face: Face, taken: Sequence[Box], modules_dpi: tuple[int, int | None]) -> Middle:
    """The first try that fits, with the largest symbol; texts are left out from the last if they must.

    Parameters
    ----------
    taken : sequence of Box
        What the arms occupy, on the label [mm].
    modules_dpi : (int, int or None)
        Modules of the symbol with its quiet zone (0 for none), and the printer's resolution.
    """
    x, y = face.middle
    around = [Box(b.left - x, b.top - y, b.right - x, b.bottom - y).grown(AIR_MM) for b in taken]
    texts = [text for text in (label.band_letter, *label.lines) if text]
    for count in range(len(texts), -1, -1):
        for cap, least in TRIES:
            found = [middle for shift in SHIFTS_MM for below in range(count + 1)
                     if (middle := _largest((label, texts[:count], cap, below), face, around,
                                            (least, shift, *modules_dpi)))]
            if found:
                return max(found, key=_worth)
    return Middle()


def _worth(middle: Middle) -> float:
    """Module, and a tenth more if the class stands upright below the symbol."""
    level = len(middle.texts) < 2 or not middle.texts[1][1].turned
    return middle.module_mm * (1.1 if level else 1.0)


Said = tuple[Label, list[str], float, int]
"""The label, its texts, the height of the ID's capitals [mm], and how many texts stand below the symbol."""


def _largest(said: Said, face: Face, around: Sequence[Box], numbers: tuple[float, float, int, int | None]
             ) -> Middle | None:
    """The largest symbol at one shift."""
    least, shift, modules, dpi = numbers
    low, high = least, LARGEST_MODULE_MM
    best = None
    for module in (high, low):
        best = _checked(_arranged(said, whole_dots_mm(module, dpi), modules, shift), face, around)
        if best:
            break
    if best is None or best.module_mm >= whole_dots_mm(high, dpi):
        return best
    for _ in range(6):
        module = (low + high) / 2
        middle = _checked(_arranged(said, whole_dots_mm(module, dpi), modules, shift), face, around)
        best, low, high = (middle, module, high) if middle else (best, low, module)
    return best


def _arranged(said: Said, module_mm: float, modules: int, shift_mm: float) -> Middle:
    """ID above the symbol, arrow on its left, the first words below and the others on its right."""
    label, texts, cap, below_count = said
    half = modules * module_mm / 2
    symbol = Box(-half, shift_mm - half, half, shift_mm + half)
    placed = [(label.headline, _level(label.headline, cap, symbol.top - cap, bold=True))]
    below, right = symbol.bottom, symbol.right
    for index, text in enumerate(texts):
        if index < below_count:
            placed.append((text, _level(text, LEAST_CAP_MM, below, bold=index == 0)))
            below += LEAST_CAP_MM + SPOKE_GAP_MM
        else:
            placed.append((text, _upright(text, right, symbol)))
            right += LEAST_CAP_MM + SPOKE_GAP_MM
    return Middle(tuple(placed), symbol if modules else None, module_mm, _post(label, symbol))


def _level(text: str, cap: float, top: float, *, bold: bool) -> Slot:
    """A line of words, centred."""
    half = unit_width(text, bold=bold) * cap / CAP_HEIGHT / 2
    return Slot(Box(-half, top, half, top + cap), cap, bold)


def _upright(text: str, left: float, symbol: Box) -> Slot:
    """A line of words reading upward, beside the symbol; a longer one reaches below it."""
    length = unit_width(text) * LEAST_CAP_MM / CAP_HEIGHT
    top = max(symbol.top, (symbol.top + symbol.bottom - length) / 2)
    return Slot(Box(left, top, left + LEAST_CAP_MM, top + length), LEAST_CAP_MM, turned=True)


def _post(label: Label, symbol: Box) -> Box | None:
    """The arrow that points up, beside the symbol and at least `POST_MM` long."""
    if not label.arrow:
        return None
    length = max(POST_MM, symbol.bottom - symbol.top)
    thickness = POST_BODY * up_post_cap_mm(label.arrow, length)
    return Box(symbol.left - thickness, symbol.top, symbol.left, symbol.top + length)


def _checked(middle: Middle, face: Face, around: Sequence[Box]) -> Middle | None:
    """The same if all of it lies on the label, clear of the arms and side by side."""
    if middle.post and middle.post.right - middle.post.left < POST_BODY * 0.7 * LEAST_CAP_MM:
        return None
    boxes = [slot.box for _, slot in middle.texts] + [b for b in (middle.symbol, middle.post) if b]
    if any(one.meets(other) for one, other in combinations(boxes, 2)):
        return None
    clear = face.radius - EDGE_MM
    for one in boxes:
        if max(abs(one.left), abs(one.right)) ** 2 + max(abs(one.top), abs(one.bottom)) ** 2 > clear ** 2:
            return None
        if any(one.meets(other) for other in around):
            return None
    return middle
