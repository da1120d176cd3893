"""The arms of every hub: direction of each strut as seen from outside, and its dip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.shape import Shape

AZIMUTH_SLACK_DEG = 1e-5
"""An arm this little short of straight up counts as straight up [deg].
Source: our choice, far above rounding, far below any angle of a frame. Test: tests/frame/test_build.py"""


@dataclass(frozen=True, slots=True)
class ArmTable:
    """All arms of all hubs, hub by hub, each hub's arms in the order of their numbers."""

    hub: IntArray
    """(2m,) hub index."""
    number: IntArray
    """(2m,) arm number, from 1."""
    strut: IntArray
    """(2m,) strut index."""
    end: IntArray
    """(2m,) 1 or 2."""
    azimuth_deg: FloatArray
    """(2m,) clockwise from straight up, seen from outside, 0 ≤ a < 360 [deg]."""
    dip_deg: FloatArray
    """(2m,) below the tangent plane [deg]."""


def outward_directions(nodes_mm: FloatArray, centre_z_mm: float) -> FloatArray:
    """(n, 3) unit vectors from the sphere's centre, on the axis at height `centre_z_mm`, through each hub."""
    radial = nodes_mm - [0.0, 0.0, centre_z_mm]
    return np.asarray(radial / np.linalg.norm(radial, axis=1)[:, None])


def find_arms(shape: Shape, outward: FloatArray) -> ArmTable:
    """Directions of all arms, numbered clockwise from straight up.

    Source: (F4). Test: tests/frame/test_properties.py, tests/reference/test_kenner_1976.py

    Parameters
    ----------
    shape : Shape
        Struts with end 1 first.
    outward : (n, 3) array
        Unit normal of each hub's tangent plane, pointing outside.

    Examples
    --------
    A hub on the front of a sphere with a strut up and one to the right of someone standing outside:

    >>> nodes = np.array([[0.0, -1.0, 0.0], [0.0, -0.9, 0.4], [0.4, -0.9, 0.0]])
    >>> shape = Shape(nodes, np.array([[0, 1], [0, 2]]), np.empty((0, 3), int), np.zeros(3, int), np.ones(3, bool))
    >>> arms = find_arms(shape, nodes / np.linalg.norm(nodes, axis=1)[:, None])
    >>> arms.azimuth_deg[arms.hub == 0].round(6).tolist(), arms.dip_deg[0].round(3).tolist()
    ([0.0, 90.0], 14.036)
    """
    hub = shape.struts.T.ravel()
    along = shape.nodes[shape.struts[:, ::-1].T.ravel()] - shape.nodes[hub]
    along = along / np.linalg.norm(along, axis=1)[:, None]
    normal = outward[hub]
    up = upward_directions(outward)[hub]
    right = np.cross(up, normal)
    dip = np.degrees(np.arcsin(np.clip(-(along * normal).sum(axis=1), -1.0, 1.0)))
    across, upward = (along * right).sum(axis=1), (along * up).sum(axis=1)
    straight_out = np.hypot(across, upward) < np.radians(AZIMUTH_SLACK_DEG)     # it has no direction in the plane
    azimuth = np.degrees(np.where(straight_out, 0.0, np.arctan2(across, upward)))
    return _sorted_table(shape, _from_zero(azimuth), dip)


def upward_directions(outward: FloatArray) -> FloatArray:
    """(n, 3) unit vectors in each tangent plane that point straight up, seen from outside.

    Where the outside faces straight up or down, "up" points away from the front mark (+y).

    Examples
    --------
    >>> upward_directions(np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0]])).tolist()
    [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0]]
    """
    on_axis = np.hypot(outward[:, 0], outward[:, 1]) < np.radians(AZIMUTH_SLACK_DEG)
    wanted = np.where(on_axis[:, None], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    up = wanted - (wanted * outward).sum(axis=1)[:, None] * outward
    return np.asarray(up / np.linalg.norm(up, axis=1)[:, None])


APART_DEG = 24.0
"""Arms are drawn at least so far apart, or what a hub of many arms leaves (in no formula)."""


def fanned_deg(azimuths_deg: Sequence[float]) -> tuple[float, ...]:
    """Where arms are drawn: at their directions; those behind or close beside each other fanned out, in their order.

    Examples
    --------
    >>> fanned_deg((10.0, 80.0, 200.0)), fanned_deg((90.0, 90.0, 270.0))
    ((10.0, 80.0, 200.0), (78.0, 102.0, 270.0))
    """
    count, shown = len(azimuths_deg), np.array(azimuths_deg, dtype=float)
    least = min(APART_DEG, FAN_SHARE * 360.0 / max(count, 1))
    if count < 2 or np.mod(np.diff(shown, append=shown[0] + 360.0), 360.0).min() >= FAN_BELOW_DEG:
        return tuple(shown.tolist())
    for _turn in range(FAN_TURNS):
        lack = np.maximum(0.0, least - np.diff(shown, append=shown[0] + 360.0))
        shown += (np.roll(lack, 1) - lack) / 2
    return tuple((shown % 360.0).round(3).tolist())


FAN_BELOW_DEG, FAN_TURNS, FAN_SHARE = 5.0, 200, 0.9
"""Arms of plates are never closer, so these are drawn as they are; rounds of pushing apart; part of the round that a
hub of many arms fills (in no formula)."""


def _from_zero(azimuth_deg: FloatArray) -> FloatArray:
    """Azimuths as 0 ≤ a < 360, a hair short of straight up counting as 0 [deg]."""
    turned = np.mod(azimuth_deg, 360.0)
    return np.where((turned > 360.0 - AZIMUTH_SLACK_DEG) | (turned < AZIMUTH_SLACK_DEG), 0.0, turned)


def _sorted_table(shape: Shape, azimuth_deg: FloatArray, dip_deg: FloatArray) -> ArmTable:
    """The table in the order of hubs and of arms; all input in the order end 1 of all struts, end 2 of all."""
    count = len(shape.struts)
    hub = shape.struts.T.ravel()
    order = np.lexsort((dip_deg.round(6), azimuth_deg.round(6), hub))  # of arms behind each other the nearest first
    sorted_hub = hub[order]
    number = np.arange(2 * count) - np.searchsorted(sorted_hub, sorted_hub) + 1
    strut, end = np.tile(np.arange(count), 2), np.repeat([1, 2], count)
    return ArmTable(sorted_hub, number, strut[order], end[order], azimuth_deg[order].round(6), dip_deg[order].round(6))
