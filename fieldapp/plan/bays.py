"""Bays of a long frame: its hubs from one end to the other along its long axis."""

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame

SAME_BAY = 0.25
"""Of the shortest strut: hubs that lie no further apart along the axis than this belong to one bay [1].
Source: our choice. Test: tests/plan/test_bays.py"""
FEWEST_BAYS = 3
"""Fewer are one end and the other, and nothing between them [1]. Source: our choice. Test: tests/plan/test_bays.py"""
_FLAT_MM = 1.0
"""Struts shorter than this in plan have no direction there [mm].
Source: our choice, far above rounding. Test: tests/plan/test_bays.py"""


def long_axis(frame: Frame) -> FloatArray:
    """(2,) unit vector in plan along which the frame is longest for its width; from the front mark away.

    Tried are the directions of its struts and the one from the front mark; of equals the nearest to that.
    """
    plan = frame.nodes_mm[:, :2]
    along = plan[frame.ends[:, 1]] - plan[frame.ends[:, 0]]
    length = np.linalg.norm(along, axis=1)
    tried = np.vstack(([[0.0, 1.0]], along[length > _FLAT_MM] / length[length > _FLAT_MM, None])).round(6)
    backward = (tried[:, 1] < 0) | ((tried[:, 1] == 0) & (tried[:, 0] < 0))
    tried = np.unique(np.where(backward, -1, 1)[:, None] * tried, axis=0)
    across = np.column_stack((tried[:, 1], -tried[:, 0]))
    longer_mm = (np.ptp(plan @ tried.T, axis=0) - np.ptp(plan @ across.T, axis=0)).round(3)
    best: FloatArray = tried[np.lexsort((tried[:, 0], -tried[:, 1], -longer_mm))[0]]
    return best


def bays(frame: Frame) -> list[list[str]]:
    """Hub places bay by bay from the front, each in the order of the places."""
    at_mm = frame.nodes_mm[:, :2] @ long_axis(frame)
    order = np.argsort(at_mm, kind="stable")
    apart_mm = SAME_BAY * min(strut.centre_length_mm for strut in frame.struts)
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.concatenate(([0], np.cumsum(np.diff(at_mm[order]) > apart_mm)))
    return [[frame.hubs[i].name for i in np.flatnonzero(number == bay)] for bay in range(int(number.max()) + 1)]


def has_bays(frame: Frame) -> bool:
    """True for a frame that is no higher than it is long and has enough bays."""
    length_mm = float(np.ptp(frame.nodes_mm[:, :2] @ long_axis(frame)))
    return frame.height_mm <= length_mm and len(bays(frame)) >= FEWEST_BAYS
