"""Turning a shape so that a rim hub stands exactly at the front mark, and standing it on the ground."""

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.frame.shape import ANGLE_SLACK_RAD, Shape

_MIRROR_RAD = np.pi / 5
"""Vertical mirror planes of a vertex-up icosahedral cap stand this far apart [rad].
Source: symmetry of the icosahedron (F1). Test: tests/frame/test_properties.py"""


def turn_to_front(shape: Shape) -> Shape:
    """The shape turned about its vertical axis so that a ground hub lies in the direction −y.

    Parameters
    ----------
    shape : Shape
        A cut in its first position (a mirror plane along x).

    Notes
    -----
    Taken is a ground hub on a mirror plane, if there is one, else the one nearest to such a plane; of
    equals the first anticlockwise from the first position. A full sphere touches the ground on its
    axis; there the lowest ring round it decides.

    Examples
    --------
    >>> from fieldapp.frame.cuts import cut_sphere
    >>> from fieldapp.frame.dome import subdivided_sphere
    >>> cap = turn_to_front(cut_sphere(subdivided_sphere(3, "equal chords"), 5))
    >>> rim = cap.nodes[cap.ground]
    >>> bool(np.any((abs(rim[:, 0]) < 1e-12) & (rim[:, 1] < 0)))
    True
    """
    azimuth = _front_azimuth_rad(shape)
    turn = -np.pi / 2 - azimuth
    cosine, sine = np.cos(turn), np.sin(turn)
    return shape.with_nodes(shape.nodes @ np.array([[cosine, sine, 0], [-sine, cosine, 0], [0, 0, 1]]))


def _front_azimuth_rad(shape: Shape) -> float:
    """Mathematical azimuth of the hub that shall stand at the front mark [rad]."""
    points = shape.nodes[_lowest_ring(shape)]
    azimuth = np.mod(np.arctan2(points[:, 1], points[:, 0]) + ANGLE_SLACK_RAD, 2 * np.pi) - ANGLE_SLACK_RAD
    aside = np.abs(azimuth - np.round(azimuth / _MIRROR_RAD) * _MIRROR_RAD).round(7)
    return float(azimuth[np.lexsort((azimuth, aside))[0]])


def _lowest_ring(shape: Shape) -> FloatArray:
    """Mask of the lowest row of hubs that is a ring and not a point on the axis."""
    off_axis = np.hypot(shape.nodes[:, 0], shape.nodes[:, 1]) > ANGLE_SLACK_RAD
    return np.asarray(off_axis & (shape.level == shape.level[off_axis].max()))


def stand_on_ground(shape: Shape, radius_mm: float) -> tuple[Shape, float]:
    """The unit shape in millimetres with its lowest hub at z = 0, and the height of the sphere's centre [mm].

    Coordinates are rounded to a millionth of a millimetre, so that two machines write the same file.
    """
    lowest = float(shape.nodes[:, 2].min())
    nodes = (shape.nodes - [0.0, 0.0, lowest]) * radius_mm
    return shape.with_nodes(nodes.round(6) + 0.0), round(-lowest * radius_mm, 6) + 0.0
