"""Where the viewer stands, and where points of the frame land on the paper."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame

_EYE_DISTANCE: Final = 4.5
"""Distance of the eye in radii of the frame: depth shows, nothing is twisted."""
_LOWEST_DEG: Final = 14.0
_HIGHEST_DEG: Final = 46.0
_TILT_SHARE: Final = 0.55
"""The eye rises by this share of the slope of the part, so that the crown is seen well."""
_ON_AXIS: Final = 0.02
"""A place nearer to the middle than this share of the radius has no side of its own."""


@dataclass(frozen=True, slots=True)
class Camera:
    """An eye that looks at a target.

    `azimuth_deg` is where the viewer stands, clockwise seen from above from the front mark.
    """

    azimuth_deg: float
    elevation_deg: float
    target_mm: tuple[float, float, float]
    distance_mm: float

    def eye_mm(self) -> FloatArray:
        """(3,) the eye [mm]."""
        return np.asarray(self.target_mm) - self.distance_mm * self._axes()[2]

    def project(self, points_mm: FloatArray) -> FloatArray:
        """Perspective of points.

        Source: (D1). Test: tests/prints/pictures/test_pictures.py

        Parameters
        ----------
        points_mm : (n, 3) array
            [mm]

        Returns
        -------
        (n, 3) array
            Right, down (true size at the target) and distance in front of the eye. [mm]
        """
        right, up, forward = self._axes()
        seen = points_mm - self.eye_mm()
        depth = seen @ forward
        shrink = self.distance_mm / depth
        return np.column_stack((seen @ right * shrink, -(seen @ up) * shrink, depth))

    def _axes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Unit vectors right, up, forward."""
        toward = direction(self.azimuth_deg)
        e = math.radians(self.elevation_deg)
        forward = -math.cos(e) * toward - np.array([0.0, 0.0, math.sin(e)])
        right = np.array([-toward[1], toward[0], 0.0])
        return right, np.cross(right, forward), forward


def direction(azimuth_deg: float) -> FloatArray:
    """(3,) level unit vector, clockwise seen from above from the front mark.

    Examples
    --------
    >>> [round(float(part), 9) for part in direction(90.0)]
    [-1.0, -0.0, 0.0]
    """
    a = math.radians(azimuth_deg)
    return np.array([-math.sin(a), -math.cos(a), 0.0])


def place_position_mm(frame: Frame, place: str) -> FloatArray:
    """(3,) a hub's centre or the middle of a strut [mm]. FrameError if there is no such place."""
    if place in frame.strut_index:
        middle: FloatArray = frame.nodes_mm[frame.ends[frame.strut_index[place]]].mean(axis=0)
        return middle
    frame.hub(place)
    return frame.position_mm(place)


def side_deg(frame: Frame, place: str) -> float | None:
    """From which side a place is reached: clockwise seen from above from the front mark [deg].

    None for a place in the middle (the crown), which has no side.
    """
    x, y = (place_position_mm(frame, place) - np.asarray(frame.centre_mm))[:2]
    if math.hypot(x, y) < _ON_AXIS * frame.radius_mm:
        return None
    return math.degrees(math.atan2(-x, -y)) % 360.0


def slope_deg(frame: Frame, place: str) -> float:
    """How far the outside of a place looks upward: 0 level, 90 straight up [deg]."""
    rows = frame.ends[frame.strut_index[place]] if place in frame.strut_index else [frame.hub_index[place]]
    outward = frame.outward[rows].mean(axis=0)
    return math.degrees(math.asin(float(outward[2] / np.linalg.norm(outward))))


def camera_for(frame: Frame, facing: float | str | None) -> Camera:
    """The camera that shows a place from outside, slightly from above.

    Parameters
    ----------
    facing
        A place; or where the viewer stands [deg]; or None for the front mark.

    Notes
    -----
    A place without a side is seen from the front mark.
    """
    if isinstance(facing, str):
        azimuth, slope = side_deg(frame, facing) or 0.0, slope_deg(frame, facing)
    else:
        azimuth, slope = facing or 0.0, 0.0
    centre = (frame.centre_mm[0], frame.centre_mm[1], frame.height_mm / 2)
    elevation = min(max(_TILT_SHARE * slope, _LOWEST_DEG), _HIGHEST_DEG)
    return Camera(azimuth, elevation, centre, _EYE_DISTANCE * frame.radius_mm)
