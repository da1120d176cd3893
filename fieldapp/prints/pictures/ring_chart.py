"""Progress ring by ring: the ground at the bottom, the crown at the top, filled as far as parts are in."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from fieldapp.frame.frame import Frame
from labels.drawing import Drawing, Item, Polygon, Text

_ROW_MM: Final = 9.0
_BAR_MM: Final = 6.0
_TEXT_MM: Final = 5.0


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
