"""The whole frame made ready for statics: every strut's matrices once, for any number of stages."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from fieldapp.base.materials import Material
from fieldapp.base.units import newton_from_kg
from fieldapp.frame.design import Design
from fieldapp.frame.frame import BoolArray, FloatArray, Frame, IntArray
from fieldapp.statics.capacity import ArmCapacity, arm_capacity
from fieldapp.statics.make import Make, make_of
from fieldapp.statics.member import Axes, Members, axes, members
from fieldapp.statics.wind_forces import arm_breadth_mm

DOWN = np.array([0.0, 0.0, -1.0])
"""Unit vector of gravity, z upward [1]. Source: definition. Test: tests/statics/test_stiffness.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """All struts of a frame, condensed to its n hubs, in frame axes [mm, N, rad].

    "Arm forces" are 12 numbers a strut: axial force, moment out of plane, moment in plane, at four
    stations: root and tube joint of the arm at end 1, root and tube joint of the arm at end 2.
    """

    hub_names: tuple[str, ...]
    strut_names: tuple[str, ...]
    nodes_mm: FloatArray
    """(n, 3)"""
    outward: FloatArray
    """(n, 3) unit vectors, outside of each hub."""
    ends: IntArray
    """(m, 2)"""
    on_ground: BoolArray
    """(n,)"""
    make: Make
    axes: Axes
    members: Members
    stiffness: FloatArray
    """(m, 12, 12) in frame axes."""
    geometric_stiffness: FloatArray
    """(m, 12, 12) what one newton of tension in the strut adds."""
    weight_n: FloatArray
    """(m, 12) hub forces and moments for each strut's weight."""
    wind_n: FloatArray
    """(m, 12, 3) hub forces for a pressure of 1 N/mm² along frame x, y, z."""
    hub_weight_n: FloatArray
    """(n,) weight of each hub with all its arms."""
    arm_weight_n: float
    """Weight of one arm of a hub: counted with the strut that sits on it and then taken off its hub."""
    arm_per_displacement: FloatArray
    """(m, 12, 12) arm forces for hub displacements of the strut."""
    arm_per_weight: FloatArray
    """(m, 12) arm forces from the strut's own weight between fixed hubs."""
    arm_per_wind: FloatArray
    """(m, 12, 3) the same for a pressure of 1 N/mm² along frame x, y, z."""
    second_stiffness: FloatArray
    """(m, 12, 12) what the square of an axial force takes from the stiffness."""
    arm_per_geometric: FloatArray
    """(m, 12, 12) what one newton of tension in the strut adds to arm forces."""
    arm_per_second: FloatArray
    """(m, 12, 12) what the square of an axial force takes from them."""
    arm_capacity: FloatArray
    """(m, 12) design resistance at each of the 12 arm forces; infinite if none was given."""
    hub_index: dict[str, int] = field(repr=False)
    strut_index: dict[str, int] = field(repr=False)
    arm_lasting: float = 1.0
    """Share of `arm_capacity` that the weight alone may use for as long as the frame stands."""
    softer: "Model | None" = field(default=None, repr=False)
    """The same frame with E_mean / γ_M and G_mean / γ_M, for second order; None where no material is divided."""

    @property
    def dofs_per_hub(self) -> int:
        """Degrees of freedom per hub: 6, or 3 if all joints are pins."""
        return 3 if self.make.pinned else 6


def model(frame: Frame, design: Design) -> Model:
    """Make a frame ready for statics.

    Parameters
    ----------
    frame : Frame
        Hubs, struts and outsides.
    design : Design
        Sections, materials, joint, break tests, service class.

    Returns
    -------
    Model
        Computed once; any stage of the frame is solved from it.

    Raises
    ------
    StaticsError, DesignError
        If sizes, materials or tests of the design give no answer.
    """
    made, arms = make_of(design), arm_capacity(design)

    def of(make: Make) -> Model:
        bare = bare_model(
            frame.nodes_mm, frame.ends, make,
            outward=frame.outward,
            on_ground=np.array([hub.on_ground for hub in frame.hubs]),
            names=([hub.name for hub in frame.hubs], [strut.name for strut in frame.struts]),
        )
        return replace(bare, arm_capacity=arm_capacities(arms, len(frame.struts)), arm_lasting=arms.lasting)

    softer = softened_make(made)
    return of(made) if softer is made else replace(of(made), softer=of(softer))


