"""Small figures: somebody who stands beside the frame, and where you are."""

import math
from typing import Final

from labels.drawing import Circle, Item, Point, Polygon

PERSON_HEIGHT_MM: Final = 1700.0
"""A middling adult, for scale only."""

_HALF_BODY: Final = ((0.035, 0.0), (0.075, 0.0), (0.085, 0.46), (0.10, 0.46), (0.125, 0.80), (0.09, 0.835))
"""Right half of the outline in heights: across, up."""


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
