"""Hubs, struts and triangles as bare arrays, before anything has a name."""

from dataclasses import dataclass, replace

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray

ANGLE_SLACK_RAD = 1e-8
"""Directions closer than this count as one [rad].
Source: our choice, far above rounding, far below any real difference. Test: tests/frame/test_properties.py"""


@dataclass(frozen=True, slots=True)
class Shape:
    """A frame without names. Centre of the sphere at the origin until it is stood on the ground."""

    nodes: FloatArray
    """(n, 3) hub centres; z upward; on the unit sphere until it is scaled."""
    struts: IntArray
    """(m, 2) hub indices."""
    faces: IntArray
    """(k, 3) hub indices, anticlockwise seen from outside."""
    row: IntArray
    """(n,) row of each hub, 0 at the crown, 3 × frequency at the foot of the full sphere."""
    ground: BoolArray
    """(n,) True for the hubs that stand on the ground."""

    def with_nodes(self, nodes: FloatArray) -> "Shape":
        """The same connections with the hubs elsewhere."""
        return replace(self, nodes=nodes)


def strut_lengths(nodes: FloatArray, struts: IntArray) -> FloatArray:
    """Distance between the two hub centres of every strut, in the unit of `nodes`.

    Examples
    --------
    >>> strut_lengths(np.array([[0.0, 0, 0], [3.0, 4.0, 0]]), np.array([[0, 1]]))
    array([5.])
    """
    return np.asarray(np.linalg.norm(nodes[struts[:, 0]] - nodes[struts[:, 1]], axis=1))


def clock_rad(points: FloatArray) -> FloatArray:
    """Angle clockwise seen from above, starting at the front mark (direction −y), 0 ≤ t < 2π [rad].

    A point a hair before the front mark counts as at it.

    Examples
    --------
    >>> np.degrees(clock_rad(np.array([[0.0, -1.0, 0.0], [-1.0, 0.0, 0.0], [1e-12, -1.0, 0.0]]))).round(6)
    array([ 0., 90.,  0.])
    """
    return wrapped_rad(np.arctan2(-points[:, 0], -points[:, 1]))


def wrapped_rad(angles_rad: FloatArray) -> FloatArray:
    """Angles brought into 0 ≤ t < 2π; within the slack below 2π counts as 0 [rad]."""
    turned = np.mod(angles_rad, 2 * np.pi)
    return np.where(turned > 2 * np.pi - ANGLE_SLACK_RAD, 0.0, turned)
