"""The frame turned so that the place in question faces the viewer, from outside and slightly from above."""

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from fieldapp.base.words import _
from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.prints.pictures.camera import Camera, camera_for, direction
from fieldapp.prints.pictures.signs import PERSON_HEIGHT_MM, standing_person
from fieldapp.prints.pictures.skeleton import Layout, Showing, across, busy_boxes, nearness, skeleton, this_marker
from labels.drawing import Box, Drawing, Item, Point, Polygon
from labels.lettering import Lettering, Wish

_MARGIN_MM: Final = 2.0
_FOOT_MM: Final = 7.0
"""Room below for the words at the front mark. [mm]"""
_LEAST_RING: Final = 0.3
"""A frame that stands on a point still gets a ground ring, this share of its width."""
_LABEL_MM: Final = 5.5
_SMALL_MM: Final = 2.6
_FAR_REACH_MM: Final = (2.0, 4.0, 7.0, 11.0, 16.0, 22.0, 30.0)


def frame_view(frame: Frame, showing: Showing, *, facing: float | str | None = None,
               size_mm: tuple[float, float] = (100.0, 78.0)) -> Drawing:
    """The frame as seen by somebody who stands before the place in question.

    Parameters
    ----------
    showing
        States, the place in question and further labels.
    facing
        A place, or where the viewer stands, clockwise from the front mark [deg]. Left out: the place in question,
        else the front mark.
    size_mm
        Width and height of the picture. [mm]

    Raises
    ------
    FrameError
        If `showing.this` or `facing` is no place of the frame.
    """
    camera = camera_for(frame, showing.this if facing is None else facing)
    scene = Scene(frame, camera, size_mm)
    at_mm = scene.paper(frame.nodes_mm)
    layout = Layout(frame, showing, at_mm, at_mm[frame.ends], nearness(frame, camera.eye_mm()))
    items = (*scene.ground(), *skeleton(layout), *scene.person(), *this_marker(layout), *labels(layout, scene))
    return Drawing(*size_mm, items, _title(showing))


def frame_sheet(frame: Frame, showing: Showing, azimuth_deg: float, elevation_deg: float, *,
                size_mm: tuple[float, float] = (100.0, 78.0)) -> tuple[Layout, Drawing]:
    """The frame from one side without any place in question, and where everything lies on it, to lay marks over.

    `azimuth_deg` is where the viewer stands, clockwise from the front mark.
    """
    centre = (frame.centre_mm[0], frame.centre_mm[1], frame.height_mm / 2)
    camera = replace(camera_for(frame, azimuth_deg), elevation_deg=elevation_deg, target_mm=centre)
    scene = Scene(frame, camera, size_mm)
    at_mm = scene.paper(frame.nodes_mm)
    layout = Layout(frame, showing, at_mm, at_mm[frame.ends], nearness(frame, camera.eye_mm()))
    letters = Lettering(Box(0.5, 0.5, size_mm[0] - 0.5, size_mm[1] - 0.5))
    letters.keep_clear([scene.person_box(), scene.mark_box()])
    front = letters.place_all((_front_wish(scene),))
    items = (*scene.ground(), *skeleton(layout), *scene.person(), *front)
    return layout, Drawing(*size_mm, items, _title(showing))


class Scene:
    """The site round the frame, fitted to the paper; for pictures of the frame alone."""

    def __init__(self, frame: Frame, camera: Camera, size_mm: tuple[float, float]) -> None:
        self.frame, self.camera, self.size_mm = frame, camera, size_mm
        base = frame.nodes_mm[[frame.hub_index[hub.name] for hub in frame.hubs if hub.on_ground]]
        centre = np.array([*frame.centre_mm[:2], 0.0])
        self.centre = centre
        self.widest_mm = _reach_mm(frame.nodes_mm - centre)
        self.ground_mm = max(_reach_mm(base - centre), _LEAST_RING * self.widest_mm)
        self._fit(np.vstack((frame.nodes_mm, self._ring_points(), self._mark_points(), self._person_points())))

    def _fit(self, points_mm: FloatArray) -> None:
        """Scale and shift that bring all points onto the paper."""
        flat = self.camera.project(points_mm)[:, :2]
        low, high = flat.min(axis=0), flat.max(axis=0)
        room = np.asarray(self.size_mm) - (2 * _MARGIN_MM, _MARGIN_MM + _FOOT_MM)
        self.scale = float((room / (high - low)).min())
        self.shift = _MARGIN_MM + room / 2 - self.scale * (low + high) / 2

    def paper(self, points_mm: FloatArray) -> FloatArray:
        """(n, 2) points on the paper [mm]."""
        flat: FloatArray = self.camera.project(points_mm)[:, :2] * self.scale + self.shift
        return flat

    def points(self, points_mm: FloatArray) -> tuple[Point, ...]:
        """Points on the paper as plain pairs."""
        return tuple((float(x), float(y)) for x, y in self.paper(points_mm))

    def _round(self, radius_mm: float, azimuth_deg: float) -> FloatArray:
        """(3,) a point on the ground."""
        return self.centre + radius_mm * direction(azimuth_deg)

    def _ring_points(self) -> FloatArray:
        """(n, 3) the ground ring."""
        return np.array([self._round(1.02 * self.ground_mm, a) for a in range(0, 360, 8)])

    def _mark_points(self) -> FloatArray:
        """(3, 3) the front mark: an arrowhead that points at the frame."""
        tip, back = 1.05 * self.ground_mm, 1.25 * self.ground_mm
        return np.array([self._round(tip, 0.0), self._round(back, 7.0), self._round(back, -7.0)])

    def _person_points(self) -> FloatArray:
        """(2, 3) feet and crown of somebody who stands beside the frame, on the side away from the front mark."""
        side = -78.0 if math.sin(math.radians(self.camera.azimuth_deg)) <= 0.3 else 78.0
        feet = self._round(self.widest_mm + 700.0, self.camera.azimuth_deg + side)
        return np.array([feet, feet + np.array([0.0, 0.0, PERSON_HEIGHT_MM])])

    def ground(self) -> Iterator[Item]:
        """Ground ring and front mark."""
        yield Polygon(self.points(self._ring_points()), "ground", width_mm=0.35)
        yield Polygon(self.points(self._mark_points()), "mark", filled=True)

    def mark_box(self) -> Box:
        """Room taken by the front mark."""
        across, down = zip(*self.points(self._mark_points()), strict=True)
        return Box(min(across), min(down), max(across), max(down)).grown(0.3)

    def mark_point(self) -> Point:
        """Where the words for the front mark belong."""
        return self.points(self._mark_points().mean(axis=0, keepdims=True))[0]

    def person(self) -> tuple[Item, ...]:
        """Somebody 1.7 m tall, for scale."""
        feet, top = self.points(self._person_points())
        return standing_person(feet, feet[1] - top[1])

    def person_box(self) -> Box:
        """Room taken by the person."""
        feet, top = self.points(self._person_points())
        half = 0.2 * (feet[1] - top[1])
        return Box(feet[0] - half, top[1], feet[0] + half, feet[1])


