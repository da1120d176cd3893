"""Where words lie on a page, in millimetres, for every test of paper."""

from itertools import combinations

import pytest

from labels.drawing import Box, Text
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Picture
from labels.pieces import Words

EDGE_MM = 4.0
"""Rim that many printers leave blank; common practice, no source."""


def _box(text, at, size_mm, bold, anchor):
    width = text_width_mm(text, size_mm, bold=bold)
    left = at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
    return text, Box(left, at[1] - CAP_HEIGHT * size_mm, left + width, at[1])


def word_boxes(page):
    """(text, box of its capitals) of all words on a page, those of pictures too; turned ones are left out."""
    for item in page.items:
        if isinstance(item, Words) and not item.turned:
            yield _box(item.text, (item.x_mm, item.y_mm), item.size_mm, item.bold, item.anchor)
        elif isinstance(item, Picture):
            for text in item.drawing.items:
                if isinstance(text, Text):
                    at = (item.x_mm + item.scale * text.at[0], item.y_mm + item.scale * text.at[1])
                    yield _box(text.text, at, item.scale * text.size_mm, text.bold, text.anchor)


@pytest.fixture
def clashes():
    """A function: texts of a page that lie on each other or on the rim of the paper."""
    def found(page, paper_mm):
        boxes = list(word_boxes(page))
        inside = Box(EDGE_MM, EDGE_MM, paper_mm[0] - EDGE_MM, paper_mm[1] - EDGE_MM)
        return ([text for text, box in boxes if not box.inside(inside)]
                + [(one, other) for (one, a), (other, b) in combinations(boxes, 2) if a.meets(b)])
    return found
