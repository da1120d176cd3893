"""Rows of words in a box: how large each may be, and what they look like.

Sizes are heights of capitals [mm], because that is what legibility is stated in.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from labels.drawing import Point
from labels.fonts import CAP_HEIGHT, unit_width
from labels.pieces import FilledShape, Piece, Words, box

ARM_LENGTH_MM = 700.0
"""Distance at which a label in the hand or on a strut is read [mm].
Source: common practice, no source. Test: tests/labels/test_layout.py"""

CLEAR_CAP_MM = 0.006 * ARM_LENGTH_MM
"""Height of what must be read at a glance [mm]: distance × 0.006.
Source: NUREG-0700 rev. 3, 11.4.1.5. Test: tests/labels/test_layout.py"""

LEAST_CAP_MM = 0.004 * ARM_LENGTH_MM
"""Least height of what must be legible [mm]: distance × 0.004.
Source: NUREG-0700 rev. 3, 11.4.1.5. Test: tests/labels/test_layout.py"""

SMALL_CAP_MM = 1.5
"""Height of what is only read with the label close to the eye: address, ID beside the symbol [mm]."""

RowKind = Literal["headline", "class", "post", "line", "small"]

WEIGHTS: dict[RowKind, float] = {"headline": 1.8, "class": 1.25, "post": 1.05, "line": 1.0, "small": 0.35}
LARGEST_CAP_MM: dict[RowKind, float] = {"headline": 16.0, "class": 11.0, "post": 8.0, "line": 7.0, "small": 2.0}
LEADING: dict[RowKind, float] = {"headline": 1.25, "class": 1.3, "post": 1.95, "line": 1.45, "small": 1.4}
"""Height of a row in heights of its capitals."""

HEADLINE_LEAD = 0.9
"""Largest height of other rows as a share of the headline's."""

LINE_PITCH = 1.45
"""Between the lines of one row, in heights of capitals."""

POST_BODY = 1.7
"""Thickness of an arrow with words in it, in heights of its capitals."""

POST_HEAD = 1.1
"""Length of its head, in the same measure."""

BAND, BAND_GAP, BROAD_BAND = 0.6, 0.35, 1.8
"""Widths of a class band, of the gap, and of the broad band that stands for five, in heights of capitals."""


@dataclass(frozen=True, slots=True)
class TextRow:
    """One row of a text block."""

    kind: RowKind
    text: str
    """May hold several lines, parted by a line break."""
    bands: int = 0

    @property
    def lines(self) -> list[str]:
        """The lines of the text."""
        return self.text.split("\n")

    @property
    def bold(self) -> bool:
        """Everything but the small print and plain lines."""
        return self.kind not in ("line", "small")

    @property
    def unit_width(self) -> float:
        """Width in heights of its capitals."""
        width = max(unit_width(line, bold=self.bold) for line in self.lines) / CAP_HEIGHT
        if self.kind == "post":
            return width + POST_HEAD + 1.0
        return width + (0.5 + bands_width(self.bands) if self.bands else 0.0)

    @property
    def unit_height(self) -> float:
        """Height with the space round it, in heights of its capitals."""
        return LEADING[self.kind] + LINE_PITCH * (len(self.lines) - 1)

    @property
    def weight(self) -> float:
        """Share of the height for one line; broken lines make do with less."""
        return WEIGHTS[self.kind] * (1.0 if len(self.lines) == 1 else 0.8)


def band_widths(bands: int) -> tuple[float, ...]:
    """Widths of the class bands, in heights of capitals: from six on, a broad band stands for five.

    Examples
    --------
    >>> band_widths(3)
    (0.6, 0.6, 0.6)
    >>> band_widths(7)
    (1.8, 0.6, 0.6)
    """
    fives, ones = divmod(bands, 5) if bands > 5 else (0, bands)
    return (BROAD_BAND,) * fives + (BAND,) * ones


def bands_width(bands: int) -> float:
    """Width of all class bands with the gaps between them, in heights of capitals."""
    widths = band_widths(bands)
    return sum(widths) + BAND_GAP * (len(widths) - 1)


def row_heights_mm(rows: Sequence[TextRow], least_mm: Sequence[float], box_mm: tuple[float, float]
                   ) -> tuple[float, ...] | None:
    """Heights of capitals that fill a box: by weight, between the least and what width and kind allow [mm].

    Rows of one kind are equally high. None if the rows do not fit.

    Parameters
    ----------
    rows : sequence of TextRow
    least_mm : sequence of float
        Least height of capitals of each row [mm].
    box_mm : (width, height)
        [mm]
    """
    width, height = box_mm
    widths = [row.unit_width for row in rows]
    widest = {row.kind: max(w for w, r in zip(widths, rows, strict=True) if r.kind == row.kind) for row in rows}
    limits = [min(LARGEST_CAP_MM[row.kind], width / widest[row.kind]) for row in rows]
    if any(limit < least for limit, least in zip(limits, least_mm, strict=True)):
        return None
    parts = [(row.weight, row.unit_height, least, limit)
             for row, least, limit in zip(rows, least_mm, limits, strict=True)]
    scale = _largest_scale(parts, height)
    if scale is None:
        return None
    caps = [min(limit, max(least, weight * scale)) for weight, _, least, limit in parts]
    return _below_headline(rows, caps, least_mm)


