"""The pictures of the pocket copy: a few sheets of the whole frame, each drawn once, and a mark for every place.

A drawing for each of some hundred places would take megabytes; so a place lays its mark over the sheet that
shows its side.
"""

import re
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from markupsafe import Markup

from fieldapp.frame.frame import Frame
from fieldapp.prints.pictures.camera import side_deg, slope_deg
from fieldapp.prints.pictures.frame_view import frame_sheet
from fieldapp.prints.pictures.hub_dial import hub_dial
from fieldapp.prints.pictures.plan_view import plan_sheet
from fieldapp.prints.pictures.skeleton import Layout, Showing, this_marker
from labels.drawing import Drawing, Text
from labels.svg import svg

SIDES: Final = 8
STEEP_DEG: Final = 45.0
"""From this slope on a place is shown from higher up."""
ELEVATIONS_DEG: Final = (16.0, 42.0)
LABEL_MM: Final = 8.0


@dataclass(frozen=True, slots=True)
class WholeView:
    """The whole frame from one side."""

    name: str
    width: str
    height: str
    body: Markup
    """What is inside the `<svg>` element."""


@dataclass(frozen=True, slots=True)
class Marked:
    """One place on a sheet."""

    sheet: str
    width: str
    height: str
    title: str
    body: Markup


class Pictures:
    """Draws sheets when the first place needs them, and marks on them."""

    def __init__(self, frame: Frame, left_out: frozenset[str]) -> None:
        self._frame = frame
        places = frozenset((*frame.hub_index, *frame.strut_index))
        self._showing = Showing(standing=places - left_out, left_out=left_out)
        self._plan = plan_sheet(frame, self._showing)
        self._views: dict[str, tuple[Layout, Drawing]] = {}

    def of(self, place: str) -> tuple[Marked, Marked]:
        """The frame with the place towards the viewer, and the plan."""
        return self._marked(*self._view(place), place), self._marked("plan", *self._plan, place)

    def sheets(self) -> tuple[WholeView, ...]:
        """Those that were needed."""
        drawn = {"plan": self._plan[1], **{name: drawing for name, (_, drawing) in sorted(self._views.items())}}
        return tuple(WholeView(name, f"{drawing.width_mm:g}", f"{drawing.height_mm:g}", inside(drawing))
                     for name, drawing in drawn.items())

    def _view(self, place: str) -> tuple[str, Layout, Drawing]:
        side = round((side_deg(self._frame, place) or 0.0) / (360.0 / SIDES)) % SIDES
        steep = slope_deg(self._frame, place) >= STEEP_DEG
        name = f"v{side}{'h' if steep else ''}"
        if name not in self._views:
            self._views[name] = frame_sheet(self._frame, self._showing, side * 360.0 / SIDES, ELEVATIONS_DEG[steep])
        return (name, *self._views[name])

    def _marked(self, name: str, layout: Layout, drawing: Drawing, place: str) -> Marked:
        marks = this_marker(replace(layout, showing=replace(self._showing, this=place)))
        flag = _flag(layout, drawing, place)
        body = inside(replace(drawing, items=(*marks, flag), title=""))
        return Marked(name, f"{drawing.width_mm:g}", f"{drawing.height_mm:g}", f"{drawing.title}: {place}", body)


def dial(frame: Frame, hub: str) -> Marked:
    """A hub as seen from outside."""
    drawing = hub_dial(frame, hub)
    return Marked("", f"{drawing.width_mm:g}", f"{drawing.height_mm:g}", drawing.title, inside(drawing))


def _flag(layout: Layout, drawing: Drawing, place: str) -> Text:
    """The name in big letters, in the corner that lies farthest from the mark."""
    at = np.array(layout.middle(place))
    corners = [(2.0, LABEL_MM), (drawing.width_mm - 2.0, LABEL_MM)]
    x, y = max(corners, key=lambda corner: float(np.linalg.norm(at - corner)))
    return Text((x, y), place, "this", LABEL_MM, anchor="start" if x < at[0] else "end", bold=True)


def inside(drawing: Drawing) -> Markup:
    """The content of a drawing's `<svg>` element, without its title and without what the page's style sheet says."""
    body = re.fullmatch(r"<svg[^>]*>(?:<title>.*?</title>)?(.*)</svg>", svg(drawing), re.DOTALL)
    assert body is not None
    plain = re.sub(r' (?:color="#[0-9a-f]{6}"|font-family="[^"]*"|fill="currentColor" stroke="none"(?= font-size))', "",
                   body[1])
    return Markup(f'<g class="lines">{plain}</g>')
