"""From a unit shape to the standing one: its front hub at the front mark, its size as asked, on the ground."""

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.base.units import mm_from_m
from fieldapp.frame.design import Design
from fieldapp.frame.frame import FloatArray, StrutClass
from fieldapp.frame.shape import ANGLE_SLACK_RAD, Shape, strut_lengths

_MIRROR_RAD = np.pi / 5
"""Vertical mirror planes of a vertex-up icosahedral cap stand this far apart [rad].
Source: symmetry of the icosahedron (F1). Test: tests/frame/test_properties.py"""


def radius_mm(design: Design, shape: Shape) -> float:
    """Radius of the sphere on which the hub centres lie [mm].

    Parameters
    ----------
    design : Design
        Gives one of diameter_m (of the sphere), height_m (lowest to highest hub centre) and
        longest_strut_m (the longest cut length: the centre distance less the reach at both ends).
    shape : Shape
        The finished shape with unit radius.

    Raises
    ------
    DesignError
        If not exactly one of the three is given.
    """
    frame = design.frame
    sizes = {"diameter_m": frame.diameter_m, "height_m": frame.height_m, "longest_strut_m": frame.longest_strut_m}
    given = {name: size for name, size in sizes.items() if size is not None}
    if len(given) != 1:
        raise DesignError(f"[frame] gives {' and '.join(given) or 'no size'}; it takes exactly one of diameter_m, "
                          f"height_m and longest_strut_m; keep one of them")
    [(name, size_m)] = given.items()
    if name == "diameter_m":
        return mm_from_m(size_m) / 2
    if name == "height_m":
        return mm_from_m(size_m) / float(shape.nodes[:, 2].max() - shape.nodes[:, 2].min())
    longest = float(strut_lengths(shape.nodes, shape.struts).max())
    return (mm_from_m(size_m) + 2 * design.hub.reach_mm) / longest


def check_reach(reach_mm: float, classes: tuple[StrutClass, ...]) -> None:
    """DesignError if the hubs of the shortest struts would meet before a strut begins."""
    shortest = classes[0]
    room_mm = shortest.centre_length_mm / 2
    if reach_mm >= room_mm:
        raise DesignError(f"hub.reach_mm is {reach_mm:g}; the shortest struts (class {shortest.letter}) measure "
                          f"{shortest.centre_length_mm:.1f} mm from hub centre to hub centre, so it must be below "
                          f"{room_mm:.1f}; make the reach shorter or the frame larger")


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
    points = shape.nodes[_lowest_row(shape)]
    azimuth = np.mod(np.arctan2(points[:, 1], points[:, 0]) + ANGLE_SLACK_RAD, 2 * np.pi) - ANGLE_SLACK_RAD
    aside = np.abs(azimuth - np.round(azimuth / _MIRROR_RAD) * _MIRROR_RAD).round(7)
    return float(azimuth[np.lexsort((azimuth, aside))[0]])


def _lowest_row(shape: Shape) -> FloatArray:
    """Mask of the lowest row of hubs that is a ring and not a point on the axis."""
    off_axis = np.hypot(shape.nodes[:, 0], shape.nodes[:, 1]) > ANGLE_SLACK_RAD
    return np.asarray(off_axis & (shape.row == shape.row[off_axis].max()))


def stand_on_ground(shape: Shape, radius_mm: float) -> tuple[Shape, float]:
    """The unit shape in millimetres with its lowest hub at z = 0, and the height of the sphere's centre [mm].

    Coordinates are rounded to a millionth of a millimetre, so that two machines write the same file.
    """
    lowest = float(shape.nodes[:, 2].min())
    nodes = (shape.nodes - [0.0, 0.0, lowest]) * radius_mm
    return shape.with_nodes(nodes.round(6) + 0.0), round(-lowest * radius_mm, 6) + 0.0
