"""Charts: progress ring by ring, the ground at the bottom; and arm use over the steps, one line a way."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from fieldapp.frame.frame import Frame
from labels.drawing import Drawing, Item, Line, Point, Polygon, Text

_ROW_MM: Final = 9.0
_BAR_MM: Final = 6.0
_TEXT_MM: Final = 5.0

_WIDTH_MM: Final = 180.0
_HEIGHT_MM: Final = 96.0
_LEFT_MM: Final = 14.0
_RIGHT_MM: Final = 42.0
_TOP_MM: Final = 8.0
_BOTTOM_MM: Final = 14.0
_WAY_TEXT_MM: Final = 3.4
_LABEL_STEP_MM: Final = 5.0
LARGEST_USE: Final = 1.5
"""Where the picture ends; above it the line runs along the edge and its name says how far it goes."""
_LOOKS: Final = ((1.0, False), (0.45, False), (1.0, True), (0.45, True), (0.25, False))
"""Width and dashes of each way's line."""


def ring_of(frame: Frame, place: str) -> int:
    """The ring that a place counts for: a strut counts for the higher of its hubs."""
    if place in frame.hub_index:
        return frame.hub(place).ring
    strut = frame.strut(place)
    return max(frame.hub(strut.end_1.hub).ring, frame.hub(strut.end_2.hub).ring)


def ring_chart(frame: Frame, standing: frozenset[str], *, left_out: frozenset[str] = frozenset(),
               width_mm: float = 100.0) -> Drawing:
    """A bar for each ring, as long as the ring has parts.

    Parameters
    ----------
    standing
        Filled places.
    left_out
        Places that are not to be filled.
    """
    names = (*(hub.name for hub in frame.hubs), *(strut.name for strut in frame.struts))
    places = [name for name in names if name not in left_out]
    whole = Counter(ring_of(frame, place) for place in places)
    done = Counter(ring_of(frame, place) for place in places if place in standing)
    height = _ROW_MM * frame.ring_count + 1.0
    items = tuple(item for ring in range(1, frame.ring_count + 1) if whole[ring]
                  for item in _row(ring, frame.ring_count, (done[ring], whole[ring]), max(whole.values()), width_mm))
    return Drawing(width_mm, height, items, f"{sum(done.values())} of {len(places)} parts fitted")


def _row(ring: int, rings: int, count: tuple[int, int], longest: int, width_mm: float) -> Iterator[Item]:
    """One ring: name, bar, count."""
    done, whole = count
    base = _ROW_MM * (rings - ring) + 7.0
    left, room = 19.0, width_mm - 19.0 - 22.0
    span = room * whole / longest
    start = left + (room - span) / 2
    if done:
        yield Polygon(_bar(start, base, span * done / whole), "standing", filled=True)
    yield Polygon(_bar(start, base, span), "standing", width_mm=0.4)
    yield Text((0.5, base - 1.1), f"ring {ring}", "text", _TEXT_MM, "start", bold=done < whole)
    tick = " ✓" if done == whole else ""
    yield Text((width_mm - 0.5, base - 1.1), f"{done}/{whole}{tick}", "text", _TEXT_MM, "end", bold=done < whole)


def _bar(start: float, base: float, length: float) -> tuple[tuple[float, float], ...]:
    """A rectangle on a base line."""
    return ((start, base - _BAR_MM), (start + length, base - _BAR_MM), (start + length, base), (start, base))


def way_chart(uses: Mapping[str, Sequence[float]]) -> Drawing:
    """The picture.

    Parameters
    ----------
    uses : mapping
        Way → arm use under weight after each step.
    """
    steps = max((len(values) for values in uses.values()), default=1)
    lines = [item for values, look in zip(uses.values(), _LOOKS, strict=False) for item in _curve(values, steps, look)]
    return Drawing(_WIDTH_MM, _HEIGHT_MM, (*_frame(steps), *lines, *_names(uses)),
                   "Arm use over the steps of " + ", ".join(uses))


def _at(step: float, use: float, steps: int) -> Point:
    width, height = _WIDTH_MM - _LEFT_MM - _RIGHT_MM, _HEIGHT_MM - _TOP_MM - _BOTTOM_MM
    x = _LEFT_MM + width * (step - 1) / max(steps - 1, 1)
    return x, _HEIGHT_MM - _BOTTOM_MM - height * min(use, LARGEST_USE) / LARGEST_USE


def _frame(steps: int) -> Iterator[Item]:
    """Axes, the line at 1, and words."""
    for use in (0.0, 0.5, 1.0):
        start, end = _at(1, use, steps), _at(steps, use, steps)
        yield Line(start, end, "note", 0.5 if use == 1.0 else 0.2)
        yield Text((start[0] - 1.5, start[1] + 1.2), f"{use:g}", "text", _WAY_TEXT_MM, "end")
    right, one = _at(steps, 1.0, steps)
    yield Text((right, one - 1.2), "above this line arms break", "text", _WAY_TEXT_MM, "end")
    base = _HEIGHT_MM - _BOTTOM_MM
    for step in range(10, steps + 1, 10 * (1 + steps // 150)):
        x = _at(step, 0.0, steps)[0]
        yield Line((x, base), (x, base + 1.2), "note", 0.2)
        yield Text((x, base + 5.0), str(step), "text", _WAY_TEXT_MM)
    yield Text((_LEFT_MM, _HEIGHT_MM - 1.5), "step; arm use under the weight alone", "text", _WAY_TEXT_MM, "start")


def _curve(values: Sequence[float], steps: int, look: tuple[float, bool]) -> Iterator[Item]:
    width_mm, dashed = look
    points = [_at(step, use, steps) for step, use in enumerate(values, start=1)]
    for start, end in pairwise(points):
        yield Line(start, end, "standing", width_mm, dashed=dashed)


def _names(uses: Mapping[str, Sequence[float]]) -> Iterator[Item]:
    """A sample of each line with its way's name, and the largest use if it leaves the picture."""
    x, y = _WIDTH_MM - _RIGHT_MM + 3.0, _TOP_MM + 2.0
    for (way, values), (width_mm, dashed) in zip(uses.items(), _LOOKS, strict=False):
        largest = max(values, default=0.0)
        over = f"up to {largest:.1f}" if largest > LARGEST_USE else f"at most {largest:.2f}"
        yield Line((x, y), (x + 8.0, y), "standing", width_mm, dashed=dashed)
        yield Text((x, y + 4.2), way, "text", _WAY_TEXT_MM, "start", bold=True)
        yield Text((x, y + 8.4), over, "text", _WAY_TEXT_MM, "start")
        y += 3 * _LABEL_STEP_MM - 1.0