SECOND_ORDER_DIVIDED = frozenset(("timber", "plywood", "paper"))
"""Families whose mean moduli are divided by γ_M in second order; metals keep theirs (in no formula).
Source: EN 1995-1-1 2.4.1 (2) (from memory); paper: our choice. Test: tests/statics/test_second_order.py"""


def softened_make(make: Make) -> Make:
    """The same make with design moduli, E_mean / γ_M and G_mean / γ_M; the very same where that divides nothing.

    Measured springs of joints are divided by the larger γ_M of what they join.

    Source: EN 1995-1-1 2.4.1 (2) (from memory); springs: our choice. Test: tests/statics/test_second_order.py
    """
    arm, tube = (of.gamma_m if of.family in SECOND_ORDER_DIVIDED else 1.0
                 for of in (make.arm_material, make.tube_material))
    if arm == tube == 1.0:
        return make
    return replace(make, arm_material=_divided(make.arm_material, arm),
                   tube_material=_divided(make.tube_material, tube),
                   stiffness_out_nmm_rad=make.stiffness_out_nmm_rad / max(arm, tube),
                   stiffness_in_nmm_rad=make.stiffness_in_nmm_rad / max(arm, tube))


def _divided(of: Material, gamma_m: float) -> Material:
    """The material with E and G divided; E_05 stays, which is a value for single struts."""
    return replace(of, youngs_modulus_mpa=of.youngs_modulus_mpa / gamma_m,
                   shear_modulus_mpa=of.shear_modulus_mpa / gamma_m)


def arm_capacities(capacity: ArmCapacity, struts: int) -> FloatArray:
    """(struts, 12) design resistance at the 12 arm forces: the same at root and joint of both ends.

    Source: (S11). Test: tests/plan/test_stages.py
    """
    return np.tile([capacity.axial_n, capacity.out_nmm, capacity.in_nmm], (struts, 4))


def bare_model(nodes_mm: FloatArray, ends: IntArray, make: Make, *, outward: FloatArray, on_ground: BoolArray,
               names: tuple[Sequence[str], Sequence[str]] | None = None) -> Model:
    """A model from plain arrays, arms of infinite resistance; see `Model` for shapes. Names default to H01 …, S001 …"""
    hubs, struts = names or ([f"H{i + 1:02d}" for i in range(len(nodes_mm))],
                             [f"S{i + 1:03d}" for i in range(len(ends))])
    at = axes(nodes_mm, outward, ends)
    own = members(make, at)
    rotation = _rotation(at)
    transpose = rotation.transpose(0, 2, 1)  # (strut, frame dof, own dof)
    stations = _stations(make, at)
    direct = _direct(make, at)
    weight, wind = own.weight @ at.local, own.wind @ at.local
    return Model(
        tuple(hubs), tuple(struts), nodes_mm, outward, ends, on_ground, make, at, own,
        stiffness=transpose @ own.stiffness @ rotation,
        geometric_stiffness=transpose @ own.geometric_stiffness @ rotation,
        weight_n=transpose @ weight @ DOWN,
        wind_n=transpose @ wind,
        hub_weight_n=np.full(len(nodes_mm), newton_from_kg(make.hub_mass_kg)),
        arm_weight_n=make.arm_weight_n_mm * make.reach_mm if make.joint.member.arm_of == "hub" else 0.0,
        arm_per_displacement=stations @ own.stiffness @ rotation,
        arm_per_weight=(make.arm_weight_n_mm * direct @ at.local - stations @ weight) @ DOWN,
        arm_per_wind=arm_breadth_mm(make) * direct @ at.local - stations @ wind,
        second_stiffness=transpose @ own.second_stiffness @ rotation,
        arm_per_geometric=(stations @ own.geometric_stiffness + _bent_by_tension(own.joint_deflection, at)) @ rotation,
        arm_per_second=(stations @ own.second_stiffness + _bent_by_tension(own.second_deflection, at)) @ rotation,
        arm_capacity=np.full((len(ends), 12), np.inf),
        hub_index={name: i for i, name in enumerate(hubs)},
        strut_index={name: i for i, name in enumerate(struts)},
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
