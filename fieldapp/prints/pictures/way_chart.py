"""What gives way first, how much of it is used over the steps, one line a way."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from labels.drawing import Drawing, Item, Line, Point, Text

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


def way_chart(uses: Mapping[str, Sequence[float]]) -> Drawing:
    """The picture.

    Parameters
    ----------
    uses : mapping
        Way → share of what gives way first, under 1.35 × weight, after each step.
    """
    steps = max((len(values) for values in uses.values()), default=1)
    lines = [item for values, look in zip(uses.values(), _LOOKS, strict=False) for item in _curve(values, steps, look)]
    return Drawing(_WIDTH_MM, _HEIGHT_MM, (*_frame(steps), *lines, *_names(uses)),
                   "Use over the steps of " + ", ".join(uses))


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
    yield Text((right, one - 1.2), "above this line it breaks", "text", _WAY_TEXT_MM, "end")
    base = _HEIGHT_MM - _BOTTOM_MM
    for step in range(10, steps + 1, 10 * (1 + steps // 150)):
        x = _at(step, 0.0, steps)[0]
        yield Line((x, base), (x, base + 1.2), "note", 0.2)
        yield Text((x, base + 5.0), str(step), "text", _WAY_TEXT_MM)
    under = "step; use of what gives way first, under the weight with its safety factor"
    yield Text((_LEFT_MM, _HEIGHT_MM - 1.5), under, "text", _WAY_TEXT_MM, "start")


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
