"""Small signs: somebody who stands beside the frame, where you are, and what the signs of the pictures mean."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from fieldapp.prints.pictures.skeleton import hold_sign, hub_sign, strut_sign
from labels.drawing import Circle, Drawing, Item, Point, Polygon, Role
from labels.page import PageItem, Picture
from labels.page_text import BODY_MM, Column

PERSON_HEIGHT_MM: Final = 1700.0
"""A middling adult, for scale only."""

_HALF_BODY: Final = ((0.035, 0.0), (0.075, 0.0), (0.085, 0.46), (0.10, 0.46), (0.125, 0.80), (0.09, 0.835))
"""Right half of the outline in heights: across, up."""

ROW_MM = 7.6
SIGN_MM = (20.0, 7.0)
"""Width and height of a sign [mm]."""


def standing_person(feet: Point, height_mm: float) -> tuple[Item, ...]:
    """A figure seen from the front, `height_mm` tall on the paper."""
    x, y = feet
    right = [(x + across * height_mm, y - up * height_mm) for across, up in _HALF_BODY]
    crotch = [(x, y - 0.42 * height_mm)]
    left = [(x - across * height_mm, y - up * height_mm) for across, up in reversed(_HALF_BODY)]
    return (Polygon((*right, *left, *crotch), "person", filled=True),
            Circle((x, y - 0.92 * height_mm), 0.075 * height_mm, "person", filled=True))


def you_are_here(at: Point, toward_deg: float, size_mm: float) -> tuple[Item, ...]:
    """An arrowhead with a head behind it, pointing along an angle of the paper (0 right, 90 down)."""
    def point(along: float, across: float) -> Point:
        a = math.radians(toward_deg)
        return (at[0] + size_mm * (along * math.cos(a) - across * math.sin(a)),
                at[1] + size_mm * (along * math.sin(a) + across * math.cos(a)))
    arrow = (point(0.5, 0.0), point(-0.1, 0.42), point(-0.1, 0.16), point(-0.5, 0.16), point(-0.5, -0.16),
             point(-0.1, -0.16), point(-0.1, -0.42))
    return Polygon(arrow, "this", filled=True), Circle(point(-0.8, 0.0), 0.24 * size_mm, "this", filled=True)


@dataclass(frozen=True, slots=True)
class Sample:
    """A role and what it means."""

    role: Role
    words: str


def legend(samples: Iterable[Sample], place: tuple[float, float, float]) -> Iterator[PageItem]:
    """Signs with their words, one below the other, in (x, y, width)."""
    x, y, width = place
    for sample in samples:
        yield Picture(Drawing(*SIGN_MM, tuple(_sign(sample.role)), sample.words), x, y)
        words = Column(x + SIGN_MM[0] + 2.0, y + 0.8, width - SIGN_MM[0] - 2.0)
        words.text(sample.words, BODY_MM)
        yield from words.items
        y = max(y + ROW_MM, words.y_mm + 0.8)


def _sign(role: Role) -> Iterator[Item]:
    """One sign in the middle of its field."""
    (width, height), middle = SIGN_MM, (SIGN_MM[0] / 2, SIGN_MM[1] / 2)
    if role == "this":
        yield from hub_sign(middle)
    elif role == "hold":
        yield hold_sign(middle)
    elif role == "mark":
        yield Polygon(((middle[0], 1.0), (middle[0] - 3.0, 6.0), (middle[0] + 3.0, 6.0)), "mark", filled=True)
    elif role == "person":
        yield from standing_person((middle[0], height - 0.2), height - 0.4)
    else:
        yield strut_sign((1.0, middle[1]), (width - 1.0, middle[1]), role)
