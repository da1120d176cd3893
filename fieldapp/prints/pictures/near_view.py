"""One place and what it meets, large: the frame cut down to its neighbours, those that stand by name."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from fieldapp.base.words import _
from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.prints.pictures.camera import Camera, camera_for
from fieldapp.prints.pictures.skeleton import Layout, Showing, across, busy_boxes, nearness, skeleton, this_marker
from fieldapp.wording.facing import facing
from labels.drawing import Box, Drawing
from labels.lettering import Lettering, Wish

_MARGIN_MM: Final = 8.0
_FLAG_MM: Final = 7.5
_NAME_MM: Final = 6.0
_AROUND: Final = (1.5, 3.0, 5.0, 8.0)


def near_view(frame: Frame, showing: Showing, *, size_mm: tuple[float, float] = (100.0, 46.0)) -> Drawing:
    """What somebody sees who stands before the place in question, near enough to read the labels of its neighbours.

    Parameters
    ----------
    showing
        States and the place in question; `new` goes in with it, `labels` are neighbours to name, the first ones first.
    size_mm
        Width and height of the picture. [mm]

    Raises
    ------
    FrameError
        If `showing.this` is no place of the frame.
    ValueError
        If no place is in question.
    """
    if showing.this is None:
        raise ValueError("a near view needs a place in question")
    ring = near_hubs(frame, showing.this)
    camera = camera_for(frame, showing.this)
    at_mm = _on_paper(frame, camera, ring, size_mm)
    shown = near_showing(frame, showing, showing.labels)
    layout = Layout(frame, shown, at_mm, at_mm[frame.ends], nearness(frame, camera.eye_mm()))
    letters = Lettering(Box(0.5, 0.5, size_mm[0] - 0.5, size_mm[1] - 0.5))
    letters.keep_clear(busy_boxes(layout))
    items = (*skeleton(layout), *this_marker(layout), *letters.place_all(_wishes(layout)))
    words = _("{place} and what it meets, {seen}").format(place=showing.this, seen=_(facing(frame).seen))
    return Drawing(*size_mm, items, words)


def near_hubs(frame: Frame, place: str, *, steps: int = 1) -> frozenset[str]:
    """The hubs of a place, and those that are at most `steps` struts away from them."""
    if place in frame.hub_index:
        found = {place}
    else:
        found = {frame.strut(place).end_1.hub, frame.strut(place).end_2.hub}
    for _step in range(steps):
        found |= {frame.strut(arm.strut).end(3 - arm.end).hub for hub in tuple(found) for arm in frame.hub(hub).arms}
    return frozenset(found)


def near_showing(frame: Frame, showing: Showing, named: tuple[str, ...] = ()) -> Showing:
    """The states of what lies round the place in question, with neighbours to name; all else is not drawn.

    Two moments that differ only far away are the same picture.
    """
    if showing.this is None:
        raise ValueError("a near view needs a place in question")
    hubs = near_hubs(frame, showing.this, steps=2)
    struts = {strut.name for strut in frame.struts if strut.end_1.hub in hubs and strut.end_2.hub in hubs}
    here = hubs | struts
    far = frozenset(strut.name for strut in frame.struts) - struts
    return replace(showing, standing=showing.standing & here, new=showing.new & here, damaged=showing.damaged & here,
                   hold=showing.hold & here, left_out=showing.left_out | far, labels=named)


def _on_paper(frame: Frame, camera: Camera, hubs: Iterable[str], size_mm: tuple[float, float]) -> FloatArray:
    """(n, 2) all hubs on the paper [mm], scaled so that these fit with room for their names."""
    flat = camera.project(frame.nodes_mm)[:, :2]
    near = flat[sorted(frame.hub_index[hub] for hub in hubs)]
    low, high = near.min(axis=0), near.max(axis=0)
    room = (size_mm[0] - 2 * _MARGIN_MM, size_mm[1] - 2 * _MARGIN_MM)
    scale = min(room[0] / max(high[0] - low[0], 1.0), room[1] / max(high[1] - low[1], 1.0))
    middle = (low + high) / 2
    at_mm: FloatArray = (flat - middle) * scale + (size_mm[0] / 2, size_mm[1] / 2)
    return at_mm


def _wishes(layout: Layout) -> Iterator[Wish]:
    """The place in question on a flag, what goes in with it, then the neighbours by name."""
    showing = layout.showing
    this = str(showing.this)
    yield Wish(layout.middle(this), this, _FLAG_MM, across(layout, this), bold=True, flag="this",
               distances_mm=(3.0, 5.0, 8.0, 12.0))
    middle = layout.middle(this)
    for size, names in ((_NAME_MM, showing.labels), (_NAME_MM, sorted(showing.new | showing.hold | showing.damaged))):
        for name in names:
            if name != this:
                at = layout.middle(name)
                away = (at[0] - middle[0], at[1] - middle[1] + 0.01)
                yield Wish(at, name, size, across(layout, name) if name in layout.frame.strut_index else away,
                           bold=name in showing.labels, distances_mm=_AROUND)
