"""What the lines and signs of the pictures mean, drawn as the pictures draw them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from fieldapp.prints.pictures.people import standing_person
from fieldapp.prints.pictures.skeleton import hold_sign, hub_sign, strut_sign
from labels.drawing import Drawing, Item, Polygon, Role
from labels.page import PageItem, Picture
from labels.page_text import BODY_MM, Column

ROW_MM = 7.6
SIGN_MM = (20.0, 7.0)
"""Width and height of a sign [mm]."""


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
