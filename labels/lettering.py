"""Finding room for labels: none covers another, none leaves the page, the important ones come first."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from labels.drawing import (
    ASCENT_EM,
    DESCENT_EM,
    Box,
    Item,
    Line,
    Point,
    Polygon,
    Role,
    Text,
    reserved_width_mm,
    text_box,
)

_TURNS_DEG: Final = (0, 30, -30, 60, -60, 90, -90, 120, -120, 150, -150, 180)
_LEADER_FROM_MM: Final = 4.0


@dataclass(frozen=True, slots=True)
class Wish:
    """A label that wants to stand near a point."""

    at: Point
    text: str
    size_mm: float
    toward: Point = (0.0, -1.0)
    """Direction in which to look for room first; need not be of length 1."""
    bold: bool = False
    flag: Role | None = None
    """Role of a filled box with a pointer to the point; None for plain text on a light ground."""
    distances_mm: tuple[float, ...] = (1.2, 2.5, 4.0)
    """Gaps between the point and the label, tried in turn. [mm]"""
    leader: bool = True
    """A thin line to the point if the label stands far off."""
    clear_mm: float = 0.0
    """Room to leave round the label, so that a crowd of labels is thinned. [mm]"""


class Lettering:
    """Room on a page, used up label by label."""

    def __init__(self, page: Box) -> None:
        self._page = page
        self._taken: list[Box] = []

    def keep_clear(self, boxes: Iterable[Box]) -> None:
        """Let no label cover these."""
        self._taken.extend(boxes)

    def place(self, wish: Wish) -> tuple[Item, ...]:
        """The label where there is room for it; nothing if there is none."""
        for text in _candidates(wish):
            text = self._slid(text, _label_box(text, wish))
            box = _label_box(text, wish)
            if box.inside(self._page) and not _holds(box, wish.at) and self._is_free(box.grown(wish.clear_mm)):
                self._taken.append(box)
                return _flag(wish, text, box, wish.flag) if wish.flag else _plain(wish, text, box)
        return ()

    def _slid(self, text: Text, box: Box) -> Text:
        """The same text moved sideways onto the page."""
        shift = max(0.0, self._page.left - box.left) - max(0.0, box.right - self._page.right)
        return replace(text, at=(text.at[0] + shift, text.at[1])) if shift else text

    def _is_free(self, box: Box) -> bool:
        """True if nothing is there yet."""
        left, top, right, bottom = box.left, box.top, box.right, box.bottom
        for other in self._taken:  # Box.meets, written out: asked a million times for one booklet
            if left < other.right and other.left < right and top < other.bottom and other.top < bottom:
                return False
        return True

    def place_all(self, wishes: Iterable[Wish]) -> tuple[Item, ...]:
        """Labels in order of importance; later ones give way. Lines and grounds first, all texts on top."""
        return tuple(sorted((item for wish in wishes for item in self.place(wish)), key=_layer))


def _layer(item: Item) -> tuple[bool, bool, bool]:
    """Pointer lines lowest, then light grounds, then flags, then words."""
    return isinstance(item, Text), not isinstance(item, Line), item.role != "halo"


def line_boxes(start: Point, end: Point, half_width_mm: float) -> tuple[Box, ...]:
    """Small boxes along a line, to keep it clear of labels."""
    count = max(1, math.ceil(math.dist(start, end) / (2 * half_width_mm)))
    points = ((start[0] + (end[0] - start[0]) * k / count, start[1] + (end[1] - start[1]) * k / count)
              for k in range(count + 1))
    return tuple(point_box(point, half_width_mm) for point in points)


def point_box(at: Point, half_width_mm: float) -> Box:
    """A square box round a point."""
    return Box(*at, *at).grown(half_width_mm)


def box_polygon(box: Box, role: Role) -> Polygon:
    """A filled rectangle."""
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    return Polygon(corners, role, filled=True)


def _label_box(text: Text, wish: Wish) -> Box:
    """Room that the label takes, with its border."""
    return text_box(text).grown(0.25 * wish.size_mm if wish.flag else 0.2)


def _candidates(wish: Wish) -> Iterator[Text]:
    """Texts round the point, nearest and most wished first."""
    toward = math.atan2(wish.toward[1], wish.toward[0])
    border = 0.25 * wish.size_mm if wish.flag else 0.2
    half_width = reserved_width_mm(wish.text, wish.size_mm, bold=wish.bold) / 2 + border
    half_height = (ASCENT_EM + DESCENT_EM) * wish.size_mm / 2 + border
    for distance in wish.distances_mm:
        for turn in _TURNS_DEG:
            angle = toward + math.radians(turn)
            x = wish.at[0] + math.cos(angle) * distance + _push(math.cos(angle), half_width)
            y = wish.at[1] + math.sin(angle) * distance + _push(math.sin(angle), half_height)
            baseline = y + (ASCENT_EM - DESCENT_EM) * wish.size_mm / 2
            yield Text((x, baseline), wish.text, "halo" if wish.flag else "text", wish.size_mm, bold=wish.bold)


def _push(part: float, half_size: float) -> float:
    """Shift of the middle that brings the label's edge to the point."""
    return max(-1.0, min(1.0, 1.5 * part)) * half_size


def _plain(wish: Wish, text: Text, box: Box) -> tuple[Item, ...]:
    """Text on a light ground, with a thin line to its point if it stands far off."""
    ground = box_polygon(box, "halo")
    edge = _nearest(box, wish.at)
    if not wish.leader or math.dist(edge, wish.at) < _LEADER_FROM_MM:
        return ground, text
    return Line(edge, wish.at, "note", 0.2), ground, text


def _flag(wish: Wish, text: Text, box: Box, role: Role) -> tuple[Item, ...]:
    """Light text on a filled box whose pointer touches the point."""
    middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
    across = math.atan2(wish.at[1] - middle[1], wish.at[0] - middle[0]) + math.pi / 2
    half = 0.3 * wish.size_mm
    base = tuple((middle[0] + s * half * math.cos(across), middle[1] + s * half * math.sin(across)) for s in (1, -1))
    return (box_polygon(box.grown(0.5), "halo"), Polygon((wish.at, *base), role, filled=True),
            box_polygon(box, role), text)


def _holds(box: Box, point: Point) -> bool:
    """True if a point lies within a box."""
    return box.left < point[0] < box.right and box.top < point[1] < box.bottom


def _nearest(box: Box, point: Point) -> Point:
    """The point of the box nearest to a point."""
    return min(max(point[0], box.left), box.right), min(max(point[1], box.top), box.bottom)
