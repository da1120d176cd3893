"""The middle of a hub's face label: what finds room between the words of its arms.

Millimetres from the hub's centre, x to the right, y downward.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from labels.drawing import Box
from labels.face_room import EDGE_MM, SPOKE_GAP_MM, Face
from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label
from labels.room import LEAST_MODULE_MM, whole_dots_mm
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM, POST_BODY, up_post_cap_mm

LARGEST_MODULE_MM: Final = 1.2
"""Larger ones are not read from farther away than a hub hangs [mm]."""

TRIES: Final = ((1.5 * CLEAR_CAP_MM, 0.8), (1.2 * CLEAR_CAP_MM, 0.65), (CLEAR_CAP_MM, LEAST_MODULE_MM))
"""Height of the ID's capitals and least module, from comfortable to just legible [mm]."""

SHIFTS_MM: Final = tuple(float(step) for step in (0, 1, -1, 2, -2, 3, -3, 4, -4, 6, -6, 8, -8))
"""How far the symbol may sit below the hub's centre [mm]."""

POST_MM: Final = 26.0
"""Least length of the arrow that points up [mm]."""

SHORT_POST_MM: Final = 14.0
"""The same for one that says so in short [mm]."""

AIR_MM: Final = 2.2
"""Between the words of an arm and the rest [mm]."""

LEVEL_WORTH: Final = 1.1
"""A symbol may be so much smaller if the class stands upright below it, and the ID above it."""


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
    post_words: str = ""


@dataclass(frozen=True, slots=True)
class Try:
    """One arrangement to try: ID above or below the symbol, arrow on its left, words below and on its right."""

    headline: str
    texts: tuple[str, ...]
    cap: float
    """Of the ID [mm]."""
    least_mm: float
    """Module [mm]."""
    modules: int
    """Of the symbol with its quiet zone; 0 for none."""
    arrow: str
    below: int = 0
    """How many texts stand below the symbol."""
    head_below: bool = False


def find_middle(label: Label, face: Face, taken: Sequence[Box], *, modules_dpi: tuple[int, int | None]) -> Middle:
    """The first stage that fits, in the arrangement with the largest symbol.

    Words are left out first, then the arrow is said in short, then the symbol or the arrow is left out.

    Parameters
    ----------
    taken : sequence of Box
        What the arms occupy, on the label [mm].
    modules_dpi : (int, int or None)
        Modules of the symbol with its quiet zone (0 for none), and the printer's resolution.
    """
    x, y = face.middle
    around = [Box(b.left - x, b.top - y, b.right - x, b.bottom - y).grown(AIR_MM) for b in taken]
    for stage in _stages(label, modules_dpi[0]):
        found = [middle for one in stage for shift in SHIFTS_MM
                 if (middle := _largest(one, face, around, shift_dpi=(shift, modules_dpi[1])))]
        if found:
            return max(found, key=_worth)
    return Middle()


def _stages(label: Label, modules: int) -> Iterator[list[Try]]:
    """What may be tried, best first."""
    texts = tuple(text for text in (label.band_letter, *label.lines) if text)
    for count in range(len(texts), -1, -1):
        for cap, least in TRIES:
            yield _tries(label, texts[:count], (cap, least, modules, label.arrow))
    cap, least = TRIES[-1]
    yield _tries(label, (), (cap, least, modules, label.arrow_short))
    yield _tries(label, (), (cap, least, modules, ""))
    yield _tries(label, (), (cap, least, 0, label.arrow_short or label.arrow))
    yield _tries(label, (), (cap, least, 0, ""))


def _tries(label: Label, texts: tuple[str, ...], numbers: tuple[float, float, int, str]) -> list[Try]:
    """The arrangements of the same things."""
    return [Try(label.headline, texts, *numbers, below, head_below)
            for head_below in (False, True) for below in range(len(texts) + 1)]


def _worth(middle: Middle) -> float:
    """Module, and a tenth more if the words stand where they are looked for."""
    (_, headline), *others = middle.texts
    usual = (not others or not others[0][1].turned) and (not middle.symbol or headline.box.top < middle.symbol.top)
    return middle.module_mm * (LEVEL_WORTH if usual else 1.0)


def _largest(one: Try, face: Face, around: Sequence[Box], *, shift_dpi: tuple[float, int | None]) -> Middle | None:
    """The largest symbol at one shift."""
    def at(module_mm: float) -> Middle | None:
        whole = whole_dots_mm(module_mm, dpi)
        return _checked(_arranged(one, whole, shift), face, around) if whole >= LEAST_MODULE_MM - 1e-9 else None

    shift, dpi = shift_dpi
    low, high = one.least_mm, LARGEST_MODULE_MM
    best = at(high)
    if best or not (best := at(low) or (at(low + 25.4 / dpi) if dpi else None)):
        return best
    for _ in range(6 if one.modules else 0):
        middle = (low + high) / 2
        found = at(middle)
        best, low, high = (found, middle, high) if found else (best, low, middle)
    return best


def _arranged(one: Try, module_mm: float, shift_mm: float) -> Middle:
    """One arrangement at one module size."""
    half = one.modules * module_mm / 2
    symbol = Box(-half, shift_mm - half, half, shift_mm + half)
    below, right = symbol.bottom, symbol.right
    placed = [(one.headline, _level(one.headline, one.cap, below if one.head_below else symbol.top - one.cap,
                                    bold=True))]
    below += one.cap + SPOKE_GAP_MM if one.head_below else 0.0
    for index, text in enumerate(one.texts):
        if index < one.below:
            placed.append((text, _level(text, LEAST_CAP_MM, below, bold=index == 0)))
            below += LEAST_CAP_MM + SPOKE_GAP_MM
        else:
            placed.append((text, _upright(text, right, symbol)))
            right += LEAST_CAP_MM + SPOKE_GAP_MM
    return Middle(tuple(placed), symbol if one.modules else None, module_mm, _post(one, symbol), one.arrow)


def _level(text: str, cap: float, top: float, *, bold: bool) -> Slot:
    """A line of words, centred."""
    half = unit_width(text, bold=bold) * cap / CAP_HEIGHT / 2
    return Slot(Box(-half, top, half, top + cap), cap, bold)


def _upright(text: str, left: float, symbol: Box) -> Slot:
    """A line of words reading upward, beside the symbol; a longer one reaches below it."""
    length = unit_width(text) * LEAST_CAP_MM / CAP_HEIGHT
    top = max(symbol.top, (symbol.top + symbol.bottom - length) / 2)
    return Slot(Box(left, top, left + LEAST_CAP_MM, top + length), LEAST_CAP_MM, turned=True)


def _post(one: Try, symbol: Box) -> Box | None:
    """The arrow that points up, beside the symbol; it ends with it, or with the ID, or reaches below it."""
    if not one.arrow:
        return None
    length = max(POST_MM if " " in one.arrow else SHORT_POST_MM, symbol.bottom - symbol.top)
    thickness = POST_BODY * min(up_post_cap_mm(one.arrow, length), CLEAR_CAP_MM)
    top = symbol.bottom - length if one.head_below else symbol.top
    return Box(symbol.left - thickness, top, symbol.left, top + length)


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
