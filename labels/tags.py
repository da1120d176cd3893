"""Strips of small tags to cut apart: the labels of a hub's arms."""

import math
from collections.abc import Iterator

from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label, Tag
from labels.pieces import Composition, Piece, ThinLine, Warned, Words
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM

TAG_PADDING_MM = 2.0
HEADLINE_SHARE = 0.6
"""Height of the capitals of a tag's headline as a share of the tag."""

SMALL_CAP_MM = 1.9
SMALL_MM = 1.6 * SMALL_CAP_MM
"""Capitals of the small print, and the height it takes [mm]."""

LARGEST_WORDS_MM = 7.0
GAP_MM = 2.5


def compose_tags(label: Label, size_mm: tuple[float, float]) -> Composition:
    """Tags side by side in the grid that makes their words largest, with dashed lines to cut along.

    Warns, naming the tag, if its words come out smaller than can be read at arm's length.
    """
    columns, rows = _best_grid(label.tags, size_mm)
    width, height = size_mm[0] / columns, size_mm[1] / rows
    pieces: list[Piece] = list(_cuts(columns, rows, size_mm))
    warnings = []
    for index, tag in enumerate(label.tags):
        row, column = divmod(index, columns)
        pieces += _draw_tag(tag, (column * width, row * height, width, height))
        warnings += [Warned(label.title, text, f'"{text}" {fate} on a tag of {width:.0f} × {height:.0f} mm; '
                                               f"use larger labels") for text, fate in _failures(tag, width, height)]
    return Composition(*size_mm, tuple(pieces), tuple(warnings))


def _failures(tag: Tag, width_mm: float, height_mm: float) -> Iterator[tuple[str, str]]:
    """Texts of a tag that are not printed as wished, and what becomes of them."""
    if min(_caps_mm(tag, width_mm, height_mm)) < LEAST_CAP_MM:
        yield f"{tag.headline} {tag.words}", "is printed smaller than can be read at arm's length"
    if tag.small and not _small_fits(tag, width_mm, height_mm):
        yield tag.small, "is left out"


def _small_fits(tag: Tag, width_mm: float, height_mm: float) -> bool:
    """True if the small print finds room below the words."""
    width = unit_width(tag.small) * SMALL_CAP_MM / CAP_HEIGHT
    return width <= width_mm - 2 * TAG_PADDING_MM and height_mm >= 2.5 * SMALL_MM


def _best_grid(tags: tuple[Tag, ...], size_mm: tuple[float, float]) -> tuple[int, int]:
    """Columns and rows for which the smallest words are largest; fewer columns at a tie."""
    def worst(columns: int) -> float:
        rows = math.ceil(len(tags) / columns)
        return min(_caps_mm(tag, size_mm[0] / columns, size_mm[1] / rows)[1] for tag in tags)
    columns = max(range(1, len(tags) + 1), key=lambda count: (round(worst(count), 6), -count))
    return columns, math.ceil(len(tags) / columns)


def _caps_mm(tag: Tag, width_mm: float, height_mm: float) -> tuple[float, float]:
    """Heights of the capitals of headline and words."""
    headline = HEADLINE_SHARE * (height_mm - min(2 * TAG_PADDING_MM, height_mm / 3))
    across = max(width_mm - 2 * TAG_PADDING_MM - GAP_MM, width_mm / 3)
    headline_width = unit_width(tag.headline, bold=True) / CAP_HEIGHT
    words_width = unit_width(tag.words, bold=True) / CAP_HEIGHT
    headline = min(headline, 0.6 * across / headline_width)
    words = min(headline, LARGEST_WORDS_MM, (across - headline * headline_width) / words_width)
    if words < CLEAR_CAP_MM:
        words = headline = min(headline, across / (headline_width + words_width))
    return headline, words


def _draw_tag(tag: Tag, corner_size: tuple[float, float, float, float]) -> Iterator[Piece]:
    """Headline and words on one baseline, small print below."""
    x, y, width, height = corner_size
    headline, words = _caps_mm(tag, width, height)
    small = SMALL_MM if tag.small and _small_fits(tag, width, height) else 0.0
    baseline = y + (height - small + headline) / 2
    after = x + TAG_PADDING_MM + headline * unit_width(tag.headline, bold=True) / CAP_HEIGHT + GAP_MM
    yield Words(tag.headline, x + TAG_PADDING_MM, baseline, headline / CAP_HEIGHT, bold=True)
    yield Words(tag.words, after, baseline, words / CAP_HEIGHT, bold=True)
    if small:
        yield Words(tag.small, x + TAG_PADDING_MM, y + height - TAG_PADDING_MM, SMALL_CAP_MM / CAP_HEIGHT)


def _cuts(columns: int, rows: int, size_mm: tuple[float, float]) -> Iterator[Piece]:
    """Dashed lines between the tags."""
    width, height = size_mm
    for column in range(1, columns):
        yield ThinLine((column * width / columns, 0.0), (column * width / columns, height), dashed=True)
    for row in range(1, rows):
        yield ThinLine((0.0, row * height / rows), (width, row * height / rows), dashed=True)
