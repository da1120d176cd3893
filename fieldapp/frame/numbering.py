"""Which hub and which strut gets which number: levels from the ground up, clockwise from the front mark."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.shape import Shape, clock_rad, wrapped_rad

_ANGLE_DECIMALS = 7
"""Decimals of a bearing that count when places are numbered [1].
Source: our choice, far above rounding. Test: tests/frame/test_build.py"""
_HEIGHT_SLACK = 1e-7
"""Hubs whose heights differ by less than this share of the frame's height are equally high [1].
Source: our choice, far above rounding. Test: tests/frame/test_build.py"""


@dataclass(frozen=True, slots=True)
class Numbered:
    """A shape in the order of its places."""

    shape: Shape
    """Hubs in the order of their numbers; struts too, each with end 1 first."""
    level: IntArray
    """(n,) from 1 on the ground."""
    number_in_level: IntArray
    """(n,) from 1, clockwise from the front mark."""
    order: IntArray
    """(n,) the hub of the shape as it came that each place is."""


def number_places(shape: Shape) -> Numbered:
    """Puts hubs and struts in the order of their numbers.

    Parameters
    ----------
    shape : Shape
        Standing, front mark in the direction −y.

    Notes
    -----
    Hubs: by level, then clockwise. Struts: by level of the lower hub, of the upper hub, clockwise
    position of the midpoint, its height. End 1 is the lower one; of two equally high ends the one
    first met going clockwise.
    """
    level = levels(shape)
    order = np.lexsort((shape.nodes[:, 2], _clock(shape.nodes), level))
    hubs = _reordered(shape, order)
    level = level[order]
    number = np.arange(len(level)) - np.searchsorted(level, level) + 1
    struts = _lower_end_first(hubs)
    return Numbered(_with_struts(hubs, struts[_strut_order(hubs.nodes, struts, level)]), level, number, order)


def levels(shape: Shape) -> IntArray:
    """(n,) distance of each hub from the ground in struts, plus 1."""
    level = np.where(shape.ground, 1, 0)
    while (level == 0).any():
        reached = level[shape.struts]
        border = shape.struts[(reached == 0).any(axis=1) & (reached > 0).any(axis=1)]
        level[np.unique(border[level[border] == 0])] = level.max() + 1
    return level


def names(letter: str, count: int, digits: int) -> list[str]:
    """Place names of equal width, at least `digits` wide.

    Examples
    --------
    >>> names("H", 2, 2), names("S", 1, 3)
    (['H01', 'H02'], ['S001'])
    """
    width = max(digits, len(str(count)))
    return [f"{letter}{number:0{width}d}" for number in range(1, count + 1)]


def _clock(points: FloatArray) -> FloatArray:
    """Clockwise angle, rounded so that equal directions are equal [rad]."""
    return clock_rad(points).round(_ANGLE_DECIMALS)


def _reordered(shape: Shape, order: IntArray) -> Shape:
    """The same shape with hub `order[i]` as hub i."""
    index = np.empty_like(order)
    index[order] = np.arange(len(order))
    return Shape(shape.nodes[order], index[shape.struts], index[shape.faces], shape.row[order], shape.ground[order])


def _with_struts(shape: Shape, struts: IntArray) -> Shape:
    """The shape with its struts in another order."""
    return Shape(shape.nodes, struts, shape.faces, shape.row, shape.ground)


def _lower_end_first(shape: Shape) -> IntArray:
    """(m, 2) struts with end 1 first."""
    first, second = shape.nodes[shape.struts[:, 0]], shape.nodes[shape.struts[:, 1]]
    rise = second[:, 2] - first[:, 2]
    is_level = np.abs(rise) < _HEIGHT_SLACK * np.ptp(shape.nodes[:, 2])
    ahead = wrapped_rad(clock_rad(second) - clock_rad(first))
    is_right_way = np.where(is_level, ahead < np.pi, rise > 0)
    return np.where(is_right_way[:, None], shape.struts, shape.struts[:, ::-1])


def _strut_order(nodes: FloatArray, struts: IntArray, level: IntArray) -> IntArray:
    """Order of the struts by lower level, upper level, clockwise position and height of the midpoint."""
    middle = nodes[struts].mean(axis=1)
    pair = np.sort(level[struts], axis=1)
    return np.lexsort((middle[:, 2], _clock(middle), pair[:, 1], pair[:, 0]))