def _reach_mm(points_mm: FloatArray) -> float:
    """Greatest level distance from the middle [mm]."""
    return float(np.linalg.norm(points_mm[:, :2], axis=1).max())


def labels(layout: Layout, scene: Scene) -> tuple[Item, ...]:
    """Labels in order of importance: this, its neighbours, the front mark, new parts, further ones."""
    letters = Lettering(Box(0.5, 0.5, scene.size_mm[0] - 0.5, scene.size_mm[1] - 0.5))
    letters.keep_clear([scene.person_box(), scene.mark_box()])
    letters.keep_clear(busy_boxes(layout))
    middle = (scene.size_mm[0] / 2, scene.size_mm[1] / 2)
    return letters.place_all((*_main_wishes(layout), _front_wish(scene), *_more_wishes(layout, middle)))


def _main_wishes(layout: Layout) -> Iterator[Wish]:
    """The part in question on a flag, and the two hubs of a strut."""
    this = layout.showing.this
    if this is None:
        return
    at = layout.middle(this)
    side = across(layout, this)
    yield Wish(at, this, 7.0, side, bold=True, flag="this", distances_mm=(5.0, 7.0, 10.0, 14.0, 20.0))
    if this in layout.frame.strut_index:
        for point, hub in zip(layout.ends(this), _hubs_of(layout.frame, this), strict=True):
            away = (point[0] - at[0], point[1] - at[1])
            yield Wish(point, hub, _LABEL_MM, away, bold=True, distances_mm=_FAR_REACH_MM)


def _hubs_of(frame: Frame, strut: str) -> tuple[str, str]:
    """The hubs at end 1 and end 2."""
    place = frame.strut(strut)
    return place.end_1.hub, place.end_2.hub


def _front_wish(scene: Scene) -> Wish:
    """Words beside the front mark."""
    mark = scene.mark_box()
    half = max(mark.right - mark.left, mark.bottom - mark.top) / 2
    outward = (scene.mark_point()[0] - scene.size_mm[0] / 2 + 0.1, 1.0)
    return Wish(scene.mark_point(), _("front mark"), 4.2, outward, leader=False,
                distances_mm=tuple(half + gap for gap in (0.3, 1.5, 4.0, 8.0)))


def _more_wishes(layout: Layout, middle: Point) -> Iterator[Wish]:
    """Hubs to hold and damaged places, wherever they are; new ones and what the caller asks for on the near side."""
    showing = layout.showing
    neighbours = _hubs_of(layout.frame, showing.this) if showing.this in layout.frame.strut_index else ()
    seen = {showing.this, *neighbours}
    for size, places in ((4.0, sorted(showing.new | showing.hold | showing.damaged)), (_SMALL_MM, showing.labels)):
        for place in places:
            if place not in seen and (place in showing.hold | showing.damaged or layout.is_near(place)):
                seen.add(place)
                at = layout.middle(place)
                outward = (at[0] - middle[0], at[1] - middle[1] - 1.0)
                toward = across(layout, place) if place in layout.frame.strut_index else outward
                yield Wish(at, place, size, toward, bold=size > _SMALL_MM,
                           distances_mm=(1.2, 2.5, 4.0, 6.0),
                           clear_mm=0.0 if size > _SMALL_MM else layout.label_room_mm)


def _title(showing: Showing) -> str:
    """Words for screen readers."""
    if showing.this:
        return _("Frame seen from outside, {place} marked").format(place=showing.this)
    return _("Frame seen from outside")
