"""Every strut's matrices in frame axes, by its own make: what a model holds of it for any number of stages."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.make import Make, Makes
from fieldapp.statics.member import Axes, Members, members
from fieldapp.statics.wind_forces import arm_breadth_mm

DOWN = np.array([0.0, 0.0, -1.0])
"""Unit vector of gravity, z upward [1]. Source: definition. Test: tests/statics/test_stiffness.py"""


@dataclass(eq=False)
class Matrices:
    """All that `Model` holds for every strut, by the same names."""

    members: Members
    stiffness: FloatArray
    geometric_stiffness: FloatArray
    weight_n: FloatArray
    wind_n: FloatArray
    arm_per_displacement: FloatArray
    arm_per_weight: FloatArray
    arm_per_wind: FloatArray
    second_stiffness: FloatArray
    arm_per_geometric: FloatArray
    arm_per_second: FloatArray


def matrices(makes: Makes, at: Axes) -> Matrices:
    """Of every strut by its own make, in the order of the struts."""
    rows = [(make, numbers) for make, numbers in makes.rows() if len(numbers)]
    if len(rows) <= 1:
        return _of_one_make(rows[0][0] if rows else makes.each[0], at)
    order = np.argsort(np.concatenate([numbers for _, numbers in rows]), kind="stable")
    parts = [_of_one_make(make, at.at(numbers)) for make, numbers in rows]

    def joined(values: Sequence[FloatArray]) -> FloatArray:
        return np.concatenate(values)[order]

    of_members = [{one.name: getattr(part.members, one.name) for one in fields(Members)} for part in parts]
    whole = {name: joined([vars(part)[name] for part in parts]) for name in vars(parts[0]) if name != "members"}
    return Matrices(Members(**{name: joined([each[name] for each in of_members]) for name in of_members[0]}), **whole)


def _of_one_make(make: Make, at: Axes) -> Matrices:
    """Of struts of one make."""
    own = members(make, at)
    rotation = _rotation(at)
    transpose = rotation.transpose(0, 2, 1)  # (strut, frame dof, own dof)
    stations = _stations(make, at)
    direct = _direct(make, at)
    weight, wind = own.weight @ at.local, own.wind @ at.local
    return Matrices(
        own,
        stiffness=transpose @ own.stiffness @ rotation,
        geometric_stiffness=transpose @ own.geometric_stiffness @ rotation,
        weight_n=transpose @ weight @ DOWN,
        wind_n=transpose @ wind,
        arm_per_displacement=stations @ own.stiffness @ rotation,
        arm_per_weight=(make.arm_weight_n_mm * direct @ at.local - stations @ weight) @ DOWN,
        arm_per_wind=arm_breadth_mm(make) * direct @ at.local - stations @ wind,
        second_stiffness=transpose @ own.second_stiffness @ rotation,
        arm_per_geometric=(stations @ own.geometric_stiffness + _bent_by_tension(own.joint_deflection, at)) @ rotation,
        arm_per_second=(stations @ own.second_stiffness + _bent_by_tension(own.second_deflection, at)) @ rotation,
    )


def _rotation(at: Axes) -> FloatArray:
    """(m, 12, 12) from frame axes to each strut's own."""
    rotation = np.zeros((len(at.local), 12, 12))  # (strut, own dof, frame dof)
    for block in range(0, 12, 3):
        rotation[:, block:block + 3, block:block + 3] = at.local
    return rotation


def arm_per_end_force(make: Make, at: Axes) -> FloatArray:
    """(m, 12, 12) arm forces from a strut's end forces in its own axes."""
    return _stations(make, at)


def _stations(make: Make, at: Axes) -> FloatArray:
    """(m, 12, 12) arm forces from a strut's end forces in its own axes, by equilibrium along the strut.

    Source: (S9). Test: tests/reference/test_pynite.py, tests/statics/test_response.py
    """
    s = np.zeros((len(at.length_mm), 12, 12))  # (strut, arm force, own dof)
    for end, sign in ((0, 1.0), (6, -1.0)):
        for station, along in ((end, 0.0), (end + 3, sign * make.reach_mm)):
            s[:, station, end] = -sign
            s[:, station + 1, end + 4] = s[:, station + 2, end + 5] = 1.0
            s[:, station + 1, end + 2] = along
            s[:, station + 2, end + 1] = -along
    return _rotated_at_end_2(s, at)


def _bent_by_tension(deflection: FloatArray, at: Axes) -> FloatArray:
    """(m, 12, 12) moments at the tube joints of one newton of tension that passes beside them so far, own axes.

    Source: (S28). Test: tests/statics/test_second_order.py
    """
    y_1, z_1, y_2, z_2 = deflection.transpose(1, 0, 2)
    rows = np.zeros((len(at.length_mm), 12, 12))  # (strut, arm force, own dof)
    rows[:, 4], rows[:, 5], rows[:, 10], rows[:, 11] = z_1, -y_1, -z_2, y_2
    return _rotated_at_end_2(rows, at)


def _direct(make: Make, at: Axes) -> FloatArray:
    """(m, 12, 3) arm forces at the tube joints from a load of 1 N/mm on the arm itself.

    Source: (S9). Test: tests/statics/test_response.py
    """
    d = np.zeros((len(at.length_mm), 12, 3))  # (strut, arm force, direction of the load)
    for joint, sign in ((3, 1.0), (9, -1.0)):
        d[:, joint, 0] = -sign * make.reach_mm
        d[:, joint + 1, 2] = sign * make.reach_mm**2 / 2
        d[:, joint + 2, 1] = -sign * make.reach_mm**2 / 2
    return _rotated_at_end_2(d, at)


def _rotated_at_end_2(rows: FloatArray, at: Axes) -> FloatArray:
    """Moments at end 2 in the axes of that end's arm."""
    c, s = np.cos(at.twist_rad)[:, None], np.sin(at.twist_rad)[:, None]
    for out in (7, 10):
        y, z = rows[:, out].copy(), rows[:, out + 1].copy()
        rows[:, out], rows[:, out + 1] = c * y + s * z, c * z - s * y
    return rows