def _below_headline(rows: Sequence[TextRow], caps: Sequence[float], least_mm: Sequence[float]) -> tuple[float, ...]:
    """The same heights, no other row as high as the headline."""
    most = [HEADLINE_LEAD * cap for row, cap in zip(rows, caps, strict=True) if row.kind == "headline"]
    return tuple(cap if row.kind == "headline" or not most else max(least, min(cap, most[0]))
                 for row, cap, least in zip(rows, caps, least_mm, strict=True))


def _largest_scale(parts: Sequence[tuple[float, float, float, float]], height_mm: float) -> float | None:
    """Largest common scale of (weight, unit height, least, limit) that stays within a height; None if none does."""
    def spare(scale: float) -> float:
        return height_mm - sum(min(limit, max(least, weight * scale)) * unit for weight, unit, least, limit in parts)

    low, high = 0.0, max(LARGEST_CAP_MM.values()) / min(WEIGHTS.values())
    if spare(low) < 0:
        return None
    if spare(high) >= 0:
        return high
    for _ in range(16):
        middle = (low + high) / 2
        low, high = (middle, high) if spare(middle) >= 0 else (low, middle)
    return low


def draw_rows(rows: Sequence[TextRow], caps_mm: Sequence[float], corner_size: tuple[float, float, float, float]
              ) -> Iterator[Piece]:
    """Pieces of a block at (x, y, width, height); what is left of the height is spread between the rows."""
    x, y, width, height = corner_size
    heights = [cap * row.unit_height for row, cap in zip(rows, caps_mm, strict=True)]
    spread = max(0.0, height - sum(heights)) / max(len(rows), 1)
    for row, cap, row_height in zip(rows, caps_mm, heights, strict=True):
        yield from _draw_row(row, cap, (x, y + (row_height + spread) / 2, width))
        y += row_height + spread


def _draw_row(row: TextRow, cap: float, place: tuple[float, float, float]) -> Iterator[Piece]:
    """One row, its capitals centred on the height `middle`."""
    x, middle, width = place
    post = row.kind == "post"
    if post:
        yield left_post((x, middle), (width, (POST_BODY + LINE_PITCH * (len(row.lines) - 1)) * cap), cap)
    baseline = middle + cap / 2 - LINE_PITCH * cap * (len(row.lines) - 1) / 2
    for line in row.lines:
        yield Words(line, x + (POST_HEAD + 0.2) * cap * post, baseline, cap / CAP_HEIGHT, bold=row.bold, white=post)
        baseline += LINE_PITCH * cap
    left = x + (unit_width(row.text, bold=row.bold) / CAP_HEIGHT + 0.5) * cap
    for band in band_widths(row.bands):
        yield box(left, middle - cap / 2, band * cap, cap)
        left += (band + BAND_GAP) * cap


def left_post(tip: Point, length_thickness_mm: tuple[float, float], cap_mm: float) -> FilledShape:
    """An arrow with a body for words, its tip on the left."""
    (x, y), (length, thickness) = tip, length_thickness_mm
    half, head = thickness / 2, POST_HEAD * cap_mm
    above, below = ((x + head, y - half), (x + length, y - half)), ((x + length, y + half), (x + head, y + half))
    return FilledShape(((x, y), *above, *below))


def draw_up_post(words: str, corner: Point, length_mm: float, *, cap_mm: float) -> Iterator[Piece]:
    """An arrow that points up, its words reading upward; `corner` is the upper left one of its box."""
    middle = corner[0] + POST_BODY * cap_mm / 2
    points = left_post((0.0, 0.0), (length_mm, POST_BODY * cap_mm), cap_mm).points
    yield FilledShape(tuple((middle + across, corner[1] + along) for along, across in points))
    yield Words(words, middle + cap_mm / 2, corner[1] + (length_mm + POST_HEAD * cap_mm) / 2, cap_mm / CAP_HEIGHT,
                bold=True, anchor="middle", turned=True, white=True)


def up_post_cap_mm(words: str, length_mm: float) -> float:
    """Height of the capitals of words in an arrow of this length."""
    return min(CLEAR_CAP_MM, length_mm / (unit_width(words, bold=True) / CAP_HEIGHT + POST_HEAD + 1.0))
