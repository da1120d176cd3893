"""What is filled in by hand: boxes to tick, fields to write in, boxes for the characters of a part ID."""

from collections.abc import Iterator, Sequence

from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Outline, PageItem
from labels.page_text import BODY_MM
from labels.pieces import ThinLine, Words, box

TICK_MM = 4.6
"""Side of a box that a gloved hand ticks with a carpenter's pencil [mm].
Source: common practice, no source. Test: tests/labels/test_pages.py"""

ID_BOX_MM = 8.0
"""Width of a box for one character written by hand [mm].
Source: common practice, no source. Test: tests/labels/test_pages.py"""


def tick_box(x_mm: float, middle_mm: float, side_mm: float = TICK_MM) -> Outline:
    """A box to tick, its middle at a height."""
    return Outline(x_mm, middle_mm - side_mm / 2, side_mm, side_mm, 0.45)


def choices(words: Sequence[str], x_mm: float, middle_mm: float, *, size_mm: float = BODY_MM, gap_mm: float = 6.0
            ) -> Iterator[PageItem]:
    """Boxes side by side, each with its word."""
    for word in words:
        yield tick_box(x_mm, middle_mm)
        x_mm += TICK_MM + 1.6
        yield Words(word, x_mm, middle_mm + CAP_HEIGHT * size_mm / 2, size_mm)
        x_mm += text_width_mm(word, size_mm) + gap_mm


def choices_width_mm(words: Sequence[str], *, size_mm: float = BODY_MM, gap_mm: float = 6.0) -> float:
    """Width that `choices` takes [mm]."""
    return sum(TICK_MM + 1.6 + text_width_mm(word, size_mm) + gap_mm for word in words) - gap_mm


def id_boxes(before: str, kinds: int, x_mm: float, top_mm: float) -> Iterator[PageItem]:
    """Boxes for a part ID behind its printed beginning: one for each character, dashes between.

    Parameters
    ----------
    before : str
        What is printed, e.g. `OH`.
    kinds : int
        Characters between the dashes: the letter of the kind and the figures of the number.
    """
    baseline = top_mm + (ID_BOX_MM * 1.2 + CAP_HEIGHT * 6.0) / 2
    yield Words(before, x_mm, baseline, 6.0, bold=True)
    x = x_mm + text_width_mm(before, 6.0, bold=True) + 1.5
    for count in (kinds, 1):
        yield ThinLine((x, top_mm + 0.6 * ID_BOX_MM), (x + 2.0, top_mm + 0.6 * ID_BOX_MM), 0.6)
        x += 3.5
        for _ in range(count):
            yield Outline(x, top_mm, ID_BOX_MM, 1.2 * ID_BOX_MM, 0.35)
            x += ID_BOX_MM
        x += 1.5


def id_boxes_width_mm(before: str, kinds: int) -> float:
    """Width that `id_boxes` takes [mm]."""
    return text_width_mm(before, 6.0, bold=True) + 1.5 + 2 * 5.0 + ID_BOX_MM * (kinds + 1)


def field(label: str, rect: tuple[float, float, float, float], *, size_mm: float = BODY_MM) -> Iterator[PageItem]:
    """A label and a line to write on, within (x, y, width, height); the line runs along the lower edge."""
    x, y, width, height = rect
    bottom = y + height
    yield Words(label, x, bottom - 0.8, size_mm)
    start = x + (text_width_mm(label, size_mm) + 1.5 if label else 0.0)
    yield ThinLine((start, bottom), (x + width, bottom), 0.25)


def writing_lines(x_mm: float, y_mm: float, width_mm: float, *, count: int,
                  pitch_mm: float = 9.0) -> Iterator[PageItem]:
    """Lines to write on, the first one a pitch below y."""
    for number in range(1, count + 1):
        yield ThinLine((x_mm, y_mm + number * pitch_mm), (x_mm + width_mm, y_mm + number * pitch_mm), 0.2)


def band_marks(count_widths: Sequence[float], x_mm: float, middle_mm: float, cap_mm: float, gap: float
               ) -> Iterator[PageItem]:
    """Class bands side by side: widths and gap in heights of capitals."""
    for width in count_widths:
        yield box(x_mm, middle_mm - cap_mm / 2, width * cap_mm, cap_mm)
        x_mm += (width + gap) * cap_mm
